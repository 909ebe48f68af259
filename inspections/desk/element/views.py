"""The page of one element."""

from __future__ import annotations

from zoneinfo import ZoneInfo

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from inspections.desk.element.history import history_shown
from inspections.desk.element.places import met_at, places_told
from inspections.desk.findings import checks_shown
from inspections.drawing.strips import travel_strip
from inspections.drawing.svg import to_svg
from inspections.models import AgencySettings
from inspections.preferences import system_of
from inspections.rights import needs, only_in
from inspections.selectors import desk, findings
from inspections.selectors.design_demand import design_demands
from inspections.selectors.element_record import element_record
from inspections.wording_capacity import tell_checks
from inspections.wording_explanation import tell_unit
from inventory import facts
from inventory.models import Element


@require_safe
@needs("inventory.view_element")
def element(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one element: flags, position, history, unit, checks, readings, record, register."""
    found = get_object_or_404(desk.elements(), pk=pk)
    only_in(found.bridge.district_id)
    with timezone.override(ZoneInfo(found.bridge.time_zone)):
        return _page(request, found)


def _page(request: HttpRequest, found: Element) -> HttpResponse:
    system = system_of(request)
    device = found.current_installation
    status = getattr(found, "status", None)
    deciding = status.deciding if status else None
    judged = desk.judged_readings(found)
    earlier = list(desk.earlier_installations(found))
    checks = tell_checks(
        findings.current_checks().filter(element=found), system, AgencySettings.current().watch_use
    )
    return render(
        request,
        "desk/element.html",
        {
            "element": found,
            "status": status,
            "deciding": deciding,
            "strip": deciding and to_svg(travel_strip(deciding, system)),
            "places": deciding and places_told(deciding, system),
            "met_at": deciding and met_at(deciding, system),
            "record": element_record(found),
            "place": facts.facts_of(found, facts.PLACE, system),
            "access": facts.facts_of(found, facts.ACCESS, system),
            "device": facts.facts_of(device, facts.DEVICE, system),
            "setting": facts.facts_of(device, facts.SETTING, system),
            "capacities": facts.capacities_of(desk.design_of(device), system),
            "demands": design_demands(device),
            "history": history_shown(device, judged, earlier, system),
            "units": [tell_unit(each, system) for each in findings.diagnoses_naming(found)],
            "checks": checks_shown(checks),
            "judged": judged,
            "earlier": earlier,
        },
    )
