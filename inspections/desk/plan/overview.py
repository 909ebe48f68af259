"""The plan: what is due and planned, as a page and as a table; where information is lacking."""

from __future__ import annotations

import datetime as dt

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from inspections.desk.plan.forms import DueFilter
from inspections.desk.plan.shown import channels_shown, overview_shown
from inspections.field.access import VIEW
from inspections.lookups.parts import in_parts
from inspections.paging import ROWS_A_PART
from inspections.preferences import system_of
from inspections.rights import require
from inspections.selectors import plan as selector
from inspections.selectors.plan import Within
from inspections.selectors.plan_best_time import not_enough, times_of_channels
from inspections.selectors.plan_table import due_table
from inspections.tables import table_file

BRIDGES_A_PAGE = 40
CHANNELS_A_PAGE = 25
MOST_OWN = 20


@require_safe
def plan(request: HttpRequest) -> HttpResponse:
    """Show a user's own visits, and what is due at which bridge."""
    require(request.user, VIEW)
    today = timezone.localdate()
    found, chosen = _narrowed(request, today)
    counts = selector.bridges_within(found.qs, today)
    in_all = sum(counts.values())
    pages = Paginator(selector.first_days(found.qs, today, chosen), BRIDGES_A_PAGE)
    pages.count = in_all if chosen is None else counts[chosen]
    page = pages.get_page(request.GET.get("page"))
    bridges = selector.bridges_due(list(page.object_list), found.qs, today)
    own = selector.of_user(selector.standing(selector.planned()), request.user)
    return render(
        request,
        "plan/plan.html",
        {
            "filter": found,
            "tabs": [("", _("All"), in_all, chosen is None)]
            + [(each.value, each.label, counts[each], each is chosen) for each in Within],
            "page": page,
            "bridges": overview_shown(bridges, today),
            "own": own[:MOST_OWN],
            "today": today,
            "chosen": chosen,
        },
    )


@require_safe
def due_file(request: HttpRequest, kind: str) -> HttpResponseBase:
    """Give what the page lists, bridge by bridge in its order, a row for each thing due."""
    require(request.user, VIEW)
    today = timezone.localdate()
    found, chosen = _narrowed(request, today)
    rows = (
        row
        for keys in in_parts(selector.first_days(found.qs, today, chosen), ROWS_A_PART)
        for there in selector.due_at(keys, found.qs)
        for row in there
    )
    return table_file(due_table(today), rows, system_of(request), kind)


def _narrowed(request: HttpRequest, today: dt.date) -> tuple[DueFilter, Within | None]:
    """Return the filter, and the stretch of time asked for."""
    found = DueFilter(
        request.GET,
        queryset=selector.due().filter(due_on__lte=today + selector.HORIZON),
        user=request.user,
    )
    asked = request.GET.get("within", "")
    return found, Within(asked) if asked in Within.values else None


@require_safe
def not_enough_information(request: HttpRequest) -> HttpResponse:
    """List the elements whose histories cannot tell yet, and when to read them next."""
    require(request.user, VIEW)
    page = Paginator(not_enough(), CHANNELS_A_PAGE).get_page(request.GET.get("page"))
    channels = channels_shown(times_of_channels(page.object_list), system_of(request))
    told = dict.fromkeys(caution for each in channels for caution in each.cautions)
    return render(
        request,
        "plan/not_enough.html",
        {
            "page": page,
            "channels": channels,
            "cautions": list(told),
            "by_record": any(each.by and not each.by_thumb for each in channels),
            "by_thumb": any(each.by_thumb for each in channels),
        },
    )
