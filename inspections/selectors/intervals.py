"""Reads of intervals: those in force at bridges, and how those that were set came to be."""

from __future__ import annotations

import sys
from bisect import bisect_left, bisect_right
from collections import defaultdict
from dataclasses import dataclass
from itertools import accumulate

from django.db.models import Count, QuerySet, Sum

from inspections.lookups.counts import how_many
from inspections.lookups.plan_due import agency_months
from inspections.models import AgencySettings, Interval
from inspections.paging import MadeRows
from inventory.models import Bridge
from inventory.scoping import changes_of


@dataclass(frozen=True, slots=True)
class InForce:
    """How often a bridge is inspected; ``own`` is the interval that says so, None the agency's."""

    bridge: Bridge
    kind: str
    months: int
    own: Interval | None


class IntervalsInForce(MadeRows):
    """The intervals in force, bridge by bridge; those of single elements come last.

    ``bridges`` stand in their order. A bridge has one of each kind, and one for each interval that
    is set for an element, so what comes before a page is counted without reading it.
    """

    def __init__(self, bridges: QuerySet[Bridge]) -> None:
        self._bridges = bridges
        self._agency = agency_months(AgencySettings.current())

    def counted(self, most: int) -> int:
        """Return how many there are, ``most`` of more."""
        enough = self._with_more().order_by()[: most // len(self._agency) + 1]
        told = enough.aggregate(bridges=Count("pk"), of_elements=Sum("more", default=0))
        return min(told["bridges"] * len(self._agency) + told["of_elements"], most)

    def __len__(self) -> int:
        return self.counted(sys.maxsize)

    def __getitem__(self, wanted: slice) -> list[InForce]:  # type: ignore[override] # slices
        first, last = wanted.start, wanted.stop
        # As many bridges have at least as many rows.
        enough = self._with_more()[: last // len(self._agency) + 1]
        counted = enough.values_list("pk", "more")
        keys = [key for key, _ in counted]
        ends = [*accumulate(len(self._agency) + more for _, more in counted)]
        begin, end = bisect_right(ends, first), bisect_left(ends, last) + 1
        before = ends[begin - 1] if begin else 0
        return self._of(keys[begin:end])[first - before : last - before]

    def _with_more(self) -> QuerySet[Bridge]:
        return self._bridges.annotate(more=how_many(Interval, "bridge", element__isnull=False))

    def _of(self, keys: list[int]) -> list[InForce]:
        """Return those of some bridges, which stand in this order."""
        set_at: dict[int, dict[tuple[int | None, str], Interval]] = defaultdict(dict)
        rows = Interval.objects.filter(bridge__in=keys).select_related("element")
        for row in rows.order_by("element__code", "kind"):
            set_at[row.bridge_id][row.element_id, row.kind] = row
        found = []
        bridges = Bridge.objects.in_bulk(keys)
        for bridge in (bridges[key] for key in keys):
            own = set_at[bridge.pk]
            for kind, months in self._agency.items():
                row = own.pop((None, kind), None)
                found.append(InForce(bridge, kind, row.months if row else months, row))
            found += [InForce(bridge, kind, row.months, row) for (_, kind), row in own.items()]
        return found


def changes_of_intervals() -> QuerySet:
    """Return every setting, change and end of an interval, newest first."""
    return (
        changes_of(Interval)
        .select_related("history_user", "element", "bridge")
        .order_by("-history_date", "-history_id")
    )
