"""A large invented stock for the engineer's desk: one bridge told by the services, then copied.

The first bridge has 20 elements, six visits, the last of them after an event, faults, decisions,
an order, a study of options and a plan.  Its copies are written table by table, with every
reference moved to the copy's own rows; the states and ranks of their flags are then spread, so
that a list has something to order.
"""

from __future__ import annotations

import datetime as dt
import random
import uuid
from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from typing import Any

from django.db import models, transaction

from inspections.models import (
    CapacityCheck,
    Criterion,
    Decision,
    Due,
    ElementHistory,
    ElementStatus,
    Event,
    EventBridge,
    Explanation,
    Flag,
    Inspection,
    Interval,
    Option,
    OptionJudgement,
    OptionStudy,
    PlannedVisit,
    Reading,
    Sighting,
    TemperatureReading,
    UnitDiagnosis,
    Verdict,
    VisitSeen,
    WorkItem,
    WorkOrder,
)
from inspections.models.choices import VerdictWord
from inspections.models.desk_choices import DecisionKind, FlagState
from inspections.services import decisions, options
from inspections.services.work import order_work
from inventory.models import (
    BearingDesign,
    Bridge,
    Element,
    Installation,
    JointDesign,
    Support,
    TemperatureBasis,
    Unit,
)
from tests.inspections.over_years import MEASURED, free_mm, visit
from tests.make import make_bridge, make_element, make_unit, make_user

VISITS = (
    (dt.date(2018, 1, 24), -12.0),
    (dt.date(2019, 7, 16), 35.0),
    (dt.date(2021, 2, 10), -7.0),
    (dt.date(2022, 8, 2), 31.0),
    (dt.date(2024, 1, 30), -10.0),
)
MOVED_ON, MOVED_MM = dt.date(2020, 6, 1), 25.0
FROZEN = ("B90-2", "B60-3")
LINES, STATIONS = 4, (30.0, 60.0, 90.0, 120.0)
ELEMENTS = LINES * len(STATIONS) + 4
"""A joint stands at each support besides."""
UNTIL = dt.date(2040, 1, 1)
TABLES: tuple[tuple[type[models.Model], str], ...] = (
    (Bridge, "pk"),
    (TemperatureBasis, "bridge"),
    (Unit, "bridge"),
    (Support, "bridge"),
    (Element, "bridge"),
    (Installation, "element__bridge"),
    (BearingDesign, "installation__element__bridge"),
    (JointDesign, "installation__element__bridge"),
    (Inspection, "bridge"),
    (Reading, "inspection__bridge"),
    (TemperatureReading, "inspection__bridge"),
    (Verdict, "element__bridge"),
    (ElementHistory, "element__bridge"),
    (UnitDiagnosis, "unit__bridge"),
    (Explanation, "diagnosis__unit__bridge"),
    (ElementStatus, "element__bridge"),
    (CapacityCheck, "element__bridge"),
    (Sighting, "element__bridge"),
    (VisitSeen, "inspection__bridge"),
    (Flag, "element__bridge"),
    (OptionStudy, "bridge"),
    (Criterion, "study__bridge"),
    (Option, "study__bridge"),
    (OptionJudgement, "option__study__bridge"),
    (WorkOrder, "bridge"),
    (WorkItem, "order__bridge"),
    (Decision, "flag__element__bridge"),
    (Interval, "bridge"),
    (EventBridge, "bridge"),
    (PlannedVisit, "bridge"),
    (Due, "bridge"),
)
"""What belongs to a bridge, and the way to it; what a row refers to comes before it."""


@dataclass(frozen=True)
class Stock:
    """What a stock was made of, for the addresses of its pages."""

    engineer: Any
    bridge: Bridge
    event: Event
    study: OptionStudy
    order: WorkOrder

    @property
    def flag(self) -> Flag:
        """A flag of the first bridge that has been decided on."""
        return Flag.objects.filter(element__bridge=self.bridge, decisions__isnull=False)[0]


@transaction.atomic
def make_stock(elements: int, today: dt.date) -> Stock:
    """Return a stock of so many elements, in twenties."""
    stock = first_bridge(today)
    copy_bridge(stock.bridge, elements // ELEMENTS - 1)
    spread()
    return stock


def read_bridge(
    code: str,
    visits: Iterable[tuple[dt.date, float]],
    frozen: Collection[str] = (),
    moved_from: dt.date = dt.date.max,
) -> Bridge:
    """Return a bridge read in visits of (date, temperature [degC]).

    ``frozen`` bearings stay where they are; the last support moves after ``moved_from``.
    """
    bridge = make_bridge(code, latitude_deg=50.0, longitude_deg=10.0)
    unit = make_unit(bridge, end_station_m=STATIONS[-1])
    places = {}
    for station_m in STATIONS:
        for line in range(1, LINES + 1):
            places[f"B{station_m:g}-{line}"] = make_element(
                unit,
                code=f"B{station_m:g}-{line}",
                station_m=station_m,
                place={"line": f"G{line}"},
                installation=MEASURED | {"setting_offset_along_mm": 0.0},
                design={
                    "movement_back_mm": 90.0,
                    "movement_ahead_mm": 90.0,
                    "vertical_service_max_kn": 2000.0,
                },
            )
        places[f"J{station_m:g}"] = make_element(
            unit,
            "strip_seal",
            code=f"J{station_m:g}",
            station_m=station_m,
            installation=MEASURED | {"setting_gap_mm": 60.0},
            design={"opening_min_mm": 12.0, "opening_max_mm": 110.0},
        )
    for date, temperature_c in visits:
        rows = []
        for place, element in places.items():
            moved = MOVED_MM if element.station_m == STATIONS[-1] and date > moved_from else 0.0
            free = free_mm(element.station_m, temperature_c) + moved
            if place.startswith("J"):
                rows.append((element, "gap", round(60.0 - free) * 1.0, "centre"))
            else:
                offset = 0.0 if place in frozen else round(free) * 1.0
                rows.append((element, "offset_along", offset, ""))
        visit(bridge, date, temperature_c, rows)
    return bridge


def first_bridge(today: dt.date, visits: Iterable[tuple[dt.date, float]] = VISITS) -> Stock:
    """Return the bridge that is copied, with what was found, decided and planned there."""
    engineer, yesterday = make_user("engineer"), today - dt.timedelta(days=1)
    bridge = read_bridge("S-000", [*visits, (yesterday, 12.0)], FROZEN, MOVED_ON)
    tremor = _tremor(bridge, today)
    Inspection.objects.filter(bridge=bridge, date=yesterday).update(event=tremor)
    return _decided_and_planned(bridge, engineer, today, tremor)


def _tremor(bridge: Bridge, today: dt.date) -> Event:
    event = Event.objects.create(
        kind="earthquake",
        name="Tremor",
        occurred_at=dt.datetime.combine(today - dt.timedelta(days=2), dt.time(4), dt.UTC),
        latitude_deg=50.1,
        longitude_deg=10.1,
        radius_km=30.0,
        within_days=7,
    )
    EventBridge.objects.create(event=event, bridge=bridge, distance_km=13.0)
    return event


def _decided_and_planned(bridge: Bridge, engineer: Any, today: dt.date, event: Event) -> Stock:
    flags = list(Flag.objects.filter(element__bridge=bridge).order_by("-severity", "pk"))
    signed = {"user": engineer, "reason": "Looked at on the site."}
    kinds = (DecisionKind.ACCEPT, DecisionKind.WATCH, DecisionKind.MEASURE_AGAIN)
    for flag, kind in zip(flags[2:], kinds, strict=False):
        decisions.decide(flag=flag, kind=kind, until=UNTIL, **signed)
    study = options.open_study(
        bridge=bridge,
        title="Bearing frozen",
        question="How is its movement restored?",
        user=engineer,
        flag=flags[0],
        criteria=[options.NewCriterion(kind, 1.0) for kind in ("access", "traffic", "cost")],
    )
    for name in ("Clean and grease", "Reset", "Replace"):
        option = options.add_option(study=study, name=name)
        options.judge_option(
            option=option,
            judgements=[options.NewJudgement(each, 3, "fair") for each in study.criteria.all()],
            user=engineer,
        )
    order = order_work(
        bridge=bridge,
        kind="reset",
        title="Reset the bearings",
        user=engineer,
        ordered_on=today,
        flags=flags[:2],
        reason="It does not move.",
        study=study,
    )
    Interval.objects.create(bridge=bridge, kind="routine", months=12, reason="Faults")
    PlannedVisit.objects.create(
        bridge=bridge, planned_on=today, lead=make_user("inspector"), event=event, kind="event"
    )
    return Stock(engineer, bridge, event, study, order)


def copy_bridge(first: Bridge, times: int) -> None:
    """Write so many copies of all that belongs to a bridge."""
    moved: list[dict[type[models.Model], dict[Any, Any]]] = [
        defaultdict(dict) for _ in range(times)
    ]
    for own in moved:  # an element and its device name each other
        for pk in Installation.objects.filter(element__bridge=first).values_list("pk", flat=True):
            own[Installation][pk] = uuid.uuid4()
    for model, way in TABLES:
        rows = list(model.objects.filter(**{way: first.pk}).order_by("pk"))
        made = [_copied(row, number, moved[number]) for number in range(times) for row in rows]
        model.objects.bulk_create(made, batch_size=300)
        for number in range(times):
            own = made[number * len(rows) : (number + 1) * len(rows)]
            moved[number][model].update(
                {row.pk: copy.pk for row, copy in zip(rows, own, strict=True)}
            )


def _copied(row: models.Model, number: int, moved: dict[type[models.Model], dict]) -> models.Model:
    values: dict[str, Any] = {}
    for field in row._meta.concrete_fields:
        value = getattr(row, field.attname)
        if field.primary_key:
            value = moved[type(row)].get(value)
        elif field.is_relation:
            value = moved[field.related_model].get(value, value)
        elif field.unique or (isinstance(row, Bridge) and field.name == "code"):
            value = f"{value}-{number + 1:03}"
        values[field.attname] = value
    return type(row)(**values)


def spread() -> None:
    """Give the flags states, severities and ranks of all kinds, the same in every run."""
    dice = random.Random(20261125)
    states = [each for each in FlagState if each != FlagState.WITHDRAWN]
    rows = list(Flag.objects.order_by("pk"))
    for row in rows[ELEMENTS:]:
        row.state = dice.choice([*states, FlagState.OPEN, FlagState.OPEN])
        row.severity = dice.choice((VerdictWord.WATCH, VerdictWord.OUT_OF_RANGE))
        row.nearness = dice.random()
        if row.state in (FlagState.ACCEPTED, FlagState.WATCHED, FlagState.TO_MEASURE):
            row.until = dt.date(dice.randint(2024, 2040), 1, 1)
    names = ["state", "severity", "nearness", "until"]
    Flag.objects.bulk_update(rows, names, batch_size=200)
