"""Yearly extremes of air stations, read once for many units."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from inventory.models import StationYear
from movement.errors import InputError
from movement.record_extremes import FEWEST_YEARS, ReturnLevel, return_level


@dataclass(frozen=True, slots=True)
class StationLevels:
    """Shade air extremes of a return period at a station, and the years they rest on."""

    station: str
    return_period_years: float
    years: tuple[int, ...]
    lowest: ReturnLevel
    highest: ReturnLevel

    @property
    def min_c(self) -> float:
        """Return the lowest shade air temperature [degC]."""
        return float(self.lowest.level_c[0])

    @property
    def max_c(self) -> float:
        """Return the highest shade air temperature [degC]."""
        return float(self.highest.level_c[0])

    @property
    def is_far_out(self) -> bool:
        """True if the return period is far longer than the record."""
        return bool(self.lowest.far_out[0])

    @property
    def told(self) -> str:
        """Return levels with their 95 % intervals, station and years, in words."""
        span = f"{self.years[0]} to {self.years[-1]}"
        missing = self.years[-1] - self.years[0] + 1 - len(self.years)
        gaps = f" with {missing} missing" if missing else ""
        far = (
            "; the return period is more than five times the record: far out, to be checked"
            if self.is_far_out
            else ""
        )
        return (
            f"{self.return_period_years:g}-year shade air extremes {_with_interval(self.lowest)}"
            f" and {_with_interval(self.highest)} degC by a Gumbel fit of {len(self.years)} years"
            f" of station {self.station}, {span}{gaps}{far}; at the station, so without the"
            f" altitude and return period rules of Annex A"
        )


class StationRecords:
    """Yearly extremes of stations, each asked of the database at most once.

    Make one for each call that looks at many units, and hand it on; nothing is read until a
    basis needs it.
    """

    def __init__(self, stations: Iterable[str] = ()) -> None:
        self._wanted = {each for each in stations if each}
        self._years: dict[str, list[StationYear]] = {}
        self._levels: dict[tuple[str, float], StationLevels] = {}

    def levels(self, station: str, return_period_years: float) -> StationLevels:
        """Return the extremes of a return period at a station.

        Raises
        ------
        movement.errors.InputError
            If too few years are known of it, saying how many of how many.
        """
        key = (station, return_period_years)
        if key not in self._levels:
            self._levels[key] = self._fitted(station, return_period_years)
        return self._levels[key]

    def _fitted(self, station: str, return_period_years: float) -> StationLevels:
        rows = self._of(station)
        if len(rows) < FEWEST_YEARS:
            raise InputError(
                "air_station",
                f"{station} has not enough years of extremes: {len(rows)} of {FEWEST_YEARS}",
                "Enter the lowest and highest shade air of more complete years, or choose another"
                " method for the basis.",
            )
        one_station = np.zeros(len(rows), dtype=np.intp)
        lowest, highest = (
            return_level(
                [getattr(row, name) for row in rows], one_station, return_period_years, of_minima
            )
            for name, of_minima in (("year_min_c", True), ("year_max_c", False))
        )
        years = tuple(row.year for row in rows)
        return StationLevels(station, return_period_years, years, lowest, highest)

    def _of(self, station: str) -> list[StationYear]:
        if station not in self._years:
            wanted = (self._wanted | {station}) - self._years.keys()
            found: dict[str, list[StationYear]] = defaultdict(list)
            for row in StationYear.objects.filter(station__in=wanted).order_by("year"):
                found[row.station].append(row)
            self._years |= {each: found[each] for each in wanted}
        return self._years[station]


def _with_interval(level: ReturnLevel) -> str:
    low, high = float(level.low_c[0]), float(level.high_c[0])
    return f"{float(level.level_c[0]):.1f} ({low:.1f} to {high:.1f})"
