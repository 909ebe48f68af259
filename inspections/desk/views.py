"""The engineer's pages: flagged elements, bridges, one bridge, one element."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as mark
from django.views.decorators.http import require_POST, require_safe

from inspections.desk.filters import HEADINGS, BridgeFilter, StatusFilter
from inspections.desk.findings import with_findings_in_short
from inspections.desk.sorting import Column, Order, order
from inspections.desk.tabs import tabs_of
from inspections.models import ElementStatus
from inspections.onward import next_path
from inspections.paging import RowPaginator, parts_in_order
from inspections.preferences import system_of
from inspections.rights import needs
from inspections.selectors import desk
from inspections.selectors.brought_home import critical_not_seen
from inspections.selectors.list_tables import bridges_table, statuses_table
from inspections.selectors.statuses import element_statuses
from inspections.services.preferences import choose_units
from inspections.tables import table_file
from inventory.models import Bridge

ROWS_A_PAGE = 50
STATUS_COLUMNS = (
    Column("verdict", mark("Verdict"), falling=True),
    Column("element", mark("Element and reason")),
    Column("bridge", mark("Bridge")),
    Column("use", mark("Greatest use of a limit"), number=True, falling=True),
    Column("residual", mark("Residual, standard uncertainties"), number=True, falling=True),
    Column("seen", mark("Last seen"), falling=True),
)
LEADING = {by: desk.STATUS_ORDERS[by][0] for by in ("use", "residual", "seen")}
"""Columns of a status by which all may be ordered; an index has those by verdict in their order."""
BRIDGE_COLUMNS = (
    Column("code", mark("Bridge")),
    Column("district", mark("District")),
    Column("elements", mark("Elements"), number=True, falling=True),
    Column("flagged", mark("Verdicts"), falling=True),
)


@require_safe
@needs("inventory.view_element")
def flagged(request: HttpRequest) -> HttpResponse:
    """Elements by verdict, those out of range or to watch first."""
    found, by, rows = _statuses(request)
    in_order = desk.sorted_statuses(rows, by.by, by.down, few=found.at_one_place)
    tabs = tabs_of(found.counts, found.tab)
    page = RowPaginator(
        desk.sorted_statuses(element_statuses(), by.by, by.down),
        ROWS_A_PAGE,
        keys=in_order,
        leading=LEADING.get(by.by, ""),
        counted=next(tab.count for tab in tabs if tab.current),
    ).get_page(request.GET.get("page"))
    page.object_list = with_findings_in_short(page.object_list)
    return render(
        request,
        "desk/flagged.html",
        {
            "filter": found,
            "narrowed": found.narrowed,
            "heading": _(HEADINGS[found.tab]),
            "order": by,
            "tabs": tabs,
            "page": page,
            "nothing_yet": not ElementStatus.objects.exists(),
            "critical": critical_not_seen(),
        },
    )


@require_safe
@needs("inventory.view_element")
def flagged_file(request: HttpRequest, kind: str) -> HttpResponseBase:
    """Give the list of elements as it is narrowed and sorted."""
    statuses = _statuses(request)[2]
    rows = (row for part in parts_in_order(statuses) for row in with_findings_in_short(part))
    system = system_of(request)
    return table_file(statuses_table(system), rows, system, kind)


@require_safe
@needs("inventory.view_bridge")
def bridges(request: HttpRequest) -> HttpResponse:
    """Every bridge with its counts by verdict."""
    found, by, rows = _bridges(request)
    in_order = desk.all_bridges_sorted(found.qs, by.by, by.down)
    return render(
        request,
        "desk/bridges.html",
        {
            "filter": found,
            "narrowed": found.narrowed,
            "order": by,
            "page": RowPaginator(rows, ROWS_A_PAGE, keys=in_order).get_page(
                request.GET.get("page")
            ),
            "nothing_yet": not Bridge.objects.exists(),
        },
    )


@require_safe
@needs("inventory.view_bridge")
def bridges_file(request: HttpRequest, kind: str) -> HttpResponseBase:
    """Give the list of bridges as it is narrowed and sorted."""
    return table_file(bridges_table(), _bridges(request)[2], system_of(request), kind)


def _statuses(request: HttpRequest) -> tuple[StatusFilter, Order, QuerySet[ElementStatus]]:
    found = StatusFilter(request.GET, queryset=element_statuses())
    by = order(request.GET.get("sort", ""), "-verdict", STATUS_COLUMNS)
    return found, by, desk.sorted_statuses(found.qs, by.by, by.down)


def _bridges(request: HttpRequest) -> tuple[BridgeFilter, Order, QuerySet[Bridge]]:
    found = BridgeFilter(request.GET, queryset=desk.bridges_with_counts())
    by = order(request.GET.get("sort", ""), "-flagged", BRIDGE_COLUMNS)
    return found, by, desk.sorted_bridges(found.qs, by.by, by.down)


@require_POST
@needs("inventory.view_element")
def units(request: HttpRequest) -> HttpResponse:
    """Keep the user's units and go back to the page."""
    try:
        choose_units(user=request.user, units=request.POST.get("units", ""))
    except ValidationError:
        messages.error(request, _("There are no such units. Choose metric or US units."))
    return redirect(next_path(request))
