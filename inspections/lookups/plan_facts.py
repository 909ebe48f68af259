"""What the plan of bridges rests on, read of many bridges at once."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Sequence
from functools import cached_property
from typing import TypeVar

from django.db.models import F, Max, Min

from inspections.models import (
    Decision,
    EventBridge,
    Flag,
    Inspection,
    Interval,
    Reading,
    WorkItem,
)
from inspections.models.choices import InspectionState
from inspections.models.desk_choices import DecisionKind, FlagState, WorkState
from inventory.models import Bridge, Element, Installation

OfBridge = TypeVar("OfBridge", Interval, EventBridge)
HANDED_IN = (InspectionState.SUBMITTED, InspectionState.ACCEPTED)
LOOKED_AT = (FlagState.WATCHED, FlagState.TO_MEASURE, FlagState.ACCEPTED)
"""States in which a flag asks for another look by a day."""
MENDED = FlagState.MENDED


def in_place_since_of(bridges: Sequence[Bridge]) -> dict[int, dict[int, dt.date]]:
    """Return the day of the first device of each element, by bridge and element."""
    found: dict[int, dict[int, dt.date]] = defaultdict(dict)
    first = Min("installations__installed_on")
    rows = Element.objects.filter(bridge__in=bridges).order_by().annotate(since=first)
    for bridge_id, pk, since in rows.values_list("bridge_id", "pk", "since"):
        found[bridge_id][pk] = since
    return found


class Facts:
    """What is read of some bridges at once, by bridge or by flag."""

    def __init__(self, bridge_ids: list[int]) -> None:
        self._bridge_ids = bridge_ids
        self.flags: dict[int, list[Flag]] = defaultdict(list)
        rows = Flag.objects.filter(
            element__bridge__in=bridge_ids, state__in=(*LOOKED_AT, MENDED)
        ).annotate(at_bridge=F("element__bridge_id"))
        for flag in rows.order_by("element_id", "cause"):
            self.flags[flag.at_bridge].append(flag)
        self._every = [flag for some in self.flags.values() for flag in some]

    @cached_property
    def last_read(self) -> dict[int, dict[tuple[int, str], dt.date]]:
        """When each element was last read by each kind of visit."""
        found: dict[int, dict[tuple[int, str], dt.date]] = defaultdict(dict)
        days = (
            Reading.objects.filter(
                inspection__bridge__in=self._bridge_ids, inspection__state__in=HANDED_IN
            )
            .order_by()
            .values_list("inspection__bridge_id", "element_id", "inspection__kind")
            .annotate(day=Max("inspection__date"))
        )
        for bridge_id, element_id, kind, day in days:
            found[bridge_id][element_id, kind] = day
        return found

    @cached_property
    def intervals(self) -> dict[int, list[Interval]]:
        """Intervals that were set for a bridge of its own."""
        return _by_bridge(Interval.objects.filter(bridge__in=self._bridge_ids).order_by("pk"))

    @cached_property
    def watched_months(self) -> dict[int, int | None]:
        """Months between visits by flag that is watched; of two decisions the later stands."""
        if not any(flag.state == FlagState.WATCHED for flag in self._every):
            return {}
        decisions = Decision.objects.filter(
            flag__element__bridge__in=self._bridge_ids,
            flag__state=FlagState.WATCHED,
            kind=DecisionKind.WATCH,
        )
        return dict(decisions.order_by("as_of", "pk").values_list("flag_id", "interval_months"))

    @cached_property
    def to_prove(self) -> dict[int, list[WorkItem]]:
        """Finished pieces of work that no visit has proved."""
        found: dict[int, list[WorkItem]] = defaultdict(list)
        items = WorkItem.objects.filter(
            order__bridge__in=self._bridge_ids,
            order__state=WorkState.FINISHED,
            proved_by__isnull=True,
        )
        for item in items.select_related("order").order_by("order__finished_on", "pk"):
            found[item.order.bridge_id].append(item)
        return found

    @cached_property
    def mended(self) -> list[Flag]:
        """Flags of which somebody or something says that what they tell of is mended."""
        return [flag for flag in self._every if flag.state == MENDED]

    @cached_property
    def renewed_on(self) -> dict[int, dt.date]:
        """When the present device was set, by element with a mended flag."""
        if not self.mended:
            return {}
        present = Installation.objects.filter(
            element_id__in={flag.element_id for flag in self.mended}, removed_on__isnull=True
        )
        return dict(present.values_list("element_id", "installed_on"))

    @cached_property
    def told_mended(self) -> dict[int, dt.datetime]:
        """From when a decision said so, by mended flag."""
        if not self.mended:
            return {}
        told = Decision.objects.filter(flag__in=self.mended, kind=DecisionKind.MENDED)
        return dict(told.order_by("as_of", "pk").values_list("flag_id", "as_of"))

    @cached_property
    def events(self) -> dict[int, list[EventBridge]]:
        """The events that no visit has been made after."""
        visits = Inspection.objects.filter(
            bridge__in=self._bridge_ids, state__in=HANDED_IN, event__isnull=False
        ).order_by()
        touched = EventBridge.objects.filter(bridge__in=self._bridge_ids)
        rows = list(touched.select_related("event").order_by("event_id"))
        if not rows:
            return {}
        visited = set(visits.values_list("bridge_id", "event_id"))
        return _by_bridge(row for row in rows if (row.bridge_id, row.event_id) not in visited)


def _by_bridge(rows: Iterable[OfBridge]) -> dict[int, list[OfBridge]]:
    found: dict[int, list[OfBridge]] = defaultdict(list)
    for row in rows:
        found[row.bridge_id].append(row)
    return found
