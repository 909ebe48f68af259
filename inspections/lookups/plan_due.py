"""What is due at one bridge, and why: from its visits, intervals, flags, events and work.

Nothing here asks for today: a visit is due on a day, and whether that day has passed is told
by whoever shows it.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Mapping, Sequence

from inspections.lookups.plan_facts import MENDED, Facts, in_place_since_of
from inspections.models import AgencySettings, Due, Flag
from inspections.models.choices import InspectionKind
from inspections.models.desk_choices import DueReason, FlagState
from inspections.plan_days import day_at, months_after
from inventory.models import Bridge

COUNTS_AS = {
    InspectionKind.ROUTINE: (InspectionKind.ROUTINE, InspectionKind.IN_DEPTH),
    InspectionKind.IN_DEPTH: (InspectionKind.IN_DEPTH,),
}
"""Kinds of visit that keep an interval: a deeper one counts as well."""
REASON_OF = {
    InspectionKind.ROUTINE: DueReason.ROUTINE,
    InspectionKind.IN_DEPTH: DueReason.IN_DEPTH,
}


def due_at(bridge: Bridge, agency: AgencySettings) -> list[Due]:
    """Return the unsaved rows of what is due at a bridge; none where nothing can be read."""
    return due_at_each([bridge], agency)[bridge.pk]


def due_at_each(
    bridges: Sequence[Bridge],
    agency: AgencySettings,
    in_place_since: Mapping[int, Mapping[int, dt.date]] | None = None,
) -> dict[int, list[Due]]:
    """Return the unsaved rows of what is due at some bridges, by bridge.

    ``in_place_since``: the day of the first device of each element of each, where it is known.
    """
    since = in_place_since_of(bridges) if in_place_since is None else in_place_since
    here = [bridge for bridge in bridges if since.get(bridge.pk)]
    facts = Facts([bridge.pk for bridge in here])
    found: dict[int, list[Due]] = {bridge.pk: [] for bridge in bridges}
    for bridge in here:
        visits = _Visits(facts.last_read[bridge.pk], since[bridge.pk])
        flags = facts.flags[bridge.pk]
        found[bridge.pk] = [
            *_intervals(bridge, agency, visits, facts),
            *_flags(
                bridge, agency, visits, [each for each in flags if each.state != MENDED], facts
            ),
            *_proving(bridge, agency, [each for each in flags if each.state == MENDED], facts),
            *_events(bridge, facts),
        ]
    return found


class _Visits:
    """When each element of a bridge was last read, by kind of visit, and since when it stands."""

    def __init__(
        self, last: Mapping[tuple[int, str], dt.date], in_place_since: Mapping[int, dt.date]
    ) -> None:
        self._last, self._in_place_since = last, in_place_since

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
            return self._in_place_since[element_id]
        return min(self._in_place_since.values())


def agency_months(agency: AgencySettings) -> dict[str, int]:
    """Return by kind of visit the months that stand where a bridge has no interval of its own."""
    return {
        InspectionKind.ROUTINE.value: int(agency.routine_interval_months),
        InspectionKind.IN_DEPTH.value: int(agency.in_depth_interval_months),
    }


def _intervals(
    bridge: Bridge, agency: AgencySettings, visits: _Visits, facts: Facts
) -> Iterator[Due]:
    set_here = facts.intervals.get(bridge.pk, ())
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
    bridge: Bridge, agency: AgencySettings, visits: _Visits, flags: list[Flag], facts: Facts
) -> Iterator[Due]:
    for flag in flags:
        last = visits.last(element_id=flag.element_id)
        row = Due(bridge=bridge, element_id=flag.element_id, flag=flag, last_on=last)
        if flag.state == FlagState.WATCHED:
            row.reason = DueReason.WATCH
            row.months = facts.watched_months.get(flag.pk) or int(agency.watch_interval_months)
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


def _proving(bridge: Bridge, agency: AgencySettings, mended: list[Flag], facts: Facts) -> list[Due]:
    """Return one row for each element that was mended and not yet proved."""
    rows: dict[int, Due] = {}
    within = dt.timedelta(days=int(agency.proving_days))
    for item in facts.to_prove.get(bridge.pk, ()):
        rows[item.element_id] = Due(
            bridge=bridge,
            element_id=item.element_id,
            reason=DueReason.PROVING,
            due_on=item.order.finished_on + within,
            flag_id=item.flag_id,
            order=item.order,
        )
    mended_on = _mended_on(bridge, mended, facts)
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


def _mended_on(bridge: Bridge, flags: list[Flag], facts: Facts) -> dict[int, dt.date]:
    """Return the day on which each flag was mended: by a decision, or by another device."""
    days: dict[int, dt.date] = {}
    told = facts.told_mended
    for flag in flags:
        after = day_at(flag.opened_at, bridge.time_zone) if flag.opened_at else None
        device = facts.renewed_on.get(flag.element_id)
        found = [day_at(told[flag.pk], bridge.time_zone)] if flag.pk in told else []
        # A device set before the flag was opened mended something else.
        if device is not None and after is not None and device >= after:
            found.append(device)
        if found:
            days[flag.pk] = max(found)
    return days


def _events(bridge: Bridge, facts: Facts) -> Iterator[Due]:
    for row in facts.events.get(bridge.pk, ()):
        happened_on = day_at(row.event.occurred_at, bridge.time_zone)
        yield Due(
            bridge=bridge,
            reason=DueReason.EVENT,
            due_on=happened_on + dt.timedelta(days=row.event.within_days),
            event=row.event,
        )
