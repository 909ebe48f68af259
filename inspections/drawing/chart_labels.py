"""Labels inside a chart: each where it finds room, clear of marks and of one another."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from django.utils import timezone
from django.utils.translation import gettext as _

from inspections.drawing.events import NO_EVENTS, Events
from inspections.drawing.labels import width_of
from inspections.drawing.shapes import XY, Line, Polyline, Shape, Text
from inspections.models import Verdict
from inspections.models.choices import VerdictWord

DATE = "label-muted"
HEIGHT = 10.0
CLEAR = 9.0
"""Distance of a label from the middle of its mark."""
Box = tuple[float, float, float, float]
"""Left, top, right, bottom."""


@dataclass(frozen=True, slots=True)
class Spots:
    """A label with the places (middle, base line) it may take, the best first."""

    text: str
    style: str
    places: tuple[XY, ...]


def date_spots(
    ordered: Sequence[Verdict], marks: Sequence[XY], events: Events = NO_EVENTS
) -> list[Spots]:
    """Return the dates of the last, the first, those after an event and the flagged readings,
    in that order."""
    wanted = [len(ordered) - 1, 0]
    wanted += [index for index, each in enumerate(ordered) if each.inspection_id in events]
    wanted += [
        index
        for index, each in reversed(list(enumerate(ordered)))
        if each.verdict in (VerdictWord.OUT_OF_RANGE, VerdictWord.WATCH)
    ]
    return [_around(_dated(ordered[each], events), *marks[each]) for each in dict.fromkeys(wanted)]


def _dated(verdict: Verdict, events: Events) -> str:
    day = f"{timezone.localtime(verdict.taken_at):%Y-%m-%d}"
    return _("%(day)s, after event") % {"day": day} if verdict.inspection_id in events else day


def placed_labels(
    labels: Iterable[Spots], marks: Sequence[XY], inside: Box, lines: Sequence[Box]
) -> list[Shape]:
    """Return the labels that find room within ``inside``; earlier ones choose first.

    Marks and other labels are kept clear of; ``lines`` too, where there is room elsewhere.
    """
    taken: list[Box] = [(x - 7.0, y - 7.0, x + 7.0, y + 7.0) for x, y in marks]
    shapes: list[Shape] = []
    for label in labels:
        half = width_of(label.text, label.style) / 2
        boxes = [(spot, _box(*spot, half)) for spot in label.places]
        free = [
            (spot, box)
            for spot, box in boxes
            if _within(box, inside) and not _touches_any(box, taken)
        ]
        if free:
            clear = (each for each in free if not _touches_any(each[1], lines))
            (middle, base), box = next(clear, free[0])
            taken.append(box)
            shapes.append(Text(middle, base, label.text, label.style, "middle"))
    return shapes


def boxes_along(shapes: Iterable[Shape], step: float = 6.0) -> list[Box]:
    """Return boxes along drawn lines, for labels to keep clear of."""
    boxes: list[Box] = []
    for shape in shapes:
        if isinstance(shape, Line):
            points: tuple[XY, ...] = ((shape.x1, shape.y1), (shape.x2, shape.y2))
        elif isinstance(shape, Polyline):
            points = shape.points
        else:
            continue
        for (x1, y1), (x2, y2) in pairwise(points):
            # The end of one stretch is the start of the next.
            count = max(int(max(abs(x2 - x1), abs(y2 - y1)) / step), 1)
            for n in range(count):
                x, y = x1 + (x2 - x1) * n / count, y1 + (y2 - y1) * n / count
                boxes.append((x - 3.0, y - 2.0, x + 3.0, y + 2.0))
        x, y = points[-1]
        boxes.append((x - 3.0, y - 2.0, x + 3.0, y + 2.0))
    return boxes


def _around(text: str, x: float, y: float) -> Spots:
    """Return the places of a label around a mark."""
    half = width_of(text, DATE) / 2
    right, left, over, under = x + CLEAR + half, x - CLEAR - half, y - CLEAR, y + CLEAR + 8.0
    places = (
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
    return Spots(text, DATE, places)


def _box(middle: float, base: float, half: float) -> Box:
    return middle - half, base - HEIGHT + 2.0, middle + half, base + 2.0


def _within(box: Box, inside: Box) -> bool:
    left, top, right, bottom = inside
    return box[0] >= left and box[2] <= right and box[1] >= top and box[3] <= bottom


def _touches_any(box: Box, others: Iterable[Box]) -> bool:
    left, top, right, bottom = box
    for from_x, from_y, to_x, to_y in others:  # a plain loop: it runs thousands of times a chart
        if left < to_x and from_x < right and top < to_y and from_y < bottom:
            return True
    return False
