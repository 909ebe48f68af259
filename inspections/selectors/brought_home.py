"""What an inspection holds beside its readings."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import QuerySet

from inspections.lookups.completeness import Rivals, rivals_of
from inspections.models import (
    Condition,
    CriticalFinding,
    FieldNote,
    Inspection,
    LeftOut,
    Photo,
    SetAside,
    SignOff,
)


@dataclass(frozen=True, slots=True)
class BroughtHome:
    """Everything but readings and temperatures, oldest first."""

    critical: list[CriticalFinding]
    rivals: list[Rivals]
    set_aside: list[SetAside]
    conditions: list[Condition]
    left_out: list[LeftOut]
    notes: list[FieldNote]
    photos: list[Photo]
    signatures: list[SignOff]
    slow_clocks: list[tuple[str, float]]


def critical_not_seen() -> QuerySet[CriticalFinding]:
    """Return the critical findings that no engineer has seen yet, the oldest first."""
    return (
        CriticalFinding.objects.filter(seen_at__isnull=True)
        .select_related("inspection__bridge", "element")
        .order_by("found_at")
    )


CLOCK_TOLD_S = 120.0
"""A clock further off than this is told on the inspection's page."""


def brought_home(inspection: Inspection) -> BroughtHome:
    """Return what a crew brought home; of conditions the last of each element and defect."""
    conditions = {
        (row.element_id, row.defect): row
        for row in inspection.conditions.select_related("element", "created_by").order_by("pk")
    }
    slow = {
        tablet: seconds
        for tablet, seconds in inspection.tablet_records.values_list("tablet", "clock_slow_s")
        if abs(seconds) > CLOCK_TOLD_S
    }
    return BroughtHome(
        list(inspection.critical_findings.select_related("element", "created_by", "seen_by")),
        rivals_of(inspection),
        list(
            SetAside.objects.filter(reading__inspection=inspection)
            .select_related("reading__element", "created_by")
            .order_by("pk")
        ),
        list(conditions.values()),
        list(inspection.left_out.select_related("element", "created_by")),
        list(inspection.notes.select_related("element", "created_by")),
        list(inspection.photos.select_related("element", "created_by")),
        list(inspection.sign_offs.select_related("created_by").order_by("pk")),
        sorted(slow.items()),
    )
