"""Rows of the tables by the unit that they are of."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from movement.checks import Floats
from movement.whole_bridge.readings import Rows


def set_together(set_days: Floats, uncertain: NDArray[np.bool_]) -> Rows:
    """Number the elements (b, e) of each unit set on one day; -1 where one is alone.

    Days that are not known count as one day.
    """
    day = np.nan_to_num(set_days, nan=-np.inf, neginf=-np.inf)
    same = (day[:, :, None] == day[:, None]) & uncertain[:, :, None] & uncertain[:, None]
    many = same.sum(-1) > 1
    first = same.argmax(-1)
    leads = many & (first == np.arange(first.shape[-1]))
    number = np.take_along_axis(np.cumsum(leads, axis=-1) - 1, first, axis=-1)
    return np.where(many, number, -1)


class RowsOfUnits:
    """Rows of a table by unit, found by one sort."""

    def __init__(self, unit: Rows, count: int) -> None:
        self._order = np.argsort(unit, kind="stable")
        self._start = np.searchsorted(unit[self._order], np.arange(count + 1))

    def of(self, units: Rows) -> tuple[Rows, Rows]:
        """Return place in the batch, and row, of all rows of some units."""
        start, length = self._start[units], self._start[units + 1] - self._start[units]
        at = np.repeat(np.arange(units.size), length)
        within = np.arange(length.sum()) - np.repeat(np.cumsum(length) - length, length)
        return at, self._order[np.repeat(start, length) + within]


def place_in_unit(unit: Rows, key: Floats, count: int) -> tuple[Rows, Rows]:
    """Return the place of each row in its unit by an ascending key, equal keys as one."""
    order = np.lexsort((key, unit))
    of, by = unit[order], key[order]
    new_unit = np.r_[True, of[1:] != of[:-1]][: of.size]
    new = (new_unit | np.r_[True, by[1:] != by[:-1]][: of.size]).astype(np.int64)
    running = np.cumsum(new) - 1
    first = np.maximum.accumulate(np.where(new_unit, running, 0))
    place = np.empty(unit.size, dtype=np.int64)
    place[order] = running - first
    size = np.zeros(count, dtype=np.int64)
    np.maximum.at(size, unit, place + 1)
    return place, size


def fill(shape: tuple[int, int], where: tuple[Rows, Rows], values: Rows, empty: int) -> Rows:
    """Return a grid with values put where they belong, and ``empty`` elsewhere."""
    out = np.full(shape, empty, dtype=np.int64)
    out[where] = values
    return out
