"""A drawing as SVG for a page: classes only, because the pages allow no inline styles."""

from __future__ import annotations

import itertools
import re

from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe

from inspections.drawing.shapes import (
    XY,
    Circle,
    Drawing,
    Line,
    Lines,
    Polygon,
    Polyline,
    Rect,
    Shape,
    Spot,
    Text,
)

_ids = itertools.count(1)
_ID = re.compile(r"drawing-\d+-")


def to_svg(drawing: Drawing) -> SafeString:
    """Return an ``<svg>`` that fills the width of what holds it and is read out by its words."""
    number = next(_ids)
    title, description = f"drawing-{number}-title", f"drawing-{number}-text"
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" class="drawing" role="img"'
        f' viewBox="0 0 {_n(drawing.width)} {_n(drawing.height)}"'
        f' aria-labelledby="{title} {description}">',
        f'<title id="{title}">{escape(drawing.title)}</title>',
        f'<desc id="{description}">{escape(drawing.description)}</desc>',
        *(_element(shape) for shape in drawing.shapes),
        "</svg>",
    ]
    # Every text above went through escape(); the rest is numbers and our own style names.
    return mark_safe("".join(parts))  # noqa: S308  # nosec B308 B703 # as said above


def numbered_anew(markup: str) -> SafeString:
    """Return a copy of what holds one drawing, with ids that no other drawing has."""
    # What is given came out of ``to_svg`` or a template, and only a number in it changes.
    copy = _ID.sub(f"drawing-{next(_ids)}-", markup)
    return mark_safe(copy)  # noqa: S308  # nosec B308 B703 # as said above


def _element(shape: Shape) -> str:
    name = f'class="d-{escape(shape.style)}"'
    match shape:
        case Line(x1, y1, x2, y2):
            return f'<line {name} x1="{_n(x1)}" y1="{_n(y1)}" x2="{_n(x2)}" y2="{_n(y2)}"/>'
        case Lines(ends):
            pairs = zip(ends[::2], ends[1::2], strict=True)
            way = "".join(f"M{_points((start,))}L{_points((end,))}" for start, end in pairs)
            return f'<path {name} d="{way}"/>'
        case Polyline(points):
            return f'<polyline {name} points="{_points(points)}"/>'
        case Polygon(points):
            return f'<polygon {name} points="{_points(points)}"/>'
        case Rect(x, y, width, height):
            return (
                f'<rect {name} x="{_n(x)}" y="{_n(y)}" width="{_n(width)}" height="{_n(height)}"/>'
            )
        case Circle(x, y, radius):
            return f'<circle {name} cx="{_n(x)}" cy="{_n(y)}" r="{_n(radius)}"/>'
        case Spot(x, y, radius, text):
            told = escape(text)
            return (
                f'<circle {name} cx="{_n(x)}" cy="{_n(y)}" r="{_n(radius)}"'
                f' data-told="{told}"><title>{told}</title></circle>'
            )
        case Text(x, y, text, _, anchor):
            return (
                f'<text {name} x="{_n(x)}" y="{_n(y)}" text-anchor="{anchor}">{escape(text)}</text>'
            )


def _points(points: tuple[XY, ...]) -> str:
    return " ".join(f"{_n(x)},{_n(y)}" for x, y in points)


def _n(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")
