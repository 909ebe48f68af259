"""A drawing on paper, with the inks of the palette."""

from __future__ import annotations

from functools import cache

from reportlab.lib.colors import HexColor
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable

from inspections.drawing.palette import COLOURS, NONE, STYLES
from inspections.drawing.shapes import (
    XY,
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

ROUND_JOINS = 1


def to_pdf(drawing: Drawing, width: float) -> PaperDrawing:
    """Return the drawing at a width in points, everything in proportion."""
    return PaperDrawing(drawing, width)


class PaperDrawing(Flowable):
    """Draws shapes straight onto the page: a long report holds thousands of them."""

    def __init__(self, drawing: Drawing, width: float) -> None:
        super().__init__()
        self.drawing = drawing
        self.scale = width / drawing.width
        self.width, self.height = width, drawing.height * self.scale

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        """Take its own room, whatever there is."""
        return self.width, self.height

    def draw(self) -> None:
        """Draw every shape, from back to front."""
        typeface.register()
        canvas, tall = self.canv, self.drawing.height
        canvas.scale(self.scale, self.scale)
        canvas.setLineJoin(ROUND_JOINS)
        last = ""
        for shape in self.drawing.shapes:
            if isinstance(shape, Spot):
                continue  # nobody points at paper
            if shape.style != last:
                _take_up(canvas, shape.style)
                last = shape.style
            _draw(canvas, shape, tall)


def _take_up(canvas: Canvas, name: str) -> None:
    style = STYLES[name]
    if style.fill != NONE:
        canvas.setFillColor(_ink(style.fill))
    if style.stroke != NONE:
        canvas.setStrokeColor(_ink(style.stroke))
        canvas.setLineWidth(style.width)
        canvas.setDash(list(style.dash))


def _draw(canvas: Canvas, shape: Shape, tall: float) -> None:
    """Draw one shape, its y measured upwards as PDF does."""
    style = STYLES[shape.style]
    painted = {"stroke": int(style.stroke != NONE), "fill": int(style.fill != NONE)}
    match shape:
        case Line(x1, y1, x2, y2):
            canvas.line(x1, tall - y1, x2, tall - y2)
        case Polyline(points):
            _path(canvas, points, tall, closed=False, stroke=1, fill=0)
        case Polygon(points):
            _path(canvas, points, tall, closed=True, **painted)
        case Rect(x, y, width, height):
            canvas.rect(x, tall - y - height, width, height, **painted)
        case Circle(x, y, radius):
            canvas.circle(x, tall - y, radius, **painted)
        case Text(x, y, text, _, anchor):
            canvas.setFont(typeface.BOLD if style.bold else typeface.REGULAR, style.size)
            write = {
                "start": canvas.drawString,
                "middle": canvas.drawCentredString,
                "end": canvas.drawRightString,
            }[anchor]
            write(x, tall - y, text)


def _path(
    canvas: Canvas, points: tuple[XY, ...], tall: float, *, closed: bool, stroke: int, fill: int
) -> None:
    path = canvas.beginPath()
    (x, y), *rest = points
    path.moveTo(x, tall - y)
    for x, y in rest:
        path.lineTo(x, tall - y)
    if closed:
        path.close()
    canvas.drawPath(path, stroke=stroke, fill=fill)


@cache
def _ink(name: str) -> HexColor:
    return HexColor(COLOURS[name][1])
