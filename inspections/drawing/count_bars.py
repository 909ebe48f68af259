"""Numbers of elements by kind and verdict as bars that differ by shape and hatching."""

from __future__ import annotations

from collections.abc import Mapping

from inspections.drawing.labels import width_of
from inspections.drawing.marks import WORST_FIRST, verdict_mark
from inspections.drawing.shapes import Drawing, Line, Rect, Shape, Text
from inspections.models.choices import VerdictWord
from inventory.words import in_sentence

WIDTH = 720.0
LEFT, RIGHT = 190.0, 60.0
MARKS = 86.0
"""Where marks and bars stand at least; the words of some languages need more room."""
BAR, BETWEEN, GROUP = 12.0, 5.0, 12.0
HATCH = 6.0


def count_bars(counts: Mapping[str, Mapping[VerdictWord, int]]) -> Drawing:
    """Return four bars for each kind, one a verdict, each with its mark and number."""
    most = max((each for row in counts.values() for each in row.values()), default=0) or 1
    shapes: list[Shape] = []
    y = 4.0
    told = []
    marks = max([MARKS, *(width_of(kind, "label-strong") + 14.0 for kind in counts)])
    words = max(width_of(each.label, "label") for each in WORST_FIRST)
    left = max(LEFT, marks + 12.0 + words + 8.0)
    for kind, row in counts.items():
        shapes.append(Text(0.0, y + BAR - 2.0, kind, "label-strong"))
        for word in WORST_FIRST:
            number = row.get(word, 0)
            length = (WIDTH - left - RIGHT) * number / most
            middle = y + BAR / 2
            shapes += verdict_mark(word, marks, middle, 5.0)
            shapes.append(Text(marks + 12.0, y + BAR - 2.0, word.label, "label"))
            if number:
                shapes += _bar(word, left, y, length)
            text = str(number)
            shapes.append(Text(left + length + 6.0, y + BAR - 2.0, text, "label"))
            y += BAR + BETWEEN
        y += GROUP
        parts = ", ".join(f"{row.get(word, 0)} {in_sentence(word.label)}" for word in WORST_FIRST)
        told.append(f"{kind}: {parts}")
    shapes.append(Line(left, 0.0, left, max(y - GROUP, BAR), "axis"))
    return Drawing(
        WIDTH,
        max(y - GROUP, BAR) + 4.0,
        tuple(shapes),
        "Elements by kind and verdict",
        f"{'. '.join(told)}." if told else "No element.",
    )


def _bar(word: VerdictWord, left: float, y: float, length: float) -> list[Shape]:
    """Crossed lines, lines one way, an empty box, a plain tint: told apart without colour."""
    style = "deck" if word == VerdictWord.IN_RANGE else "fixed"
    shapes: list[Shape] = [Rect(left, y, length, BAR, style)]
    if word in (VerdictWord.OUT_OF_RANGE, VerdictWord.WATCH):
        shapes += _hatch(left, y, length, falling=False)
    if word == VerdictWord.OUT_OF_RANGE:
        shapes += _hatch(left, y, length, falling=True)
    return shapes


def _hatch(left: float, y: float, length: float, *, falling: bool) -> list[Shape]:
    """Return slanted lines, cut at the ends of the bar."""
    lines: list[Shape] = []
    start = -BAR
    while start < length:
        low, high = max(start, 0.0), min(start + BAR, length)
        if high > low:
            rise_from, rise_to = low - start, high - start
            first, last = (rise_from, rise_to) if falling else (BAR - rise_from, BAR - rise_to)
            lines.append(Line(left + low, y + first, left + high, y + last, "hatch"))
        start += HATCH
    return lines
