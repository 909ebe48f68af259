"""One valid saved row of every table of the engineer's desk; see :mod:`tests.rows`."""

import datetime as dt
import itertools
from collections.abc import Callable

from django.db import models

from inspections.models import (
    ApiKey,
    CalendarKey,
    Criterion,
    Decision,
    Due,
    Event,
    EventBridge,
    Flag,
    HeldRole,
    IdempotentAnswer,
    Interval,
    Job,
    Option,
    OptionJudgement,
    OptionStudy,
    PlainPage,
    PlannedVisit,
    SavedFilter,
    Seal,
    Sighting,
    ToJudge,
    VisitSeen,
    WorkItem,
    WorkOrder,
)
from inspections.models.choices import VerdictWord
from inventory.models import Element
from tests.make import UTC, make_bridge, make_element, make_inspection, make_unit, make_user

_number = itertools.count(1)
AT = dt.datetime(2024, 6, 1, 8, tzinfo=UTC)
EVIDENCE = [
    {
        "kind": "reading",
        "quantity": "offset_along",
        "point": "centre",
        "axis": "",
        "value": 40.0,
        "expected": -9.4,
        "u_residual": 4.5,
        "residual": 49.4,
        "residual_in_u": 11.0,
        "use": None,
        "temperature_c": 12.0,
        "reasons": ["residual"],
    }
]
"""What a reading far from where it should be leaves behind; invented."""


def element() -> Element:
    """Return a bearing on a bridge of its own."""
    return make_element(make_unit(make_bridge()))


def flag(place: Element | None = None, **fields) -> Flag:
    """Return a flag as one visit opens it, at an element of its own unless given."""
    values = {
        "cause": "position",
        "severity": VerdictWord.OUT_OF_RANGE,
        "first_seen_at": AT,
        "last_seen_at": AT,
        "opened_at": AT,
        "times_seen": 1,
    } | fields
    return Flag.objects.create(element=place or element(), **values)


def decision(of: Flag | None = None, **fields) -> Decision:
    """Return a decision to accept a flag until the end of 2027."""
    values = {
        "kind": "accept",
        "reason": "Stable for two years, within the reach of the plate.",
        "as_of": AT + dt.timedelta(days=9),
        "until": dt.date(2027, 12, 31),
        "severity": VerdictWord.OUT_OF_RANGE,
        "state_before": "open",
        "evidence": EVIDENCE,
        "thresholds": {"out_k": 3.0},
        "model_version": "test",
        "signed_as": "Engineer",
        "decided_at": AT + dt.timedelta(days=9),
        "relied_on": [[1, True, int(VerdictWord.OUT_OF_RANGE)]],
        "digest": "0" * 64,
    } | fields
    by = values.pop("decided_by", None) or make_user("engineer")
    return Decision.objects.create(flag=of or flag(), decided_by=by, **values)


def study(**fields) -> OptionStudy:
    """Return a study of how to mend a bearing."""
    place = element()
    values = {"title": "Bearing frozen", "question": "How is its movement restored?"} | fields
    return OptionStudy.objects.create(bridge=place.bridge, element=place, **values)


def order(**fields) -> WorkOrder:
    """Return an order to reset a bearing."""
    values = {
        "bridge": fields.pop("bridge", None) or make_bridge(),
        "code": f"W-{next(_number)}",
        "kind": "reset",
        "title": "Reset the bearing",
        "ordered_on": dt.date(2024, 7, 1),
    } | fields
    return WorkOrder.objects.create(**values)


def event(**fields) -> Event:
    """Return a small earthquake."""
    values = {
        "kind": "earthquake",
        "name": f"Tremor {next(_number)}",
        "occurred_at": AT,
        "latitude_deg": 50.0,
        "longitude_deg": 10.0,
        "radius_km": 30.0,
        "within_days": 7,
    } | fields
    return Event.objects.create(**values)


def _sighting() -> Sighting:
    place = element()
    return Sighting.objects.create(
        element=place,
        inspection=make_inspection(place.bridge),
        cause="position",
        seen_at=AT,
        shown=True,
        severity=VerdictWord.OUT_OF_RANGE,
        evidence=EVIDENCE,
    )


def _planned() -> PlannedVisit:
    """Return a planned visit that has become an inspection."""
    bridge = make_bridge()
    return PlannedVisit.objects.create(
        bridge=bridge,
        planned_on=dt.date(2024, 6, 1),
        lead=make_user("inspector"),
        inspection=make_inspection(bridge),
    )


