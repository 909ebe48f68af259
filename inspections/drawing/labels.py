"""Rows of labels under or over marks, kept apart and tied to their marks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from inspections.drawing.palette import STYLES
from inspections.drawing.scales import spread
from inspections.drawing.shapes import Line, Shape, Text
from inspections.drawing.typeface import text_width

ASCENT = 0.78
"""Height of a capital or figure, as a share of the text's size."""


@dataclass(frozen=True, slots=True)
class Label:
    """A text that belongs to the place ``x``."""

    x: float
    text: str
    style: str = "label"


def width_of(text: str, style: str) -> float:
    """Return the width of a text in its style."""
    return text_width(text, STYLES[style].size, STYLES[style].bold)


def label_row(
    labels: Sequence[Label], y: float, low: float, high: float, tie_to: float | None = None
) -> list[Shape]:
    """Return labels on one base line between low and high, ties drawn to ``tie_to``."""
    ordered = sorted(labels, key=lambda each: each.x)
    middles = spread(
        [each.x for each in ordered],
        [width_of(each.text, each.style) for each in ordered],
        low,
        high,
        gap=12.0,
    )
    shapes: list[Shape] = []
    for label, middle in zip(ordered, middles, strict=True):
        if tie_to is not None:
            below = y > tie_to
            edge = y - ASCENT * STYLES[label.style].size - 2.0 if below else y + 3.0
            shapes.append(Line(middle, edge, label.x, tie_to, "leader"))
        shapes.append(Text(middle, y, label.text, label.style, "middle"))
    return shapes


def fitted(text: str, style: str, room: float) -> str:
    """Return the text, cut with an ellipsis where it is wider than its room."""
    if width_of(text, style) <= room:
        return text
    while text and width_of(f"{text}…", style) > room:
        text = text[:-1]
    return f"{text.rstrip()}…"


def wrapped(text: str, style: str, room: float) -> list[str]:
    """Return the text on as many lines as its words need."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and width_of(longer, style) <= room:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines
