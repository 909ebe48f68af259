"""Lanes of the elevation strip: marks of the elements of one kind, support by support."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass, field, replace

from inspections.drawing.labels import width_of
from inspections.drawing.marks import WORST_FIRST, verdict_mark
from inspections.drawing.scales import Scale, spread
from inspections.drawing.shapes import Rect, Shape, Text
from inspections.models import ElementStatus
from inspections.selectors.statuses import BridgeStrip
from inventory.models.choices import ElementKind

EDGES = (80.0, 714.0)
NEAR = 14.0
"""Elements this near to their support share its column; others get one of their own."""
LEAST_WIDTH = 34.0
"""Of a column: a mark and a number of two figures."""
STEP = 13.0
ROWS = 3
"""Rows of single marks in a lane; where more are needed the marks are counted."""


@dataclass(frozen=True, slots=True)
class Column:
    """Elements that stand at one place: its station on the drawing, where they are drawn,
    and the room to both sides."""

    true_x: float
    statuses: tuple[ElementStatus, ...]
    x: float = 0.0
    room: float = field(default=LEAST_WIDTH)

    def of(self, kind: ElementKind) -> list[ElementStatus]:
        """Return the elements of one kind, the worst first."""
        rank = {word: place for place, word in enumerate(WORST_FIRST)}
        mine = [each for each in self.statuses if each.element.kind == kind]
        return sorted(mine, key=lambda each: rank[each.verdict])


def columns_of(strip: BridgeStrip, scale: Scale) -> list[Column]:
    """Return the columns from left to right, moved and merged so that none overlap."""
    support_x = {each.pk: scale.at(each.station_m) for each in strip.supports}
    grouped: dict[float, list[ElementStatus]] = {}
    for status in strip.statuses:
        own = scale.at(status.element.station_m)
        at = support_x.get(status.element.support_id, own)
        grouped.setdefault(at if abs(own - at) <= NEAR else own, []).append(status)
    columns = [Column(x, tuple(each)) for x, each in sorted(grouped.items())]
    most = int((EDGES[1] - EDGES[0]) // LEAST_WIDTH)
    while len(columns) > most:
        columns = _with_nearest_merged(columns)
    places = spread([each.true_x for each in columns], [LEAST_WIDTH] * len(columns), *EDGES, 0.0)
    walls = [2 * EDGES[0] - places[0], *places, 2 * EDGES[1] - places[-1]] if places else []
    return [
        replace(each, x=x, room=min(x - walls[index], walls[index + 2] - x) - 4.0)
        for index, (each, x) in enumerate(zip(columns, places, strict=True))
    ]


def _with_nearest_merged(columns: list[Column]) -> list[Column]:
    at = min(
        range(len(columns) - 1), key=lambda each: columns[each + 1].true_x - columns[each].true_x
    )
    left, right = columns[at], columns[at + 1]
    merged = Column((left.true_x + right.true_x) / 2, left.statuses + right.statuses)
    return [*columns[:at], merged, *columns[at + 2 :]]


def lane(
    columns: list[Column], kind: ElementKind, name: str, top: float
) -> tuple[list[Shape], float]:
    """Return a lane of marks under ``top`` and where it ends."""
    cells = [(each, each.of(kind)) for each in columns]
    rows = max(_rows(column, found) for column, found in cells if found)
    height = rows * STEP + 8.0
    shapes: list[Shape] = [
        Rect(4.0, top, EDGES[1] - 2.0, height - 2.0, "lane"),
        Text(8.0, top + (height - 2.0) / 2 + 4.0, name, "label"),
    ]
    for column, found in cells:
        if not found:
            continue
        middle = top + (rows - _rows(column, found)) * STEP / 2
        if _per_row(column) * ROWS >= len(found):
            shapes += _single(column, found, middle)
        else:
            shapes += _counted(column, found, middle)
    return shapes, top + height


def _per_row(column: Column) -> int:
    return max(int(column.room // STEP), 1)


def _rows(column: Column, found: list[ElementStatus]) -> int:
    rows = math.ceil(len(found) / _per_row(column))
    return rows if rows <= ROWS else len({each.verdict for each in found})


def _single(column: Column, found: list[ElementStatus], top: float) -> list[Shape]:
    """A mark for each element, as even as can be over the rows."""
    rows = _rows(column, found)
    per_row = math.ceil(len(found) / rows)
    shapes: list[Shape] = []
    for index, status in enumerate(found):
        row, place = divmod(index, per_row)
        in_row = min(per_row, len(found) - row * per_row)
        x = column.x + (place - (in_row - 1) / 2) * STEP
        shapes += verdict_mark(status.verdict, x, top + 10.0 + row * STEP, 5.2)
    return shapes


def _counted(column: Column, found: list[ElementStatus], top: float) -> list[Shape]:
    """One mark for each verdict, the worst on top, with the number of elements."""
    counts = Counter(each.verdict for each in found)
    shapes: list[Shape] = []
    for row, word in enumerate(each for each in WORST_FIRST if counts[each]):
        text, y = str(counts[word]), top + 10.0 + row * STEP
        left = column.x - (14.0 + width_of(text, "label")) / 2
        shapes += verdict_mark(word, left + 6.0, y, 5.2)
        shapes.append(Text(left + 14.0, y + 4.0, text, "label"))
    return shapes
