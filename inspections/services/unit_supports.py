"""The supports that each unit of a bridge rests on, and the one that holds it."""

from __future__ import annotations

import math
from collections.abc import Sequence

from inventory.models import Element, Unit

HOLDS_WITHIN_M = 0.5
"""A support this near the thermal fixed point is the one that holds the deck.  Judgement."""


def supports_of(
    elements: Sequence[Element], unit_row: dict[int, int]
) -> dict[tuple[int, int], float]:
    """Return station by (row of the unit, support) for every support that a unit rests on."""
    found = {}
    for element in elements:
        for unit_id in (element.unit_id, element.unit_ahead_id):
            if unit_id in unit_row:
                found[unit_row[unit_id], element.support_id] = element.support.station_m
    return found


def held_at(unit: Unit, supports: dict[tuple[int, int], float], unit_row: dict[int, int]) -> int:
    """Return the row of the support at which the register holds a unit; -1 where there is none."""
    if unit.fixed_station_m is None:
        return -1
    near = [
        (abs(station - unit.fixed_station_m), index)
        for index, ((row, _), station) in enumerate(supports.items())
        if row == unit_row[unit.pk]
    ]
    distance, index = min(near, default=(math.inf, -1))
    return index if distance <= HOLDS_WITHIN_M else -1
