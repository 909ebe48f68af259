"""Arrows of a movement: an open one for what is expected, a filled one for what was measured."""

from __future__ import annotations

import math

from inspections.drawing.shapes import XY, Line, Polygon, Polyline, Shape


def open_arrow(start: XY, step: XY) -> list[Shape]:
    """Return a line with an open head; ``step`` is from its start to its tip."""
    size = math.hypot(*step)
    unit = step[0] / size, step[1] / size
    tip = start[0] + step[0], start[1] + step[1]
    back = min(6.0, size)
    wings = [
        (
            tip[0] - back * unit[0] + side * 3.4 * unit[1],
            tip[1] - back * unit[1] - side * 3.4 * unit[0],
        )
        for side in (-1.0, 1.0)
    ]
    return [Line(*start, *tip, "expected"), Polyline((wings[0], tip, wings[1]), "expected")]


def filled_arrow(start: XY, step: XY, style: str) -> list[Shape]:
    """Return a solid arrow in a style."""
    size = math.hypot(*step)
    u, v = step[0] / size, step[1] / size
    head = min(7.0, size)
    neck = size - head
    outline = (
        (0.0, -1.6), (neck, -1.6), (neck, -4.4), (size, 0.0), (neck, 4.4), (neck, 1.6), (0.0, 1.6),
    )  # fmt: skip
    points = tuple((start[0] + a * u - b * v, start[1] + a * v + b * u) for a, b in outline)
    return [Polygon(points, style)]
