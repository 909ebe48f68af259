"""Reads of events: the bridges in reach, how far their visits are, and the steps found."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from django.db.models import Count, F, OrderBy, Q, QuerySet, Window
from django.db.models.functions import RowNumber
from django.utils import timezone

from inspections.models import AgencySettings, Event, EventBridge, Inspection, Verdict
from inspections.plan_days import day_at
from inspections.routing import great_circle_km
from inspections.selectors.plan_due import HANDED_IN
from inspections.wording import dimension_of
from inventory.models import Bridge
from inventory.models.choices import ElementKind, Replaceable
from inventory.units import Dimension
from movement.event_step import StepWord, Visit, steps_between

_COLUMNS = ("value", "u_reading", "temperature_c", "u_temperature_k", "shortening", "b", "c2")


def events() -> QuerySet[Event]:
    """Return events, the last first, with how many bridges they touch and how many are seen."""
    seen = Q(inspections__state__in=HANDED_IN)
    return Event.objects.annotate(
        bridge_count=Count("bridges", distinct=True),
        seen_count=Count("inspections__bridge", filter=seen, distinct=True),
    ).order_by("-occurred_at", "-pk")


def bridges_with_devices() -> QuerySet[Bridge]:
    """Return bridges with what an event may have damaged: elements, restraints, and those that
    cannot be replaced."""
    return (
        Bridge.objects.filter(elements__isnull=False)
        .select_related("district")
        .annotate(
            element_count=Count("elements", distinct=True),
            restraint_count=Count(
                "elements", filter=Q(elements__kind=ElementKind.RESTRAINT), distinct=True
            ),
            lasting_count=Count(
                "elements", filter=Q(elements__replaceable=Replaceable.NO), distinct=True
            ),
        )
        .order_by("code")
    )


@dataclass(frozen=True, slots=True)
class InReach:
    """A bridge with its distance from a place; None where its coordinates are not known."""

    bridge: Bridge
    km: float | None


def in_reach(
    latitude_deg: float, longitude_deg: float, radius_km: float
) -> tuple[list[InReach], list[Bridge]]:
    """Return the bridges within a radius, the nearest first, and those without coordinates."""
    here = (latitude_deg, longitude_deg)
    near, unknown = [], []
    for bridge in bridges_with_devices():
        if bridge.latitude_deg is None or bridge.longitude_deg is None:
            unknown.append(bridge)
            continue
        km = great_circle_km(here, (bridge.latitude_deg, bridge.longitude_deg))
        if km <= radius_km:
            near.append(InReach(bridge, km))
    return sorted(near, key=lambda each: (each.km or 0.0, each.bridge.code)), unknown


@dataclass(frozen=True, slots=True)
class StepFound:
    """One channel before and after an event; ``use`` is the greatest use of a limit after it."""

    before: Verdict
    after: Verdict
    size: float | None
    u: float | None
    in_u: float | None
    word: StepWord

    @property
    def dimension(self) -> Dimension:
        """What it measures."""
        return dimension_of(self.after)

    @property
    def value_before(self) -> float:
        """As read before."""
        return self.before.value

    @property
    def value_after(self) -> float:
        """As read after."""
        return self.after.value

    @property
    def use(self) -> float | None:
        """The greatest share of a limit that is used after the event."""
        uses = (self.after.use_now, self.after.use_at_min, self.after.use_at_max)
        return max((each for each in uses if each is not None), default=None)

    @property
    def why_not(self) -> str:
        """Why the two cannot be compared; empty where they can."""
        if self.word != StepWord.CANNOT_COMPARE:
            return ""
        for verdict, when in ((self.before, "before"), (self.after, "after")):
            if verdict.temperature_c is None:
                return f"no temperature was taken {when} the event"
        return "the register does not say how it should move with the temperature"


@dataclass(frozen=True, slots=True)
class BridgeAfter:
    """A bridge of an event: its visit, and what it shows."""

    row: EventBridge
    inspection: Inspection | None
    due_on: dt.date
    overdue: bool
    steps: list[StepFound]
    not_read: list[str]
    new: list[str]

    @property
    def stepped(self) -> int:
        """How many channels stepped."""
        return sum(each.word == StepWord.STEPPED for each in self.steps)

    @property
    def to_watch(self) -> int:
        """How many channels changed by enough to be watched."""
        return sum(each.word == StepWord.WATCH for each in self.steps)


def bridges_after(event: Event) -> list[BridgeAfter]:
    """Return the bridges of an event with their visits and the steps found, in a few queries."""
    rows = list(event.bridges.select_related("bridge__district").order_by("distance_km", "pk"))
    visits: dict[int, Inspection] = {}
    for visit in Inspection.objects.filter(event=event).order_by("date", "pk"):
        # One that is handed in is not hidden by a later one that is still open.
        if visit.state in HANDED_IN or visit.bridge_id not in visits:
            visits[visit.bridge_id] = visit
    visited = [pk for pk, visit in visits.items() if visit.state in HANDED_IN]
    verdicts = _verdicts(event, visited)
    agency = AgencySettings.current()
    found = []
    for row in rows:
        visit = visits.get(row.bridge_id)
        handed_in = visit is not None and visit.state in HANDED_IN
        due_on = day_at(event.occurred_at, row.bridge.time_zone) + dt.timedelta(
            days=event.within_days
        )
        pairs, not_read, new = _compared(verdicts[row.bridge_id], event.occurred_at)
        found.append(
            BridgeAfter(
                row,
                visit,
                due_on,
                not handed_in and due_on < timezone.localdate(),
                _steps(pairs, agency) if handed_in else [],
                not_read if handed_in else [],
                new if handed_in else [],
            )
        )
    return found


def _verdicts(event: Event, bridge_ids: Iterable[int]) -> dict[int, list[Verdict]]:
    """Return, by bridge, the last handed-in verdict of each channel before an event and the first
    after it, oldest first."""
    rows = Verdict.objects.filter(
        element__bridge__in=list(bridge_ids), inspection__state__in=HANDED_IN
    )
    before = rows.filter(taken_at__lt=event.occurred_at)
    after = rows.filter(taken_at__gte=event.occurred_at)
    wanted = [
        *_first_of_channel(before, F("taken_at").desc(), F("pk").desc()),
        *_first_of_channel(after, F("taken_at").asc(), F("pk").asc()),
    ]
    found: dict[int, list[Verdict]] = defaultdict(list)
    for row in sorted(wanted, key=lambda each: (each.taken_at, each.pk)):
        found[row.element.bridge_id].append(row)
    return found


def _first_of_channel(rows: QuerySet[Verdict], *order: OrderBy) -> QuerySet[Verdict]:
    place = Window(
        RowNumber(),
        partition_by=[F(name) for name in ("installation_id", "quantity", "point", "axis")],
        order_by=order,
    )
    return rows.annotate(place=place).filter(place=1).select_related("element", "inspection")


def _compared(
    verdicts: Iterable[Verdict], happened: dt.datetime
) -> tuple[list[tuple[Verdict, Verdict]], list[str], list[str]]:
    """Return the last reading before and the first after of each channel of one device, and
    the elements that were read on one side only."""
    before: dict[tuple[object, ...], Verdict] = {}
    after: dict[tuple[object, ...], Verdict] = {}
    read_before, read_after = {}, {}
    for each in verdicts:
        key = (each.installation_id, each.quantity, each.point, each.axis)
        if each.taken_at < happened:
            before[key] = each
            read_before[each.element.code] = True
        else:
            after.setdefault(key, each)
            read_after[each.element.code] = True
    pairs = [(before[key], after[key]) for key in after if key in before]
    compared = {each.element.code for each, _ in pairs}
    not_read = [code for code in read_before if code not in read_after]
    new = [code for code in read_after if code not in compared]
    return pairs, not_read, new


def _steps(pairs: list[tuple[Verdict, Verdict]], agency: AgencySettings) -> list[StepFound]:
    """Return the steps of pairs of readings, the largest in its uncertainty first."""
    if not pairs:
        return []
    first, second = (_columns([pair[side] for pair in pairs]) for side in (0, 1))
    # The later reading knows the register as it is now; where it has no line, the earlier.
    slope = np.where(np.isnan(second["b"]), first["b"], second["b"])
    u_slope = np.sqrt(np.nan_to_num(np.where(np.isnan(second["b"]), first["c2"], second["c2"])))
    steps = steps_between(
        _visit(first), _visit(second), slope, u_slope, agency.watch_k, agency.out_k
    )
    found = [
        StepFound(
            before,
            after,
            *(
                None if np.isnan(column[row]) else float(column[row])
                for column in (steps.size, steps.u, steps.in_u)
            ),
            StepWord(int(steps.word[row])),
        )
        for row, (before, after) in enumerate(pairs)
    ]
    return sorted(found, key=lambda each: (-abs(each.in_u or 0.0), each.after.element.code))


def _columns(rows: list[Verdict]) -> dict[str, np.ndarray]:
    return {
        name: np.array([getattr(row, name) for row in rows], dtype=np.float64) for name in _COLUMNS
    }


def _visit(columns: dict[str, np.ndarray]) -> Visit:
    return Visit(
        columns["value"],
        np.nan_to_num(columns["u_reading"]),
        columns["temperature_c"],
        np.nan_to_num(columns["u_temperature_k"]),
        np.nan_to_num(columns["shortening"]),
    )
