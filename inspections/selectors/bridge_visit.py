"""Reads of one visit to a bridge: everything that was judged in it, side by side."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from inspections.models import Inspection, Verdict
from inspections.models.choices import InspectionState


def with_readings(inspections: Iterable[Inspection]) -> list[Inspection]:
    """Keep the handed-in visits that read something; they carry their ``reading_count``."""
    return [
        each for each in inspections if each.state != InspectionState.OPEN and each.reading_count
    ]


def chosen_visit(visits: Sequence[Inspection], wanted: str) -> Inspection | None:
    """Return the visit asked for by its key, the newest where that is none of them."""
    return next((each for each in visits if str(each.pk) == wanted), next(iter(visits), None))


def verdicts_of_visit(visit: Inspection) -> list[Verdict]:
    """Return the verdicts of a visit along the stations; of a point read twice the later one."""
    rows = (
        Verdict.objects.filter(inspection=visit)
        .select_related(
            "element__support",
            "element__unit",
            "element__unit_ahead",
            "installation__bearing_design",
            "inspection",
        )
        .order_by("element__station_m", "element__code", "quantity", "point", "axis", "taken_at")
    )
    latest = {
        (row.element_id, row.installation_id, row.quantity, row.point, row.axis): row
        for row in rows
    }
    return list(latest.values())
