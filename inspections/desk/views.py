"""The engineer's pages: flagged elements, bridges, one bridge, one element."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST, require_safe

from inspections.desk import facts
from inspections.desk.filters import HEADINGS, BridgeFilter, StatusFilter
from inspections.desk.findings import channels_shown, checks_shown, with_findings_in_short
from inspections.desk.sorting import Column, order
from inspections.desk.tabs import tabs_of
from inspections.drawing.strips import travel_strip
from inspections.drawing.svg import to_svg
from inspections.models import AgencySettings, ElementStatus
from inspections.preferences import system_of
from inspections.selectors import desk, findings
from inspections.selectors.brought_home import critical_not_seen
from inspections.selectors.design_demand import design_demands
from inspections.selectors.statuses import element_statuses
from inspections.services.preferences import choose_units
from inspections.wording_capacity import tell_checks
from inspections.wording_explanation import tell_unit
from inventory.models import Bridge

ROWS_A_PAGE = 50
STATUS_COLUMNS = (
    Column("verdict", "Verdict", falling=True),
    Column("element", "Element and reason"),
    Column("bridge", "Bridge"),
    Column("use", "Greatest use of a limit", number=True, falling=True),
    Column("residual", "Residual, standard uncertainties", number=True, falling=True),
    Column("seen", "Last seen", falling=True),
)
BRIDGE_COLUMNS = (
    Column("code", "Bridge"),
    Column("district", "District"),
    Column("elements", "Elements", number=True, falling=True),
    Column("flagged", "Verdicts", falling=True),
)


@require_safe
@permission_required("inventory.view_element", raise_exception=True)
def flagged(request: HttpRequest) -> HttpResponse:
    """Elements by verdict, those out of range or to watch first."""
    found = StatusFilter(request.GET, queryset=element_statuses())
    by = order(request.GET.get("sort", ""), "-verdict", STATUS_COLUMNS)
    rows = desk.sorted_statuses(found.qs, by.by, by.down)
    page = Paginator(rows, ROWS_A_PAGE).get_page(request.GET.get("page"))
    page.object_list = with_findings_in_short(page.object_list)
    return render(
        request,
        "desk/flagged.html",
        {
            "filter": found,
            "narrowed": found.narrowed,
            "heading": HEADINGS[found.tab],
            "order": by,
            "tabs": tabs_of(desk.counts_by_verdict(found.of_any_verdict), found.tab),
            "page": page,
            "nothing_yet": not ElementStatus.objects.exists(),
            "critical": critical_not_seen(),
        },
    )


@require_safe
@permission_required("inventory.view_bridge", raise_exception=True)
def bridges(request: HttpRequest) -> HttpResponse:
    """Every bridge with its counts by verdict."""
    found = BridgeFilter(request.GET, queryset=desk.bridges_with_counts())
    by = order(request.GET.get("sort", ""), "-flagged", BRIDGE_COLUMNS)
    rows = desk.sorted_bridges(found.qs, by.by, by.down)
    return render(
        request,
        "desk/bridges.html",
        {
            "filter": found,
            "narrowed": found.narrowed,
            "order": by,
            "page": Paginator(rows, ROWS_A_PAGE).get_page(request.GET.get("page")),
            "nothing_yet": not Bridge.objects.exists(),
        },
    )


@require_safe
@permission_required("inventory.view_element", raise_exception=True)
def element(request: HttpRequest, pk: int) -> HttpResponse:
    """One element: verdict, capacities, setting, access, readings and their chart."""
    found = get_object_or_404(desk.elements(), pk=pk)
    system = system_of(request)
    device = found.current_installation
    status = getattr(found, "status", None)
    deciding = status.deciding if status else None
    judged = desk.judged_readings(found)
    current = [each.verdict for each in judged if each.current]
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
            "place": facts.facts_of(found, facts.PLACE, system),
            "access": facts.facts_of(found, facts.ACCESS, system),
            "device": facts.facts_of(device, facts.DEVICE, system),
            "setting": facts.facts_of(device, facts.SETTING, system),
            "capacities": facts.capacities_of(desk.design_of(device), system),
            "demands": design_demands(device),
            "channels": channels_shown(
                current, findings.current_histories().filter(element=found), system
            ),
            "units": [tell_unit(each, system) for each in findings.diagnoses_naming(found)],
            "checks": checks_shown(checks),
            "judged": judged,
            "earlier": desk.earlier_installations(found),
        },
    )


@require_POST
@permission_required("inventory.view_element", raise_exception=True)
def units(request: HttpRequest) -> HttpResponse:
    """Keep the user's units and go back to the page."""
    try:
        choose_units(user=request.user, units=request.POST.get("units", ""))
    except ValidationError:
        messages.error(request, "There are no such units. Choose metric or US units.")
    target = request.POST.get("next", "")
    safe = url_has_allowed_host_and_scheme(
        target, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    )
    return redirect(target if safe else "home")
