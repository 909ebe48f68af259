"""From values to places: linear scales, round ticks in the user's units, labels kept apart."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from inventory.decimal_mark import with_mark
from inventory.units import Dimension, System, to_shown

_STEPS = (1.0, 2.0, 2.5, 5.0, 10.0)
_HAIR = 1e-6


@dataclass(frozen=True, slots=True)
class Scale:
    """Straight map from values ``low`` to ``high`` onto places ``start`` to ``end``."""

    low: float
    high: float
    start: float
    end: float

    def at(self, value: float) -> float:
        """Return the place of a value; beyond the ends it goes on straight."""
        share = (value - self.low) / (self.high - self.low)
        return self.start + share * (self.end - self.start)

    def inside(self, value: float) -> float:
        """Return the place of a value, held within the ends."""
        return self.at(min(max(value, self.low), self.high))


def padded(values: Iterable[float | None], share: float, alone: float) -> tuple[float, float]:
    """Return the range of the known values with room on both sides.

    Where they are all the same but for a hair, or none is known, the range spans ``alone``.
    """
    known = [each for each in values if each is not None]
    low, high = (min(known), max(known)) if known else (0.0, 0.0)
    middle, half = (low + high) / 2.0, (high - low) / 2.0
    half = half * (1.0 + 2.0 * share) if half > _HAIR * alone else alone / 2.0
    return middle - half, middle + half


def ticks(
    low: float, high: float, dimension: Dimension, system: System, wanted: int
) -> tuple[list[tuple[float, str]], str]:
    """Return about ``wanted`` stored values that are round in the user's unit, and the unit."""
    zero, unit, _ = to_shown(0.0, dimension, system)
    factor = to_shown(1.0, dimension, system)[0] - zero
    first, last = sorted((low * factor + zero, high * factor + zero))
    step = _round_step((last - first) / max(wanted, 1))
    decimals = next(n for n in range(12) if math.isclose(round(step, n), step, rel_tol=1e-9))
    found = []
    for count in range(math.ceil(first / step - 1e-9), math.floor(last / step + 1e-9) + 1):
        value = count * step
        text = f"{value:.{decimals}f}" if count else "0"
        found.append(((value - zero) / factor, with_mark(text.replace("-", "−"))))
    return found, unit


def _round_step(rough: float) -> float:
    size = 10.0 ** math.floor(math.log10(rough))
    return next(size * each for each in _STEPS if size * each >= rough * (1.0 - 1e-9))


def spread(
    wanted: Sequence[float], widths: Sequence[float], low: float, high: float, gap: float = 8.0
) -> list[float]:
    """Return middles as near to the wanted ones as can be, in their order, none overlapping.

    Wanted middles must ascend.  Where all together are too wide they overlap evenly.
    """
    room = high - low
    total = sum(widths) + gap * (len(widths) - 1)
    if total > room and len(widths) > 1:
        gap -= (total - room) / (len(widths) - 1)
    placed = [min(max(x, low + w / 2), high - w / 2) for x, w in zip(wanted, widths, strict=True)]
    # Groups of touching labels are centred on the mean of what they want.
    groups: list[tuple[list[int], float]] = []
    for index, x in enumerate(placed):
        members, start = [index], x - widths[index] / 2
        while groups:
            before, before_start = groups[-1]
            length = sum(widths[each] for each in before) + gap * len(before)
            if before_start + length <= start + 1e-9:
                break
            groups.pop()
            members = before + members
            start = _centred(members, placed, widths, gap, low, high)
        groups.append((members, start))
    result = [0.0] * len(placed)
    for members, start in groups:
        left = start
        for index in members:
            result[index] = left + widths[index] / 2
            left += widths[index] + gap
    return result


def _centred(
    members: list[int],
    wanted: Sequence[float],
    widths: Sequence[float],
    gap: float,
    low: float,
    high: float,
) -> float:
    """Return where a group of touching labels starts so that its members lie near to theirs."""
    offset, total = 0.0, 0.0
    for index in members:
        total += wanted[index] - (offset + widths[index] / 2)
        offset += widths[index] + gap
    length = offset - gap
    return min(max(total / len(members), low), max(high - length, low))
