"""The key at the foot of a chart: what each of its lines is, on as many rows as that takes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from inspections.drawing.chart_frame import LEFT
from inspections.drawing.labels import fitted, width_of
from inspections.drawing.shapes import Line, Rect, Shape, Text

STYLE = "label-muted"
SIGN, TO_WORDS, BETWEEN = 22.0, 27.0, 14.0
"""Length of a sign, from where it begins to its words, and from its words to the next sign."""
ROW = 14.0
FOOT = 9.0
"""How far the last row stands above the foot of the drawing."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One sign of a key with its words; words alone where ``style`` is empty."""

    style: str
    wordings: tuple[str, ...]
    """The longest first: the first that finds room is taken."""


@dataclass(frozen=True, slots=True)
class Key:
    """A key, row by row: where each sign begins, its style and its words."""

    rows: tuple[tuple[tuple[float, str, str], ...], ...]

    @property
    def more(self) -> float:
        """Return the height of the rows beyond the first, which every chart has room for."""
        return ROW * (len(self.rows) - 1)

    def shapes(self, height: float) -> list[Shape]:
        """Return the key at the foot of a drawing of that height."""
        first = height - FOOT - self.more
        return [
            shape
            for number, row in enumerate(self.rows)
            for x, style, words in row
            for shape in _signed(style, x, first + ROW * number, words)
        ]


def key_of(entries: Sequence[Entry], width: float) -> Key:
    """Return the key of a chart: what finds no room beside the others begins a row."""
    rows: list[list[tuple[float, str, str]]] = [[]]
    x = LEFT
    for each in entries:
        words = _first_within(each, x, width)
        if words is None and rows[-1]:
            rows.append([])
            x = LEFT
            words = _first_within(each, x, width)
        if words is None:
            words = fitted(each.wordings[-1], STYLE, width - x - _before_words(each.style))
        rows[-1].append((x, each.style, words))
        x += _before_words(each.style) + width_of(words, STYLE) + BETWEEN
    return Key(tuple(tuple(row) for row in rows))


def _first_within(entry: Entry, x: float, width: float) -> str | None:
    room = width - x - _before_words(entry.style)
    return next((each for each in entry.wordings if width_of(each, STYLE) <= room), None)


def _before_words(style: str) -> float:
    return TO_WORDS if style else 0.0


def _signed(style: str, x: float, y: float, words: str) -> list[Shape]:
    return [*_sign(style, x, y), Text(x + _before_words(style), y + 3.6, words, STYLE)]


def _sign(style: str, x: float, y: float) -> list[Shape]:
    """Return a stretch of what is drawn: an area, the band with its edges, or a line."""
    if not style:
        return []
    area = Rect(x, y - 5.0, SIGN, 10.0, style)
    if style == "band":
        return [area, *(Line(x, at, x + SIGN, at, "band-edge") for at in (y - 5.0, y + 5.0))]
    return [area] if style == "step" else [Line(x, y, x + SIGN, y, style)]
