"""What is printed, as a file to keep."""

from __future__ import annotations

import io
import re

from django.contrib.auth.decorators import permission_required
from django.http import FileResponse, HttpRequest
from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.views.decorators.http import require_safe

from inspections.paper.condition_report import write_condition_report
from inspections.paper.frame import page_size_of
from inspections.preferences import system_of
from inspections.selectors.report import bridges_to_report


@require_safe
@permission_required("inspections.print_report", raise_exception=True)
def bridge_report(request: HttpRequest, code: str) -> FileResponse:
    """The condition report of a bridge in the user's units, on the paper that goes with them."""
    bridge = get_object_or_404(bridges_to_report(), code=code)
    system, now = system_of(request), timezone.now()
    file = io.BytesIO()
    write_condition_report(
        bridge,
        file,
        system=system,
        printed_at=now,
        printed_by=request.user.get_full_name() or request.user.get_username(),
        page_size=page_size_of(system),
    )
    file.seek(0)
    name = f"{file_name(bridge.code)}-condition-{timezone.localdate(now):%Y-%m-%d}.pdf"
    response = FileResponse(file, as_attachment=True, filename=name)
    response["Content-Type"] = "application/pdf"
    response["Cache-Control"] = "private, no-store"
    return response


def file_name(code: str) -> str:
    """Return a bridge's code with nothing in it that a file system or a header minds."""
    return re.sub(r"[^A-Za-z0-9_-]+", "-", code).strip("-") or "bridge"
