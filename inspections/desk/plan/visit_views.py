"""A planned visit: planned by what is due, changed, cancelled, opened as an inspection."""

from __future__ import annotations

import datetime as dt

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from inspections.desk.plan.forms import BridgeChoiceForm, OpenForm, VisitForm
from inspections.desk.plan.shown import time_shown, whys_shown
from inspections.field.access import OPEN_VISIT, VIEW
from inspections.lookups.field import bridges_to_inspect, same_visit
from inspections.models import PlannedVisit
from inspections.models.choices import InspectionKind
from inspections.plan_days import day_at
from inspections.preferences import system_of
from inspections.rights import User, only_in, require
from inspections.selectors import plan as selector
from inspections.selectors.plan_best_time import time_of_bridge
from inspections.services import plan_visits
from inspections.services.visits import DAYS_AHEAD
from inventory.models import Bridge

PLAN = "inspections.plan_visits"
CONFLICT = 409
MOST_DUE = 40


def visit_for(user: User, pk: int, *permissions: str) -> PlannedVisit:
    """Return a planned visit to a user who may see it and do what is asked."""
    require(user, VIEW, *permissions)
    visit = get_object_or_404(selector.planned().select_related("bridge__district"), pk=pk)
    only_in(visit.bridge.district_id)
    return visit


def visit_new(request: HttpRequest) -> HttpResponse:
    """Plan a visit to a bridge, with what is due there and when it would tell most beside."""
    require(request.user, VIEW, PLAN)
    code = request.GET.get("bridge", "")
    bridges = bridges_to_inspect()
    bridge = bridges.filter(code=code).first() if code else None
    if bridge is None:
        chooser = BridgeChoiceForm(request.GET if code else None, bridges=bridges)
        return render(request, "plan/visit_bridge.html", {"form": chooser, "code": code})
    rows = list(selector.due().filter(bridge=bridge))
    proposed = selector.proposal(rows, day_at(timezone.now(), bridge.time_zone))
    form = VisitForm(
        request.POST or None,
        bridge=bridge,
        initial={
            "kind": InspectionKind.EVENT if request.GET.get("event") else proposed.kind,
            "note": proposed.note,
            "event": request.GET.get("event") or proposed.event_id,
            "planned_on": _day(request.GET.get("day", "")),
        },
    )
    if request.method == "POST" and form.is_valid():
        try:
            planned = plan_visits.plan_visit(bridge=bridge, **form.values(), user=request.user)
        except ValidationError as refusal:
            form.refuse(refusal)
        else:
            messages.success(
                request, _("Planned for %(planned_on)s.") % {"planned_on": planned.planned_on}
            )
            return redirect("visit", planned.pk)
    return _form_page(request, form, bridge, rows, None)


def visit_change(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a planned visit."""
    planned = visit_for(request.user, pk, PLAN)
    form = VisitForm(request.POST or None, bridge=planned.bridge, instance=planned)
    if request.method == "POST" and form.is_valid():
        try:
            plan_visits.change_visit(visit=planned, **form.values(), user=request.user)
        except ValidationError as refusal:
            form.refuse(refusal)
        else:
            messages.success(request, _("Changed."))
            return redirect("visit", pk)
    rows = list(selector.due().filter(bridge=planned.bridge))
    return _form_page(request, form, planned.bridge, rows, planned)


@require_safe
def visit(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a planned visit, and offer to open its inspection."""
    return _page(request, visit_for(request.user, pk))


@require_POST
def visit_cancel(request: HttpRequest, pk: int) -> HttpResponse:
    """Cancel a planned visit."""
    planned = visit_for(request.user, pk, PLAN)
    try:
        plan_visits.cancel_visit(visit=planned, user=request.user)
    except ValidationError as refusal:
        return _page(request, planned, refusals=refusal.messages, status=CONFLICT)
    messages.success(request, _("Cancelled. Calendars that read the plan will show it so."))
    return redirect("visit", pk)


@require_POST
def visit_open(request: HttpRequest, pk: int) -> HttpResponse:
    """Open the inspection of a planned visit, which puts it on the tablets."""
    planned = visit_for(request.user, pk, OPEN_VISIT)
    form = OpenForm(request.POST)
    if not form.is_valid():
        return _page(request, planned, form=form)
    try:
        inspection = plan_visits.open_visit(visit=planned, **form.cleaned_data, user=request.user)
    except ValidationError as refusal:
        for name, told in getattr(refusal, "message_dict", {None: refusal.messages}).items():
            for message in told:
                form.add_error(name if name in form.fields else None, message)
        day = form.cleaned_data.get("date")
        standing = same_visit(planned.bridge, day, planned.kind) if day else None
        return _page(request, planned, form=form, standing=standing, status=CONFLICT)
    messages.success(
        request, _("Inspection opened. Its lead and crew can take it along on a tablet.")
    )
    return redirect("inspection", inspection.pk)


def _day(text: str) -> dt.date | None:
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        return None


def _form_page(
    request: HttpRequest,
    form: VisitForm,
    bridge: Bridge,
    rows: list,
    planned: PlannedVisit | None,
) -> HttpResponse:
    today = day_at(timezone.now(), bridge.time_zone)
    return render(
        request,
        "plan/visit_form.html",
        {
            "form": form,
            "bridge": bridge,
            "planned": planned,
            "whys": whys_shown(rows[:MOST_DUE], today),
            "more": max(0, len(rows) - MOST_DUE),
            "best": time_shown(time_of_bridge(bridge), system_of(request)),
        },
    )


def _page(
    request: HttpRequest,
    planned: PlannedVisit,
    *,
    form: OpenForm | None = None,
    refusals: list[str] | None = None,
    standing: object = None,
    status: int = 200,
) -> HttpResponse:
    today = day_at(timezone.now(), planned.bridge.time_zone)
    people = {*planned.crew.all(), *filter(None, [planned.lead])}
    still = planned.cancelled_at is None and planned.inspection_id is None
    rows = selector.due().filter(bridge=planned.bridge)
    return render(
        request,
        "plan/visit.html",
        {
            "visit": planned,
            "still": still,
            "late": still and planned.planned_on < today,
            "early": planned.planned_on - today > DAYS_AHEAD,
            "opens_on": planned.planned_on - DAYS_AHEAD,
            "form": form
            or OpenForm(initial={"date": _opens_on(planned, today), "team": _team(planned)}),
            "refusals": refusals or [],
            "standing": standing,
            "notices": selector.conflicts(
                bridge=planned.bridge, planned_on=planned.planned_on, people=people, but=planned
            )
            if still
            else [],
            "whys": whys_shown(rows[:MOST_DUE], today),
            "changes": planned.history.select_related("history_user", "lead")[:20],
        },
        status=status,
    )


def _opens_on(planned: PlannedVisit, today: dt.date) -> dt.date:
    """Return the planned day where it can be opened already or was yesterday, else today."""
    near = abs((planned.planned_on - today).days) <= 1
    return planned.planned_on if near else today


def _team(planned: PlannedVisit) -> str:
    count = len(planned.crew.all())
    if not planned.lead:
        return _("%(count)s inspectors") % {"count": count} if count > 1 else _("Inspector")
    return _("Lead inspector and %(count)s") % {"count": count} if count else _("Lead inspector")
