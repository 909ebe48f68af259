"""The movement of every element of a bridge in one visit: expected, and measured."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from inspections.deck_movements import Turn, along_movement, line_names, turn_of
from inspections.models import Verdict
from inspections.models.choices import ReadingQuantity, VerdictWord
from inspections.services.device_figures import or_else
from inventory.models import Element, Support, Unit
from inventory.models.choices import ElementKind
from movement.geometry import path_from_fixed_point
from movement.plan_movement import movement_in_plan


class At(StrEnum):
    """The temperature that movements are shown at."""

    VISIT = "visit"
    COLDEST = "coldest"
    HOTTEST = "hottest"


@dataclass(frozen=True, slots=True)
class Free:
    """Movement in plan of an unguided deck at a place: its size and its direction."""

    size_mm: float
    direction_deg: float


@dataclass(frozen=True, slots=True)
class Moved:
    """Movement of the deck at one element since its setting [mm], along ``direction_deg``.

    Positive ahead; the direction is left of the alignment.  Across it is what was read
    across, to the left positive; None where nothing was.  At an extreme ``measured_mm`` is
    the measured position carried there.
    """

    element: Element
    line: str
    verdict: VerdictWord
    temperature_c: float | None
    direction_deg: float
    expected_mm: float | None
    measured_mm: float | None
    expected_across_mm: float | None
    measured_across_mm: float | None
    free: Free | None


@dataclass(frozen=True, slots=True)
class PlanOfMovement:
    """What the plan of movement shows."""

    code: str
    at: At
    units: list[Unit]
    supports: list[Support]
    skew_by_support: dict[int, float]
    rows: list[Moved]


def plan_of_movement(
    code: str,
    skew_deg: float | None,
    units: Sequence[Unit],
    supports: Sequence[Support],
    elements: Sequence[Element],
    verdicts: Sequence[Verdict],
    at: At,
) -> PlanOfMovement:
    """Return the movements of the bearings and joints of a bridge in one visit."""
    told = along_movement(verdicts)
    across = {
        each.element_id: each for each in verdicts if each.quantity == ReadingQuantity.OFFSET_ACROSS
    }
    shown = [each for each in elements if each.kind != ElementKind.RESTRAINT]
    lines = line_names(shown)
    return PlanOfMovement(
        code,
        at,
        list(units),
        list(supports),
        _skews(skew_deg, supports, shown),
        [
            _moved(each, lines[each.pk], told.get(each.pk, []), across.get(each.pk), at)
            for each in shown
        ],
    )


def _skews(
    skew_deg: float | None, supports: Sequence[Support], elements: Sequence[Element]
) -> dict[int, float]:
    """Return the skew of each support: that of its joint, else the bridge's."""
    found = {each.pk: or_else(skew_deg, 0.0) for each in supports}
    for element in elements:
        if element.kind == ElementKind.JOINT and element.skew_deg is not None:
            found[element.support_id] = element.skew_deg
    return found


def _moved(
    element: Element, line: str, verdicts: list[Verdict], across: Verdict | None, at: At
) -> Moved:
    turns = [(each, turn) for each in verdicts if (turn := turn_of(each)) is not None]
    if not turns:
        return Moved(
            element, line, VerdictWord.CANNOT_JUDGE, None, 0.0, None, None, None, None, None
        )
    temperatures = [t for each, _ in turns if (t := _temperature(each, at)) is not None]
    first, turn = turns[0]
    word = max(VerdictWord(each.verdict) for each, _ in turns)
    if across is not None:
        word = max(word, VerdictWord(across.verdict))
    return Moved(
        element,
        line,
        word,
        sum(temperatures) / len(temperatures) if temperatures else None,
        turn.direction_deg,
        _mean(_expected(each, turn, at) for each, turn in turns),
        _mean(_measured(each, turn, at) for each, turn in turns),
        None if across is None else _expected(across, _AS_READ, at),
        None if across is None else _measured(across, _AS_READ, at),
        _free(first, at),
    )


_AS_READ = Turn(1.0, 0.0)


def _temperature(verdict: Verdict, at: At) -> float | None:
    return {
        At.VISIT: verdict.temperature_c,
        At.COLDEST: verdict.design_min_c,
        At.HOTTEST: verdict.design_max_c,
    }[at]


def _expected(verdict: Verdict, turn: Turn, at: At) -> float | None:
    """Return the movement since the setting that temperature and age call for [mm]."""
    if verdict.setting_value is None or verdict.expected is None:
        return None
    value = verdict.expected
    if at != At.VISIT:
        then_c = _temperature(verdict, at)
        if then_c is None or verdict.b is None or verdict.temperature_c is None:
            return None
        value += verdict.b * (then_c - verdict.temperature_c)
    return (value - verdict.setting_value) * turn.mm_per_unit


def _measured(verdict: Verdict, turn: Turn, at: At) -> float | None:
    """Return the movement since the setting that was read, or that carried to an extreme [mm]."""
    value = {
        At.VISIT: verdict.value,
        At.COLDEST: verdict.carried_to_min,
        At.HOTTEST: verdict.carried_to_max,
    }[at]
    if verdict.setting_value is None or value is None:
        return None
    return (value - verdict.setting_value) * turn.mm_per_unit


def _free(verdict: Verdict, at: At) -> Free | None:
    """Return how a place of a curved deck moves that nothing guides, from setting to now."""
    element = verdict.element
    unit = element.unit or element.unit_ahead
    then_c = _temperature(verdict, at)
    known = unit is not None and None not in (unit.plan_radius_m, unit.fixed_station_m)
    if not known or then_c is None or verdict.setting_temperature_c is None:
        return None
    path = path_from_fixed_point(element.station_m, unit.fixed_station_m, unit.plan_radius_m)
    angle = np.radians(path.plan_angle_deg)
    moves = movement_in_plan(
        path.distance_mm / 1000.0 * np.cos(angle),
        path.distance_mm / 1000.0 * np.sin(angle),
        unit.expansion_per_c,
        then_c - verdict.setting_temperature_c,
    )
    size_mm, direction = float(moves.size_mm), float(moves.direction_deg)
    return None if math.isnan(direction) else Free(size_mm, direction)


def _mean(values: Iterable[float | None]) -> float | None:
    known = [each for each in values if each is not None]
    return sum(known) / len(known) if known else None
