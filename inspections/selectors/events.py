"""Reads of events: the bridges in reach, how far their visits are, and the steps found."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Count, Q, QuerySet
from django.utils import timezone

from inspections.lookups.counts import how_many
from inspections.lookups.field import bridges_to_inspect
from inspections.lookups.plan_facts import HANDED_IN
from inspections.models import AgencySettings, Event, EventBridge, Inspection
from inspections.plan_days import day_at
from inspections.routing import great_circle_km
from inspections.selectors.event_steps import (
    ChannelsAfter,
    StepFound,
    channels_after,
    steps_found,
)
from inventory.models import Bridge, District
from inventory.models.choices import ElementKind, Replaceable
from movement.event_step import StepWord


def events() -> QuerySet[Event]:
    """Return events, the last first, with how many bridges they touch and how many are seen."""
    return Event.objects.annotate(
        bridge_count=how_many(EventBridge, "event"),
        seen_count=how_many(Inspection, "event", "bridge", state__in=HANDED_IN),
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


def with_district(bridges: Iterable[Bridge], district: District | None) -> list[Bridge]:
    """Return bridges, and all of a district that hold elements, each once."""
    own = [] if district is None else bridges_to_inspect().filter(district=district)
    return list(dict.fromkeys([*bridges, *own]))


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
class BridgeAfter:
    """A bridge of an event: its visit, and what it shows."""

    row: EventBridge
    inspection: Inspection | None
    due_on: dt.date
    overdue: bool
    channels: ChannelsAfter

    @property
    def stepped(self) -> int:
        """How many channels stepped."""
        return self.channels.count(StepWord.STEPPED)

    @property
    def stood_still(self) -> int:
        """How many channels read as before, though the temperature called for them to move."""
        return self.channels.stood_still

    @property
    def to_watch(self) -> int:
        """How many channels changed by enough to be watched."""
        return self.channels.count(StepWord.WATCH)

    @property
    def moved(self) -> list[tuple[int, str]]:
        """Return what is told below with how many there are of it; nothing of which is none."""
        counts = [
            (self.stepped, "stepped"),
            (self.stood_still, "stood_still"),
            (self.to_watch, "to_watch"),
        ]
        return [each for each in counts if each[0]]

    @property
    def not_told(self) -> int:
        """Of how many channels it cannot be told whether they moved."""
        return self.channels.count(StepWord.CANNOT_COMPARE)

    @property
    def worst_first(self) -> tuple[float, ...]:
        """Sorts the worst step first; where none was found, the nearest to the event."""
        moved = [each for each in self.channels.compared if each.word >= StepWord.WATCH]
        worst = max((int(each.word), each.weight) for each in moved) if moved else (0, 0.0)
        km = self.row.distance_km
        return (-worst[0], -worst[1], math.inf if km is None else km, self.row.pk)


@dataclass(frozen=True, slots=True)
class BeforeAndAfter:
    """What a bridge shows before and after an event, channel by channel."""

    row: EventBridge
    steps: list[StepFound]
    not_read: list[str]
    new: list[str]


@dataclass(frozen=True, slots=True)
class Summary:
    """How many bridges of an event stepped, else stand still or are to watch, and are late."""

    stepped: int
    stood_still: int
    to_watch: int
    overdue: int


def bridges_after(event: Event) -> list[BridgeAfter]:
    """Return the bridges of an event with their visits, the worst step first, in a few queries."""
    rows = list(event.bridges.select_related("bridge"))
    visits: dict[int, Inspection] = {}
    for visit in Inspection.objects.filter(event=event).order_by("date", "pk"):
        # One that is handed in is not hidden by a later one that is still open.
        if visit.state in HANDED_IN or visit.bridge_id not in visits:
            visits[visit.bridge_id] = visit
    visited = [pk for pk, visit in visits.items() if visit.state in HANDED_IN]
    channels = channels_after(event, visited, AgencySettings.current())
    found = []
    for row in rows:
        visit = visits.get(row.bridge_id)
        handed_in = visit is not None and visit.state in HANDED_IN
        due_on = day_at(event.occurred_at, row.bridge.time_zone) + dt.timedelta(
            days=event.within_days
        )
        found.append(
            BridgeAfter(
                row,
                visit,
                due_on,
                not handed_in and due_on < day_at(timezone.now(), row.bridge.time_zone),
                channels.get(row.bridge_id) or ChannelsAfter(),
            )
        )
    return sorted(found, key=lambda each: each.worst_first)


def before_and_after(rows: Iterable[BridgeAfter]) -> list[BeforeAndAfter]:
    """Return what some of the bridges show, without those that show nothing, in one query."""
    wanted = list(rows)
    return [
        BeforeAndAfter(each.row, steps, not_read, each.channels.new)
        for each, (steps, not_read) in zip(
            wanted, steps_found(each.channels for each in wanted), strict=True
        )
        if steps or not_read or each.channels.new
    ]


def summary_of(rows: Iterable[BridgeAfter]) -> Summary:
    """Return the counts over all bridges of an event."""
    wanted = list(rows)
    return Summary(
        sum(each.stepped > 0 for each in wanted),
        sum(each.stood_still > 0 and not each.stepped for each in wanted),
        sum(each.to_watch > 0 and not each.stepped and not each.stood_still for each in wanted),
        sum(each.overdue for each in wanted),
    )
