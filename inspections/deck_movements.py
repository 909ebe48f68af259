"""Readings turned into movements of the deck, so that all elements of a unit compare."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from inspections.models import Verdict
from inspections.models.choices import ReadingQuantity
from inspections.services.device_figures import or_else, rolling_radius_mm
from inspections.services.unit_places import MEASURED
from inventory.models import Element
from inventory.models.choices import GapAxis


@dataclass(frozen=True, slots=True)
class Turn:
    """How a reading becomes a movement of the deck against what it stands on.

    ``mm_per_unit`` is positive where a larger reading means that the deck stands further
    ahead; ``direction_deg`` is that of the movement, left of the alignment.
    """

    mm_per_unit: float
    direction_deg: float


def turn_of(verdict: Verdict, unit_id: int | None = None) -> Turn | None:
    """Return how a verdict's reading becomes a movement; None where it says nothing of it.

    A gap narrows as the unit behind it moves ahead, and widens as the one ahead of it does;
    of a gap between two units it is the one behind, unless ``unit_id`` is the other.
    """
    element = verdict.element
    if verdict.quantity not in MEASURED:
        return None
    if verdict.quantity == ReadingQuantity.GAP:
        ahead = element.unit_id is None or (
            unit_id is not None and unit_id == element.unit_ahead_id
        )
        square = verdict.axis == GapAxis.SQUARE
        return Turn(1.0 if ahead else -1.0, or_else(element.skew_deg, 0.0) if square else 0.0)
    per_unit = 1.0
    if verdict.quantity == ReadingQuantity.TILT:
        per_unit = math.radians(rolling_radius_mm(verdict.installation))
        if math.isnan(per_unit):
            return None
    return Turn(per_unit, or_else(element.axis_angle_deg, 0.0))


def along_movement(verdicts: Iterable[Verdict]) -> dict[int, list[Verdict]]:
    """Return by element the verdicts that tell its movement: of one quantity, along one axis.

    Of several the offset comes before the tilt, and the gap square to the joint before that
    along the road.
    """
    found: dict[int, dict[tuple[str, str], list[Verdict]]] = {}
    for each in verdicts:
        if each.quantity in MEASURED:
            of_element = found.setdefault(each.element_id, {})
            of_element.setdefault((each.quantity, each.axis), []).append(each)
    return {
        element_id: channels[min(channels, key=_order)] for element_id, channels in found.items()
    }


def line_names(elements: Iterable[Element]) -> dict[int, str]:
    """Return by element its line; by its place in the row where the register names none."""
    rows: dict[tuple[int, str, int | None], list[Element]] = {}
    for each in elements:
        rows.setdefault((each.support_id, each.kind, each.unit_id), []).append(each)
    return {
        each.pk: each.line or (f"{number}" if len(row) > 1 else "")
        for row in rows.values()
        for number, each in enumerate(sorted(row, key=lambda each: each.code), 1)
    }


def _order(channel: tuple[str, str]) -> tuple[int, bool]:
    quantity, axis = channel
    order = (ReadingQuantity.GAP, ReadingQuantity.OFFSET_ALONG, ReadingQuantity.TILT)
    return order.index(ReadingQuantity(quantity)), axis != GapAxis.SQUARE
