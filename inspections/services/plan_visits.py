"""The life of a planned visit: planned, changed, cancelled, or opened as an inspection."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable

from django.contrib.auth.models import AbstractBaseUser
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as mark

from inspections.models import Event, Inspection, PlannedVisit
from inspections.models.choices import InspectionKind, InspectionState, Weather
from inspections.plan_days import day_at
from inspections.services import visits
from inventory.models import Bridge
from inventory.services.authorship import by_user, kept_with_the_row

YEARS_AHEAD = 10
"""A plan farther ahead is a slip of the hand."""


@transaction.atomic
@by_user
def plan_visit(
    *,
    bridge: Bridge,
    kind: str,
    planned_on: dt.date,
    lead: AbstractBaseUser | None = None,
    crew: Iterable[AbstractBaseUser] = (),
    event: Event | None = None,
    note: str = "",
    user: AbstractBaseUser | None = None,
) -> PlannedVisit:
    """Put a visit on the calendar; one of a kind a day at a bridge."""
    visit = PlannedVisit(
        bridge=bridge,
        kind=kind,
        planned_on=planned_on,
        lead=lead,
        event=event,
        note=note,
        created_by=user,
    )
    _check(visit, new_day=True)
    visit.save(force_insert=True)
    visit.crew.set(_without_lead(crew, lead))
    return visit


@transaction.atomic
@by_user
def change_visit(
    *,
    visit: PlannedVisit,
    kind: str,
    planned_on: dt.date,
    lead: AbstractBaseUser | None = None,
    crew: Iterable[AbstractBaseUser] = (),
    event: Event | None = None,
    note: str = "",
    user: AbstractBaseUser | None = None,
) -> PlannedVisit:
    """Change a visit that is still planned."""
    locked = _still_planned(visit, mark("change"))
    new_day = planned_on != locked.planned_on
    locked.kind, locked.planned_on, locked.lead = kind, planned_on, lead
    locked.event, locked.note = event, note
    _check(locked, new_day=new_day)
    with kept_with_the_row(locked):
        locked.crew.set(_without_lead(crew, lead))
    locked.save(update_fields=["kind", "planned_on", "lead", "event", "note"])
    return locked


@transaction.atomic
@by_user
def cancel_visit(*, visit: PlannedVisit, user: AbstractBaseUser | None = None) -> PlannedVisit:
    """Take a visit off the calendar; it stays on record as cancelled."""
    locked = _still_planned(visit, mark("cancel"))
    locked.cancelled_at = timezone.now()
    locked.save(update_fields=["cancelled_at"])
    return locked


@transaction.atomic
@by_user
def open_visit(
    *,
    visit: PlannedVisit,
    date: dt.date,
    team: str,
    weather: str = Weather.UNKNOWN,
    user: AbstractBaseUser | None = None,
) -> Inspection:
    """Open the inspection that was planned: its lead, crew and event go with it.

    An open inspection of the same kind and day that nobody had planned is taken for it; it
    takes on what it lacks.
    """
    locked = _still_planned(visit, mark("open"))
    inspection = Inspection.objects.filter(
        bridge=locked.bridge,
        date=date,
        kind=locked.kind,
        state=InspectionState.OPEN,
        planned_as__isnull=True,
    ).first()
    if inspection is None:
        inspection = visits.open_inspection(
            bridge=locked.bridge,
            date=date,
            kind=locked.kind,
            team=team,
            weather=weather,
            remarks=locked.note,
            lead=locked.lead,
            crew=locked.crew.all(),
            user=user,
        )
    else:
        inspection.lead = inspection.lead or locked.lead
        with kept_with_the_row(inspection):
            inspection.crew.add(*locked.crew.all())
    inspection.event = inspection.event or locked.event
    inspection.save(update_fields=["lead", "event"])
    locked.inspection = inspection
    locked.save(update_fields=["inspection"])
    return inspection


def _still_planned(visit: PlannedVisit, verb: str) -> PlannedVisit:
    locked = PlannedVisit.objects.select_for_update(no_key=True, of=("self",)).get(pk=visit.pk)
    if locked.cancelled_at is not None:
        raise ValidationError(
            _("This visit was cancelled; it is too late to %(verb)s it. Plan another one.")
            % {"verb": _(verb)}
        )
    if locked.inspection_id is not None:
        raise ValidationError(
            _("This visit was opened already; it is too late to %(verb)s it. Go to its inspection.")
            % {"verb": _(verb)}
        )
    return locked


def _check(visit: PlannedVisit, *, new_day: bool) -> None:
    # Two at once would both find the day free.
    Bridge.objects.select_for_update(no_key=True).filter(pk=visit.bridge_id).first()
    visit.full_clean()
    today = day_at(timezone.now(), visit.bridge.time_zone)
    wrong: dict[str, str] = {}
    if new_day and visit.planned_on < today:
        wrong["planned_on"] = _(
            "%(planned_on)s has passed: it is %(today)s at %(code)s. Give a day from today"
            " on; a visit that was made is entered as an inspection."
        ) % {"planned_on": visit.planned_on, "today": today, "code": visit.bridge.code}
    elif visit.planned_on > today + dt.timedelta(days=366 * YEARS_AHEAD):
        wrong["planned_on"] = _(
            "%(planned_on)s is more than %(years_ahead)s years ahead. Check the year."
        ) % {"planned_on": visit.planned_on, "years_ahead": YEARS_AHEAD}
    if visit.event is not None:
        if not visit.event.bridges.filter(bridge=visit.bridge).exists():
            wrong["event"] = _(
                "%(code)s is not among the bridges of %(event)s. Choose another event, or add"
                " the bridge to it."
            ) % {"code": visit.bridge.code, "event": visit.event}
    elif visit.kind == InspectionKind.EVENT:
        wrong["event"] = _("Say after which event, or choose another kind.")
    same = PlannedVisit.objects.filter(
        bridge=visit.bridge,
        kind=visit.kind,
        planned_on=visit.planned_on,
        cancelled_at__isnull=True,
    ).exclude(pk=visit.pk)
    if "planned_on" not in wrong and same.exists():
        wrong["planned_on"] = _(
            "A visit of this kind to %(code)s is planned for %(planned_on)s already. Change"
            " that one, or give another day or kind."
        ) % {"code": visit.bridge.code, "planned_on": visit.planned_on}
    if wrong:
        raise ValidationError(wrong)


def _without_lead(
    crew: Iterable[AbstractBaseUser], lead: AbstractBaseUser | None
) -> list[AbstractBaseUser]:
    return [each for each in crew if each != lead]
