"""The mark of a verdict: a shape of its own for each, the same wherever it is drawn."""

from __future__ import annotations

from django.utils.translation import gettext as _

from inspections.drawing.shapes import Circle, Drawing, Polygon, Shape, Text
from inspections.models.choices import VerdictWord
from inventory.words import in_sentence

NAMES = {
    VerdictWord.IN_RANGE: "in-range",
    VerdictWord.WATCH: "watch",
    VerdictWord.OUT_OF_RANGE: "out-of-range",
    VerdictWord.CANNOT_JUDGE: "cannot-judge",
}
WORST_FIRST = (
    VerdictWord.OUT_OF_RANGE,
    VerdictWord.WATCH,
    VerdictWord.CANNOT_JUDGE,
    VerdictWord.IN_RANGE,
)


def verdict_mark(
    verdict: int, x: float, y: float, radius: float = 6.0, layer: str = "mark"
) -> tuple[Shape, ...]:
    """Return the shapes of a verdict's mark, centred at x, y.

    In range is a filled circle, watch a triangle, out of range a diamond, cannot judge an
    open ring with a question mark.  ``layer`` is "mark", or "carried" for the smaller ones.
    """
    word = VerdictWord(verdict)
    style = f"{layer}-{NAMES[word]}"
    r = radius
    if word == VerdictWord.WATCH:
        # Its centre of area, not of height, lies at x, y.
        points = ((x, y - 1.2 * r), (x + 1.15 * r, y + 0.75 * r), (x - 1.15 * r, y + 0.75 * r))
        return (Polygon(points, style),)
    if word == VerdictWord.OUT_OF_RANGE:
        points = ((x, y - 1.25 * r), (x + 1.25 * r, y), (x, y + 1.25 * r), (x - 1.25 * r, y))
        return (Polygon(points, style),)
    if word == VerdictWord.CANNOT_JUDGE:
        ring = Circle(x, y, 0.9 * r, style)
        if r < 5:
            return (ring,)
        return (ring, Text(x, y + 3.1, "?", "mark-query", "middle"))
    return (Circle(x, y, 0.9 * r, style),)


def mark_drawing(verdict: int, size: float = 16.0) -> Drawing:
    """Return a verdict's mark by itself, for a table or a line of text."""
    word = VerdictWord(verdict)
    shapes = verdict_mark(word, size / 2, size / 2, 0.38 * size)
    return Drawing(
        size,
        size,
        shapes,
        word.label,
        _("Mark of the verdict: %(verdict)s.") % {"verdict": in_sentence(word.label)},
    )