def _due() -> Due:
    of = flag()
    return Due.objects.create(
        bridge=of.element.bridge,
        element=of.element,
        reason="watch",
        due_on=dt.date(2024, 12, 1),
        last_on=dt.date(2024, 6, 1),
        months=6,
        flag=of,
    )


def _interval() -> Interval:
    place = element()
    return Interval.objects.create(
        bridge=place.bridge, element=place, kind="routine", months=12, reason="Worn"
    )


def _criterion(of: OptionStudy | None = None) -> Criterion:
    return Criterion.objects.create(study=of or study(), kind="access")


def job(user=None, **fields) -> Job:
    """Return a condition report that waits to be printed for an engineer."""
    values = {
        "kind": "condition_report",
        "title": "Condition report of B-1",
        "parameters": {"key": 1, "units": "si"},
        "unit": "elements",
        "total_count": 59,
        "asked_at": AT,
        "queued_at": AT,
    } | fields
    return Job.objects.create(asked_by=user or make_user("engineer"), **values)


def _option(of: OptionStudy | None = None) -> Option:
    return Option.objects.create(study=of or study(), name=f"Option {next(_number)}")


def _judgement() -> OptionJudgement:
    of = study()
    return OptionJudgement.objects.create(option=_option(of), criterion=_criterion(of), score=3)


def plain_page(**fields) -> PlainPage:
    """Return a saved page in plain words."""
    of = flag()
    values = {
        "bridge": of.element.bridge,
        "flag": of,
        "title": "The bearing: not where it should be",
        "found": "It moved too little.",
        "meaning": "An engineer decides.",
        "plan": "No date has been set.",
        "unknown": "Why it is so.",
        "units": "si",
        "generated": {"found": "It moved too little."},
        "relied_on": {"state": "open"},
        "digest": "0" * 64,
        "model_version": "test",
        "saved_by": make_user("manager"),
        "saved_at": AT,
    } | fields
    return PlainPage.objects.create(**values)


def _item() -> WorkItem:
    of = flag()
    return WorkItem.objects.create(
        order=order(bridge=of.element.bridge), element=of.element, flag=of
    )


DESK_BUILDERS: dict[type[models.Model], Callable[[], models.Model]] = {
    Sighting: _sighting,
    VisitSeen: lambda: VisitSeen.objects.create(
        inspection=make_inspection(make_bridge()), digest="0" * 64
    ),
    Flag: flag,
    Decision: decision,
    Seal: lambda: Seal.objects.create(
        number=next(_number),
        kind="decision",
        row_id=next(_number),
        signed_at=AT,
        content="0" * 64,
        previous="0" * 64,
        digest=f"{next(_number):064x}",
    ),
    SavedFilter: lambda: SavedFilter.objects.create(
        user=make_user("engineer"), page="queue", name="Mine", query="state=open"
    ),
    CalendarKey: lambda: CalendarKey.objects.create(
        user=make_user("inspector"), digest=f"{next(_number):064x}"
    ),
    HeldRole: lambda: HeldRole.objects.create(
        user=make_user(), role="inspector", district=make_bridge().district
    ),
    ApiKey: lambda: ApiKey.objects.create(
        owner=make_user("inspector"),
        name="Script",
        prefix="bjl_abcdefgh",
        digest=f"{next(_number):064x}",
        created_at=AT,
        expires_at=AT + dt.timedelta(days=30),
    ),
    IdempotentAnswer: lambda: IdempotentAnswer.objects.create(
        user=make_user("inspector"),
        key=f"key-{next(_number):04}",
        digest="0" * 64,
        status=201,
        body={"id": 1},
        created_at=AT,
    ),
    Interval: _interval,
    Job: job,
    ToJudge: lambda: ToJudge.objects.create(
        bridge=make_bridge(), job=job(kind="reassessment", parameters={"by": "the settings"})
    ),
    Event: event,
    EventBridge: lambda: EventBridge.objects.create(
        event=event(), bridge=make_bridge(), distance_km=12.0
    ),
    Due: _due,
    PlannedVisit: _planned,
    OptionStudy: study,
    Criterion: _criterion,
    Option: _option,
    OptionJudgement: _judgement,
    WorkOrder: order,
    WorkItem: _item,
    PlainPage: plain_page,
}
