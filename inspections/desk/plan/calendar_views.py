"""The plan by month, and as a feed for calendar programs."""

from __future__ import annotations

import calendar
import datetime as dt
import re
from collections import defaultdict
from dataclasses import dataclass

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.dates import WEEKDAYS
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from inspections.desk.plan.forms import ME, KeyForm
from inspections.desk.plan.ical import calendar_of
from inspections.field.access import VIEW
from inspections.models import CalendarKey, Due, PlannedVisit
from inspections.plan_days import months_after
from inspections.rights import require
from inspections.selectors import plan as selector
from inspections.selectors.plan_feed import live_key, visits_in_feed
from inspections.services.calendar_keys import end_key, make_key
from inventory.words import is_english

MONTH = re.compile(r"(\d{4})-(\d{1,2})", re.ASCII)
MOST_A_DAY = 3


@dataclass(frozen=True, slots=True)
class Day:
    """A day of the calendar; ``due`` are bridges on whose first due day it is."""

    date: dt.date
    inside: bool
    visits: list[PlannedVisit]
    due: list[Due]
    more: int


@require_safe
def month(request: HttpRequest) -> HttpResponse:
    """Show a month as a table of weeks: visits planned, and what is due on which day."""
    require(request.user, VIEW)
    today = timezone.localdate()
    asked = request.GET.get("month", "")
    first = _first_day(asked)
    if asked and first is None:
        messages.error(
            request,
            _("«%(asked)s» is no month. Write it as %(today)s.")
            % {"asked": asked, "today": f"{today:%Y-%m}"},
        )
    first = first or today.replace(day=1)
    weeks = calendar.Calendar().monthdatescalendar(first.year, first.month)
    span = (weeks[0][0], weeks[-1][-1])
    mine = request.GET.get("who") == ME
    plans, due = selector.in_brief()
    plans = plans.filter(planned_on__range=span, cancelled_at__isnull=True)
    due = due.filter(due_on__range=span)
    if mine:
        plans = selector.of_user(plans, request.user)
        due = selector.due_assigned_to(due, request.user)
    visits, dues = defaultdict(list), defaultdict(dict)
    for visit in plans:
        visits[visit.planned_on].append(visit)
    for row in due:
        dues[row.due_on].setdefault(row.bridge_id, row)
    return render(
        request,
        "plan/calendar.html",
        {
            "first": first,
            "today": today,
            "before": months_after(first, -1),
            "after": months_after(first, 1),
            "weekdays": _days_of_week(),
            "weeks": [
                (
                    week[0].isocalendar().week,
                    [_day(day, first, visits[day], list(dues[day].values())) for day in week],
                )
                for week in weeks
            ],
            "mine": mine,
            "count": sum(len(there) for there in visits.values()),
        },
    )


def _day(day: dt.date, first: dt.date, visits: list[PlannedVisit], due: list[Due]) -> Day:
    return Day(
        day,
        day.month == first.month,
        visits,
        due[:MOST_A_DAY],
        max(0, len(due) - MOST_A_DAY),
    )


def _days_of_week() -> list[tuple[str, str]]:
    """Return each day in short and in full; German shortens to two letters."""
    letters = 3 if is_english() else 2
    return [(str(name)[:letters], str(name)) for name in WEEKDAYS.values()]


def _first_day(text: str) -> dt.date | None:
    found = MONTH.fullmatch(text)
    if found is None:
        return None
    year, number = int(found[1]), int(found[2])
    # The weeks around it must have dates as well.
    if not (1900 <= year <= 2200 and 1 <= number <= 12):
        return None
    return dt.date(year, number, 1)


def subscriptions(request: HttpRequest) -> HttpResponse:
    """Show a user's addresses for calendar programs; make one, shown this once."""
    require(request.user, VIEW)
    form = KeyForm(request.POST if request.method == "POST" else None)
    address = ""
    if request.method == "POST" and form.is_valid():
        try:
            key = make_key(user=request.user, **form.cleaned_data)
        except ValidationError as refusal:
            form.add_error(None, refusal)
        else:
            address = request.build_absolute_uri(reverse("calendar-feed", args=[key]))
    response = render(
        request,
        "plan/subscriptions.html",
        {
            "form": form,
            "address": address,
            "keys": CalendarKey.objects.filter(user=request.user, ended_at__isnull=True),
        },
    )
    # The address opens the plan to whoever has it.
    response["Cache-Control"] = "no-store"
    return response


@require_POST
def subscription_end(request: HttpRequest, pk: object) -> HttpResponse:
    """End one of the user's addresses."""
    require(request.user, VIEW)
    end_key(key=get_object_or_404(CalendarKey, pk=pk, user=request.user))
    messages.success(
        request, _("Ended. Calendars that read by this address find nothing any more.")
    )
    return redirect("plan-subscriptions")


@login_not_required
@never_cache
@require_safe
def feed(request: HttpRequest, key: str) -> HttpResponse:
    """Give the plan to a calendar program; a wrong or ended key finds nothing."""
    row = live_key(key)
    if row is None:
        raise Http404("There is no such calendar.")
    require(row.user, VIEW)
    today = timezone.localdate()
    due = (
        selector.due().filter(due_on__lte=today + selector.HORIZON)
        if request.GET.get("due") == "1"
        else ()
    )
    content = calendar_of(
        visits_in_feed(row, today),
        due,
        name="My inspections" if row.only_own else "Inspections",
        now=timezone.now(),
        visit_url=lambda visit: request.build_absolute_uri(reverse("visit", args=[visit.pk])),
        due_url=lambda each: request.build_absolute_uri(
            reverse("bridge-intervals", args=[each.bridge.code])
        ),
        site=request.get_host(),
    )
    return HttpResponse(content, content_type="text/calendar; charset=utf-8")
