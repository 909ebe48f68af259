"""Devices of one type as arrays: register figures and last readings, a row each.

Columns are points, or the three positions as found and at both design extremes; what is
known once a device has one column.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from inspections.models import Verdict
from inspections.models.choices import ReadingQuantity
from inspections.services.device_figures import NAN, or_else
from inventory.models import BearingDesign, Installation, JointDesign, RestraintDesign
from movement.capacity.results import Carried
from movement.checks import Floats
from movement.results import Reason

_RADIUS = "rocker_radius_mm"


@dataclass(frozen=True, slots=True, eq=False)
class Device:
    """One installation, with the points of each quantity's last visit that was handed in.

    ``design`` is its row of capacities, ``slip_per_c`` what a skewed joint racks along itself
    for each degC [mm/degC].
    """

    installation: Installation
    design: BearingDesign | JointDesign | RestraintDesign | None
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


@dataclass(frozen=True, slots=True, eq=False)
class Devices:
    """Devices of one type; every array has a row each."""

    rows: Sequence[Device]

    def __len__(self) -> int:
        return len(self.rows)

    def between(self, start: int, stop: int) -> Devices:
        """Return some of them."""
        return Devices(self.rows[start:stop])

    def figure(self, name: str) -> Floats:
        """Return a figure of the design rows (n, 1); NaN where it is not recorded."""
        return _column([or_else(getattr(each.design, name, None), NAN) for each in self.rows])

    def given(self, *names: str) -> np.ndarray:
        """Return where any of some figures is recorded (n,)."""
        known = [~np.isnan(self.figure(name)[:, 0]) for name in names]
        return np.asarray(np.any(known, axis=0), dtype=bool)

    def words(self, name: str) -> list[str]:
        """Return a text of the design rows; empty where it is not recorded."""
        return [getattr(each.design, name, "") for each in self.rows]

    def was_read(self, quantity: str, point: str | None = None) -> np.ndarray:
        """Return where a quantity has been read (n,)."""
        return np.array([bool(each.of(quantity, point)) for each in self.rows], dtype=bool)

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
        found = [
            [or_else(getattr(each, name), NAN) for each in row.of(quantity, point)]
            for row in self.rows
        ]
        columns = max([1, *(len(each) for each in found)])
        return np.array([[*each, *[NAN] * (columns - len(each))] for each in found], dtype=float)

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


def _column(values: Sequence[float]) -> Floats:
    return np.array(values, dtype=np.float64).reshape(-1, 1)
