"""The sheet of a plan: from stations and distances across to places on the drawing."""

from __future__ import annotations

import math

from inspections.drawing.alignment import Alignment, Place
from inspections.drawing.shapes import XY
from inspections.plan_of_movement import PlanOfMovement

WIDTH = 720.0
MARGIN = 14.0
"""Around all that is drawn."""
LONGEST = 44.0
"""Of an arrow."""
REACH = LONGEST + 10.0
"""How far an element's arrows and mark reach."""
TALLEST = 340.0
"""Height that the alignment may take."""
STEEPEST_DEG = 60.0
"""A greater skew is drawn like this one: lines set apart more than to scale would run away."""


def along_skew(across: float, skew_deg: float) -> float:
    """Return how far along a place lies that is so far to the left on a skewed support."""
    drawn = max(-STEEPEST_DEG, min(STEEPEST_DEG, skew_deg))
    return -across * math.tan(math.radians(drawn))


class Sheet:
    """Places of a bridge's stations, to scale along; across they are in the drawing's own units."""

    def __init__(self, plan: PlanOfMovement, half: float) -> None:
        stations = [
            *(each.start_station_m for each in plan.units),
            *(each.end_station_m for each in plan.units),
            *(each.station_m for each in plan.supports),
        ]
        self.low_m, self.high_m = min(stations), max(stations)
        if self.high_m - self.low_m < 1.0:
            self.low_m, self.high_m = self.low_m - 5.0, self.high_m + 5.0
        self._alignment = Alignment(plan.units, self.low_m, self.high_m)
        steps = 60
        line = [
            self._alignment.at(self.low_m + (self.high_m - self.low_m) * n / steps)
            for n in range(steps + 1)
        ]
        left, right = min(p.x_m for p in line), max(p.x_m for p in line)
        bottom, top = min(p.y_m for p in line), max(p.y_m for p in line)
        # What stands beside the deck at a skewed end reaches further.
        skew = max((abs(each) for each in plan.skew_by_support.values()), default=0.0)
        margin = MARGIN + REACH - along_skew(half + 14.0, skew)
        self.px_per_m = min(
            (WIDTH - 2 * margin) / max(right - left, 1.0), TALLEST / max(top - bottom, 1e-6)
        )
        self._x0 = WIDTH / 2 - self.px_per_m * (left + right) / 2
        self._y0 = self.px_per_m * top

    def lower(self, by: float) -> None:
        """Move all places down the sheet."""
        self._y0 += by

    def place(self, station_m: float) -> Place:
        """Return the point of the alignment at a station, in metres."""
        return self._alignment.at(station_m)

    def at(self, station_m: float, across: float = 0.0, skew_deg: float = 0.0) -> XY:
        """Return the place of a station; ``across`` is to the left, along a skewed support."""
        place = self._alignment.at(station_m)
        return self.beside(place, along_skew(across, skew_deg), across)

    def beside(self, place: Place, along: float, across: float) -> XY:
        """Return the place so far from a point along its tangent and to the left of it."""
        cosine, sine = math.cos(place.heading), math.sin(place.heading)
        x = self._x0 + self.px_per_m * place.x_m + along * cosine - across * sine
        y = self._y0 - self.px_per_m * place.y_m - along * sine - across * cosine
        return x, y
