"""What is decided about what came home: which of two values counts, and who has seen it."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_POST

from inspections.field.access import critical_to_see, reading_to_correct
from inspections.services.critical import mark_seen
from inspections.services.sign_off import set_aside


@require_POST
def reading_set_aside(request: HttpRequest, pk: int) -> HttpResponse:
    """Let one of two values count no longer."""
    reading = reading_to_correct(request.user, pk)
    try:
        set_aside(reading=reading, reason=request.POST.get("reason", "")[:240], user=request.user)
    except ValidationError as refusal:
        messages.error(request, refusal.messages[0])
    else:
        messages.success(request, f"{reading.typed} is set aside; it stays on record.")
    return redirect(reverse("inspection", args=[reading.inspection_id]) + "#rivals")


@require_POST
def critical_seen(request: HttpRequest, pk: int) -> HttpResponse:
    """Note that an engineer has seen a critical finding."""
    finding = critical_to_see(request.user, pk)
    mark_seen(finding=finding, user=request.user)
    return redirect(reverse("inspection", args=[finding.inspection_id]) + "#critical")
