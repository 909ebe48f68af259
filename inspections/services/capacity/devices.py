"""Devices of one type as arrays: register figures and last readings, a row each.

Columns are points, or the three positions as found and at both design extremes; what is
known once a device has one column.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from inspections.models import Verdict
from inspections.models.choices import ReadingQuantity
from inspections.services.device_figures import NAN, or_else
from inventory.models import BearingDesign, Installation, JointDesign, RestraintDesign
from movement.capacity.results import Carried
from movement.checks import Floats
from movement.results import Reason

_RADIUS = "rocker_radius_mm"
_Flat = tuple[list[Verdict], np.ndarray, np.ndarray]
Design = BearingDesign | JointDesign | RestraintDesign


@dataclass(frozen=True, slots=True, eq=False)
class Device:
    """One installation, with the points of each quantity's last visit that was handed in.

    ``design`` is its row of capacities, ``slip_per_c`` what a skewed joint racks along itself
    for each degC [mm/degC].
    """

    installation: Installation
    design: Design | None
    last: Mapping[str, Sequence[Verdict]]
    coldest_c: float
    hottest_c: float
    slip_per_c: float

    def of(self, quantity: str, point: str | None = None) -> list[Verdict]:
        """Return the last readings of a quantity, of one point alone where it is named."""
        rows = self.last.get(quantity, ())
        return [each for each in rows if point is None or each.point == point]

    def why_not_carried(self, quantity: str) -> str:
        """Name or say what keeps a reading from being carried to the design temperatures."""
        if quantity == ReadingQuantity.TILT and getattr(self.design, _RADIUS, None) is None:
            return _RADIUS
        reasons = 0
        for each in self.of(quantity):
            reasons |= each.reasons
        words = (
            (Reason.NO_TEMPERATURE, "a temperature taken with the reading"),
            (Reason.NO_EXPANSION, "the thermal fixed point of the unit"),
            (Reason.NO_EXTREMES, "the design temperatures of the bridge"),
            (Reason.NO_SETTING, "the setting of the device"),
        )
        return next((text for reason, text in words if reasons & reason), "another reading")


class Devices:
    """Devices of one type; every array has a row each.

    ``first`` is the row that the first of them has among those that they were taken from.
    """

    def __init__(self, rows: Sequence[Device], first: int = 0) -> None:
        self.rows, self.first = rows, first
        self._read: dict[tuple[str, str | None], _Flat] = {}

    def __len__(self) -> int:
        return len(self.rows)

    def between(self, start: int, stop: int) -> Devices:
        """Return some of them."""
        return Devices(self.rows[start:stop], self.first + start)

    def figure(self, name: str) -> Floats:
        """Return a figure of the design rows (n, 1); NaN where it is not recorded."""
        designs, of_row = self._designs
        return _column([getattr(each, name, None) for each in designs])[of_row]

    def given(self, *names: str) -> np.ndarray:
        """Return where any of some figures is recorded (n,)."""
        known = [~np.isnan(self.figure(name)[:, 0]) for name in names]
        return np.asarray(np.any(known, axis=0), dtype=bool)

    def words(self, name: str) -> list[str]:
        """Return a text of the design rows; empty where it is not recorded."""
        designs, of_row = self._designs
        texts = [getattr(each, name, "") for each in designs]
        return [texts[row] for row in of_row.tolist()]

    def kinds(self, name: str, numbers: Mapping[str, int]) -> np.ndarray:
        """Return the number of a text of the design rows (n, 1); 0 where it has none."""
        designs, of_row = self._designs
        words = [getattr(each, name, "") for each in designs]
        return np.array([[int(numbers.get(each, 0))] for each in words])[of_row]

    @cached_property
    def _designs(self) -> tuple[list[Design | None], np.ndarray]:
        """The design rows, and which each device has: one is seen after visit upon visit."""
        row_of = {id(each.design): each.design for each in self.rows}
        number = {key: row for row, key in enumerate(row_of)}
        of_row = np.array([number[id(each.design)] for each in self.rows], dtype=np.int64)
        return list(row_of.values()), of_row

    def was_read(self, quantity: str, point: str | None = None) -> np.ndarray:
        """Return where a quantity has been read (n,)."""
        read = np.zeros(len(self.rows), dtype=bool)
        read[self._last(quantity, point)[1]] = True
        return read

    @property
    def coldest_c(self) -> Floats:
        """Lowest design temperature (n, 1) [degC]."""
        return _column([each.coldest_c for each in self.rows])

    @property
    def hottest_c(self) -> Floats:
        """Highest design temperature (n, 1) [degC]."""
        return _column([each.hottest_c for each in self.rows])

    @property
    def skew_deg(self) -> Floats:
        """Skew of the place (n, 1); none recorded is square [deg]."""
        return _column([or_else(each.installation.element.skew_deg, 0.0) for each in self.rows])

    def numbers(self, quantity: str, name: str, point: str | None = None) -> Floats:
        """Return a number of the last verdicts of a quantity (n, points), NaN beyond them."""
        verdicts, row, column = self._last(quantity, point)
        numbers = np.full((len(self.rows), column.max(initial=0) + 1), NAN)
        numbers[row, column] = np.array([getattr(each, name) for each in verdicts], dtype=float)
        return numbers

    def _last(self, quantity: str, point: str | None) -> _Flat:
        """Return the last verdicts of a quantity, and the row and the column of each."""
        key = (quantity, point)
        if key not in self._read:
            rows = [each.of(quantity, point) for each in self.rows]
            counts = np.array([len(each) for each in rows], dtype=np.int64)
            column = np.arange(counts.sum()) - np.repeat(np.cumsum(counts) - counts, counts)
            row = np.repeat(np.arange(counts.size), counts)
            self._read[key] = [each for some in rows for each in some], row, column
        return self._read[key]

    def carried(self, quantity: str, name: str, point: str | None = None) -> Carried:
        """Return the points of a quantity as found and at both extremes, each (n, points)."""
        numbers = ("value", "carried_to_min", "carried_to_max")
        return Carried.of(name, *(self.numbers(quantity, each, point) for each in numbers))

    def one(self, quantity: str, name: str = "value") -> Floats:
        """Return a number of the last reading of what is read at one point (n, 1)."""
        numbers = self.numbers(quantity, name)
        return _of_column(numbers, _last_known(numbers))

    def positions(self, quantity: ReadingQuantity) -> Floats:
        """Return what is read at one point as found and at both extremes (n, 3)."""
        names = ("value", "carried_to_min", "carried_to_max")
        return np.concatenate([self.one(quantity, each) for each in names], axis=1)

    def slip(self) -> Carried:
        """Return the slip along each joint since its setting (n, 1) [mm]."""
        quantity = ReadingQuantity.GAP
        per_c = _column([each.slip_per_c for each in self.rows])
        racking_mm = self.numbers(quantity, "racking_mm")
        last = _last_known(racking_mm)
        now = _of_column(racking_mm, last)
        temperature_c = _of_column(self.numbers(quantity, "temperature_c"), last)
        # A square joint does not rack, whatever the temperature.
        now = np.where((per_c == 0) & self.was_read(quantity)[:, np.newaxis], 0.0, now)

        def at(extreme_c: Floats) -> Floats:
            change = np.where(per_c == 0, 0.0, per_c * (extreme_c - temperature_c))
            return np.asarray(now + change)

        return Carried.of("racking_mm", now, at(self.coldest_c), at(self.hottest_c))


def _last_known(numbers: Floats) -> np.ndarray:
    """Return the last column that is known in each row, the first where none is (n, 1)."""
    known = ~np.isnan(numbers)
    from_end = np.argmax(known[:, ::-1], axis=1)
    last = np.where(known.any(axis=1), numbers.shape[1] - 1 - from_end, 0)
    return np.asarray(last[:, np.newaxis])


def _of_column(numbers: Floats, column: np.ndarray) -> Floats:
    return np.asarray(np.take_along_axis(numbers, column, axis=1))


def _column(values: Sequence[float | None]) -> Floats:
    return np.array(values, dtype=np.float64).reshape(-1, 1)
