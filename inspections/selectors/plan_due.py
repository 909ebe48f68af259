"""What is due at one bridge, and why: from its visits, intervals, flags, events and work.

Nothing here asks for today: a visit is due on a day, and whether that day has passed is told
by whoever shows it.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator
from functools import cached_property

from django.db.models import Max, Min

from inspections.models import (
    AgencySettings,
    Decision,
    Due,
    EventBridge,
    Flag,
    Inspection,
    Interval,
    Reading,
    WorkItem,
)
from inspections.models.choices import InspectionKind, InspectionState
from inspections.models.desk_choices import DecisionKind, DueReason, FlagState, WorkState
from inspections.plan_days import day_at, months_after
from inventory.models import Bridge, Element, Installation

HANDED_IN = (InspectionState.SUBMITTED, InspectionState.ACCEPTED)
COUNTS_AS = {
    InspectionKind.ROUTINE: (InspectionKind.ROUTINE, InspectionKind.IN_DEPTH),
    InspectionKind.IN_DEPTH: (InspectionKind.IN_DEPTH,),
}
"""Kinds of visit that keep an interval: a deeper one counts as well."""
REASON_OF = {
    InspectionKind.ROUTINE: DueReason.ROUTINE,
    InspectionKind.IN_DEPTH: DueReason.IN_DEPTH,
}


LOOKED_AT = (FlagState.WATCHED, FlagState.TO_MEASURE, FlagState.ACCEPTED)
"""States in which a flag asks for another look by a day."""
MENDED = FlagState.MENDED


def due_at(
    bridge: Bridge,
    agency: AgencySettings,
    in_place_since: dict[int, dt.date] | None = None,
) -> list[Due]:
    """Return the unsaved rows of what is due at a bridge; none where nothing can be read.

    ``in_place_since``: the day of the first device of each element, where it is known.
    """
    visits = _Visits(bridge, in_place_since)
    if not visits.in_place_since:
        return []
    of_bridge = Flag.objects.filter(element__bridge=bridge, state__in=(*LOOKED_AT, MENDED))
    flags = list(of_bridge.order_by("element_id", "cause"))
    return [
        *_intervals(bridge, agency, visits),
        *_flags(bridge, agency, visits, [each for each in flags if each.state != MENDED]),
        *_proving(bridge, agency, [each for each in flags if each.state == MENDED]),
        *_events(bridge),
    ]


class _Visits:
    """When each element of a bridge was last read, by kind of visit, and since when it stands."""

    def __init__(self, bridge: Bridge, in_place_since: dict[int, dt.date] | None) -> None:
        if in_place_since is None:
            first = Min("installations__installed_on")
            rows = Element.objects.filter(bridge=bridge).order_by().annotate(since=first)
            in_place_since = dict(rows.values_list("pk", "since"))
        self.in_place_since = in_place_since
        self._bridge = bridge

    @cached_property
    def _last(self) -> dict[tuple[int, str], dt.date]:
        days = (
            Reading.objects.filter(inspection__bridge=self._bridge, inspection__state__in=HANDED_IN)
            .order_by()
            .values_list("element_id", "inspection__kind")
            .annotate(day=Max("inspection__date"))
        )
        return {(element_id, kind): day for element_id, kind, day in days}

    def last(
        self, kinds: Iterable[str] | None = None, element_id: int | None = None
    ) -> dt.date | None:
        """Return the day of the last visit of some kinds that read an element, or any."""
        days = (
            day
            for (at, kind), day in self._last.items()
            if (element_id is None or at == element_id) and (kinds is None or kind in kinds)
        )
        return max(days, default=None)

    def since(self, element_id: int | None = None) -> dt.date:
        """Return since when an element stands in place, or the first of the bridge."""
        if element_id is not None:
            return self.in_place_since[element_id]
        return min(self.in_place_since.values())


def agency_months(agency: AgencySettings) -> dict[str, int]:
    """Return by kind of visit the months that stand where a bridge has no interval of its own."""
    return {
        InspectionKind.ROUTINE.value: int(agency.routine_interval_months),
        InspectionKind.IN_DEPTH.value: int(agency.in_depth_interval_months),
    }


def _intervals(bridge: Bridge, agency: AgencySettings, visits: _Visits) -> Iterator[Due]:
    set_here = Interval.objects.filter(bridge=bridge).order_by("pk")
    own = {(row.element_id, row.kind): row.months for row in set_here}
    wanted = {(None, kind): months for kind, months in agency_months(agency).items()} | own
    for (element_id, kind), months in wanted.items():
        last = visits.last(COUNTS_AS[InspectionKind(kind)], element_id)
        if last is None and visits.last(element_id=element_id) is None:
            # Never visited: due since it stands there.
            due_on = visits.since(element_id)
        else:
            due_on = months_after(last or visits.since(element_id), months)
        yield Due(
            bridge=bridge,
            element_id=element_id,
            reason=REASON_OF[InspectionKind(kind)],
            due_on=due_on,
            last_on=last,
            months=months,
        )


def _flags(
    bridge: Bridge, agency: AgencySettings, visits: _Visits, flags: list[Flag]
) -> Iterator[Due]:
    if not flags:
        return
    months_of = dict(
        # The later of two stands, so it overwrites the earlier.
        Decision.objects.filter(
            flag__element__bridge=bridge,
            flag__state=FlagState.WATCHED,
            kind=DecisionKind.WATCH,
        )
        .order_by("as_of", "pk")
        .values_list("flag_id", "interval_months")
    )
    for flag in flags:
        last = visits.last(element_id=flag.element_id)
        row = Due(bridge=bridge, element_id=flag.element_id, flag=flag, last_on=last)
        if flag.state == FlagState.WATCHED:
            row.reason = DueReason.WATCH
            row.months = months_of.get(flag.pk) or int(agency.watch_interval_months)
            begins = last or (
                day_at(flag.last_seen_at, bridge.time_zone) if flag.last_seen_at else None
            )
            days = [flag.until, months_after(begins, row.months) if begins else None]
            row.due_on = min((day for day in days if day), default=None)
        elif flag.state == FlagState.TO_MEASURE:
            row.reason, row.due_on = DueReason.MEASURE_AGAIN, flag.until
        else:
            row.reason, row.due_on = DueReason.ACCEPTANCE, flag.until
        if row.due_on is not None:
            yield row


def _proving(bridge: Bridge, agency: AgencySettings, mended: list[Flag]) -> list[Due]:
    """Return one row for each element that was mended and not yet proved."""
    rows: dict[int, Due] = {}
    within = dt.timedelta(days=int(agency.proving_days))
    items = (
        WorkItem.objects.filter(
            order__bridge=bridge, order__state=WorkState.FINISHED, proved_by__isnull=True
        )
        .select_related("order")
        .order_by("order__finished_on", "pk")
    )
    for item in items:
        rows[item.element_id] = Due(
            bridge=bridge,
            element_id=item.element_id,
            reason=DueReason.PROVING,
            due_on=item.order.finished_on + within,
            flag_id=item.flag_id,
            order=item.order,
        )
    mended_on = _mended_on(bridge, mended)
    for flag in mended:
        if flag.pk not in mended_on:
            continue
        row = rows.setdefault(
            flag.element_id,
            Due(
                bridge=bridge,
                element_id=flag.element_id,
                reason=DueReason.PROVING,
                due_on=mended_on[flag.pk] + within,
                flag=flag,
            ),
        )
        row.flag_id = row.flag_id or flag.pk
    return list(rows.values())


def _mended_on(bridge: Bridge, flags: list[Flag]) -> dict[int, dt.date]:
    """Return the day on which each flag was mended: by a decision, or by another device."""
    if not flags:
        return {}
    days: dict[int, dt.date] = {}
    renewed = dict(
        Installation.objects.filter(
            element_id__in={flag.element_id for flag in flags}, removed_on__isnull=True
        ).values_list("element_id", "installed_on")
    )
    told = dict(
        Decision.objects.filter(flag__in=flags, kind=DecisionKind.MENDED)
        .order_by("as_of", "pk")
        .values_list("flag_id", "as_of")
    )
    for flag in flags:
        after = day_at(flag.opened_at, bridge.time_zone) if flag.opened_at else None
        device = renewed.get(flag.element_id)
        found = [day_at(told[flag.pk], bridge.time_zone)] if flag.pk in told else []
        # A device set before the flag was opened mended something else.
        if device is not None and after is not None and device >= after:
            found.append(device)
        if found:
            days[flag.pk] = max(found)
    return days


def _events(bridge: Bridge) -> Iterator[Due]:
    visited = Inspection.objects.filter(
        bridge=bridge, state__in=HANDED_IN, event__isnull=False
    ).values("event_id")
    touched = (
        EventBridge.objects.filter(bridge=bridge)
        .exclude(event_id__in=visited)
        .select_related("event")
        .order_by("event_id")
    )
    for row in touched:
        happened_on = day_at(row.event.occurred_at, bridge.time_zone)
        yield Due(
            bridge=bridge,
            reason=DueReason.EVENT,
            due_on=happened_on + dt.timedelta(days=row.event.within_days),
            event=row.event,
        )
