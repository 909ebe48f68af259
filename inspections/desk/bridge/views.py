"""One bridge, all of its elements together."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from inspections.desk.bridge.page import page_of
from inspections.preferences import system_of
from inspections.rights import needs, only_in
from inspections.selectors.desk import bridges_to_show


@require_safe
@needs("inventory.view_bridge")
def bridge(request: HttpRequest, code: str) -> HttpResponse:
    """One bridge: elevation, plan of movement, one visit side by side, explanations."""
    found = get_object_or_404(bridges_to_show(), code=code)
    only_in(found.district_id)
    return render(request, "desk/bridge.html", page_of(found, request.GET, system_of(request)))
