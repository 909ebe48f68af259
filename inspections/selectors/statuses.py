"""Reads of verdicts and statuses, with their joins done."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import IntegerField, QuerySet, Subquery

from inspections.models import ElementStatus, Verdict
from inspections.models.choices import VerdictWord
from inventory.models import Bridge, Support, Unit

REASONS = (
    "deciding__inspection",
    "history__blunder_reading",
    "explanation__diagnosis",
    "explanation__element",
    "explanation__support",
    "explanation__visit",
    "explanation__last_before",
)
"""Joins of a status that its sentence needs."""
FLAGGED = (VerdictWord.OUT_OF_RANGE, VerdictWord.WATCH)


def element_statuses() -> QuerySet[ElementStatus]:
    """Return the status of every element, the worst first, with what a list or report shows."""
    return ElementStatus.objects.select_related(
        "element__bridge__district",
        "element__support",
        "element__unit",
        "element__unit_ahead",
        "element__current_installation__bearing_design",
        "element__current_installation__joint_design",
        "element__current_installation__restraint_design",
        *REASONS,
    ).order_by("-verdict", "-greatest_use", "element__bridge__code", "element__code")


def counts_up_to(most: int, statuses: QuerySet[ElementStatus]) -> dict[VerdictWord, int]:
    """Return how many elements have each verdict, up to ``most``: no more rows are looked at.

    Not for rows that are gathered first: they would be gathered for each verdict.
    """
    counts = [
        Subquery(
            statuses.filter(verdict=word).order_by().values("pk")[:most],
            template="(SELECT COUNT(*) FROM (%(subquery)s) counted)",
            output_field=IntegerField(),
        )
        for word in VerdictWord
    ]
    # Of any one row, and of none where there is none to count.
    for found in ElementStatus.objects.order_by().values_list(*counts)[:1]:
        return dict(zip(VerdictWord, found, strict=True))
    return dict.fromkeys(VerdictWord, 0)


def verdicts_of_bridge(bridge: Bridge) -> QuerySet[Verdict]:
    """Return every verdict of a bridge, oldest first within its element."""
    return (
        Verdict.objects.filter(element__bridge=bridge)
        .select_related("inspection__event", "reading__instrument")
        .order_by("element_id", "taken_at", "quantity", "point", "axis")
    )


@dataclass(frozen=True, slots=True)
class BridgeStrip:
    """What the elevation strip of a bridge shows, along its stations."""

    bridge: Bridge
    units: list[Unit]
    supports: list[Support]
    statuses: list[ElementStatus]


def bridge_strip(
    bridge: Bridge,
    units: list[Unit] | None = None,
    statuses: list[ElementStatus] | None = None,
) -> BridgeStrip:
    """Return units, supports and element statuses of a bridge along its stations.

    ``units`` are those along the stations with their sections, ``statuses`` those in the order
    of their elements, where they have been read.
    """
    return BridgeStrip(
        bridge,
        list(bridge.units.select_related("section").order_by("start_station_m"))
        if units is None
        else units,
        list(bridge.supports.order_by("station_m")),
        list(
            element_statuses().filter(bridge=bridge).order_by("element__station_m", "element__code")
        )
        if statuses is None
        else statuses,
    )
