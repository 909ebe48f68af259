"""A drawing on paper, as ReportLab shapes with the inks of the palette."""

from __future__ import annotations

from reportlab.graphics import shapes as paper
from reportlab.lib.colors import HexColor

from inspections.drawing.palette import COLOURS, NONE, STYLES, Style
from inspections.drawing.shapes import (
    Circle,
    Drawing,
    Line,
    Polygon,
    Polyline,
    Rect,
    Shape,
    Spot,
    Text,
)
from inspections.paper import typeface


def to_pdf(drawing: Drawing, width: float) -> paper.Drawing:
    """Return the drawing at a width in points, everything in proportion."""
    typeface.register()
    scale = width / drawing.width
    group = paper.Group(
        *(
            _shape(each, drawing.height)
            for each in drawing.shapes
            if not isinstance(each, Spot)  # nobody points at paper
        ),
        transform=(scale, 0, 0, scale, 0, 0),
    )
    return paper.Drawing(
        width,
        drawing.height * scale,
        group,
        # Named even where no text is, so it must be one that is embedded.
        initialFontName=typeface.REGULAR,
    )


def _shape(shape: Shape, height: float) -> paper.Shape:
    """Turn one shape, its y measured upwards as PDF does."""
    style = STYLES[shape.style]
    match shape:
        case Line(x1, y1, x2, y2):
            return paper.Line(x1, height - y1, x2, height - y2, **_stroke(style))
        case Polyline(points):
            flat = [each for x, y in points for each in (x, height - y)]
            return paper.PolyLine(flat, fillColor=None, **_stroke(style))
        case Polygon(points):
            flat = [each for x, y in points for each in (x, height - y)]
            return paper.Polygon(flat, fillColor=_ink(style.fill), **_stroke(style))
        case Rect(x, y, width, tall):
            return paper.Rect(
                x, height - y - tall, width, tall, fillColor=_ink(style.fill), **_stroke(style)
            )
        case Circle(x, y, radius):
            return paper.Circle(x, height - y, radius, fillColor=_ink(style.fill), **_stroke(style))
        case Text(x, y, text, _, anchor):
            return paper.String(
                x,
                height - y,
                text,
                textAnchor=anchor,
                fontName=typeface.BOLD if style.bold else typeface.REGULAR,
                fontSize=style.size,
                fillColor=_ink(style.fill),
            )


def _stroke(style: Style) -> dict[str, object]:
    return {
        "strokeColor": _ink(style.stroke),
        "strokeWidth": style.width,
        "strokeDashArray": list(style.dash) or None,
        "strokeLineJoin": 1,
    }


def _ink(name: str) -> HexColor | None:
    return None if name == NONE else HexColor(COLOURS[name][1])
