"""Dates beside the marks of a chart, only where they find room."""

from __future__ import annotations

from inspections.drawing.labels import width_of
from inspections.drawing.shapes import XY, Shape, Text
from inspections.models import Verdict
from inspections.models.choices import VerdictWord

STYLE = "label-muted"
HEIGHT = 10.0
CLEAR = 9.0
"""Distance of a label from the middle of its mark."""
Box = tuple[float, float, float, float]


def date_labels(
    ordered: list[Verdict], places: list[XY], inside: Box, line: list[XY]
) -> list[Shape]:
    """Return dates of the last, the first and the flagged readings, none over another.

    ``inside`` is left, top, right and bottom of the plot; ``line`` is kept clear of
    where there is room elsewhere.
    """
    wanted = [len(ordered) - 1, 0]
    wanted += [
        index
        for index, each in reversed(list(enumerate(ordered)))
        if each.verdict in (VerdictWord.OUT_OF_RANGE, VerdictWord.WATCH)
    ]
    taken: list[Box] = [(x - 7.0, y - 7.0, x + 7.0, y + 7.0) for x, y in places]
    on_line: list[Box] = [(x - 3.0, y - 2.0, x + 3.0, y + 2.0) for x, y in line]
    shapes: list[Shape] = []
    for index in dict.fromkeys(wanted):
        text = f"{ordered[index].taken_at:%Y-%m-%d}"
        half = width_of(text, STYLE) / 2
        free = [
            spot
            for spot in _spots(*places[index], half)
            if _within(_box(*spot, half), inside)
            and not any(_touch(_box(*spot, half), each) for each in taken)
        ]
        clear = [
            spot for spot in free if not any(_touch(_box(*spot, half), each) for each in on_line)
        ]
        if free:
            middle, base = (clear or free)[0]
            taken.append(_box(middle, base, half))
            shapes.append(Text(middle, base, text, STYLE, "middle"))
    return shapes


def _spots(x: float, y: float, half: float) -> tuple[XY, ...]:
    """Return middle and base line of a label's places around a mark, the best first."""
    right, left, over, under = x + CLEAR + half, x - CLEAR - half, y - CLEAR, y + CLEAR + 8.0
    return (
        (right, y + 3.5),
        (left, y + 3.5),
        (x, over),
        (x, under),
        (right, over),
        (left, over),
        (right, under),
        (left, under),
        (x, over - 6.0),
        (x, under + 6.0),
    )


def _box(middle: float, base: float, half: float) -> Box:
    return middle - half, base - HEIGHT + 2.0, middle + half, base + 2.0


def _within(box: Box, inside: Box) -> bool:
    left, top, right, bottom = inside
    return box[0] >= left and box[2] <= right and box[1] >= top and box[3] <= bottom


def _touch(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]
