"""The readings of a visit as stems along each unit."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from inspections.deck_movements import along_movement, turn_of
from inspections.drawing.residual_stems import Stem
from inspections.models import Verdict
from inspections.models.choices import VerdictWord
from inventory.models import Unit


def stems_by_unit(
    units: Iterable[Unit], verdicts: Sequence[Verdict]
) -> list[tuple[Unit, list[Stem]]]:
    """Return each unit with its stems; a gap between two units stands in both."""
    told = along_movement(verdicts)
    found = []
    for unit in units:
        stems = [
            _stem(readings, unit.pk)
            for readings in told.values()
            if unit.pk in (readings[0].element.unit_id, readings[0].element.unit_ahead_id)
        ]
        found.append((unit, [each for each in stems if each is not None]))
    return found


def _stem(readings: Sequence[Verdict], unit_id: int) -> Stem | None:
    """Return the mean of an element's points; None where none was compared."""
    compared = [
        (each, turn)
        for each in readings
        if each.residual is not None
        and each.u_residual is not None
        and (turn := turn_of(each, unit_id)) is not None
    ]
    if not compared:
        return None
    element = compared[0][0].element
    count = len(compared)
    return Stem(
        element.code,
        element.station_m,
        sum(each.residual * turn.mm_per_unit for each, turn in compared) / count,
        sum(each.u_residual * abs(turn.mm_per_unit) for each, turn in compared) / count,
        max(VerdictWord(each.verdict) for each, _ in compared),
    )
