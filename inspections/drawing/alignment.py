"""The alignment of a bridge in plan: stations to places, straight or curved unit by unit."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from inventory.models import Unit


@dataclass(frozen=True, slots=True)
class Place:
    """A point of the alignment [m] with the direction of increasing station [rad]."""

    x_m: float
    y_m: float
    heading: float

    def ahead(self, length_m: float, radius_m: float | None) -> Place:
        """Return the point so much further along, on a curve to the left where it is positive."""
        if radius_m is None:
            return Place(
                self.x_m + length_m * math.cos(self.heading),
                self.y_m + length_m * math.sin(self.heading),
                self.heading,
            )
        end = self.heading + length_m / radius_m
        return Place(
            self.x_m + radius_m * (math.sin(end) - math.sin(self.heading)),
            self.y_m - radius_m * (math.cos(end) - math.cos(self.heading)),
            end,
        )


class Alignment:
    """Places of all stations of a bridge; y is positive to the left of increasing station.

    Between units, and beyond the first and the last, it runs straight on.  It is turned so
    that the two ends of ``stations`` lie level.
    """

    def __init__(self, units: Sequence[Unit], low_m: float, high_m: float) -> None:
        pieces: list[tuple[float, float, float | None]] = []
        at = low_m
        for unit in sorted(units, key=lambda each: each.start_station_m):
            start, end = max(unit.start_station_m, at), unit.end_station_m
            if end <= start:
                continue
            if start > at:
                pieces.append((at, start, None))
            pieces.append((start, end, unit.plan_radius_m))
            at = end
        if high_m > at or not pieces:
            pieces.append((at, max(high_m, at + 1e-6), None))
        level = self._walk(pieces, Place(0.0, 0.0, 0.0))
        end = self._in(level, high_m)
        turn = math.atan2(end.y_m, end.x_m)
        self._pieces = self._walk(pieces, Place(0.0, 0.0, -turn))

    @staticmethod
    def _walk(
        pieces: Sequence[tuple[float, float, float | None]], place: Place
    ) -> list[tuple[float, Place, float | None]]:
        walked = []
        for start, end, radius in pieces:
            walked.append((start, place, radius))
            place = place.ahead(end - start, radius)
        return walked

    @staticmethod
    def _in(walked: Sequence[tuple[float, Place, float | None]], station_m: float) -> Place:
        start, place, radius = next(
            (each for each in reversed(walked) if each[0] <= station_m), walked[0]
        )
        return place.ahead(station_m - start, radius if station_m >= start else None)

    def at(self, station_m: float) -> Place:
        """Return the place of a station."""
        return self._in(self._pieces, station_m)
