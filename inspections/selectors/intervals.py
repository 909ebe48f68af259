"""Reads of intervals: those in force at bridges, and how those that were set came to be."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from django.db.models import QuerySet

from inspections.models import AgencySettings, Interval
from inspections.selectors.plan_due import agency_months
from inventory.models import Bridge
from inventory.scoping import changes_of


@dataclass(frozen=True, slots=True)
class InForce:
    """How often a bridge is inspected; ``own`` is the interval that says so, None the agency's."""

    bridge: Bridge
    kind: str
    months: int
    own: Interval | None


def in_force(bridges: QuerySet[Bridge]) -> list[InForce]:
    """Return the intervals in force, bridge by bridge; those of single elements come last."""
    agency = agency_months(AgencySettings.current())
    set_at: dict[int, dict[tuple[int | None, str], Interval]] = defaultdict(dict)
    rows = Interval.objects.filter(bridge__in=bridges).select_related("element")
    for row in rows.order_by("element__code", "kind"):
        set_at[row.bridge_id][row.element_id, row.kind] = row
    found = []
    for bridge in bridges:
        own = set_at[bridge.pk]
        for kind, months in agency.items():
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
