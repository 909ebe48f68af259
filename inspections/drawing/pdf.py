"""A drawing on paper, with the inks of the palette."""

from __future__ import annotations

from functools import cache

from reportlab.lib.colors import HexColor
from reportlab.lib.rl_accel import fp_str
from reportlab.pdfbase.pdfdoc import PDFDocument
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable

from inspections.drawing import typeface
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

ROUND_JOINS = 1
PAINT = {(True, False): "S", (False, True): "f*", (True, True): "B*", (False, False): "n"}
"""Operators by whether there is a stroke and a fill."""
_BEND = 4 / 3 * (2**0.5 - 1)
"""Distance of the control points of a quarter of a circle, as a share of its radius."""
QUARTERS = (
    ((1.0, _BEND), (_BEND, 1.0), (0.0, 1.0)),
    ((-_BEND, 1.0), (-1.0, _BEND), (-1.0, 0.0)),
    ((-1.0, -_BEND), (-_BEND, -1.0), (0.0, -1.0)),
    ((_BEND, -1.0), (1.0, -_BEND), (1.0, 0.0)),
)
"""Two control points and the end of each quarter of a circle of radius 1."""


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
        """Draw every shape where the canvas stands, from back to front."""
        self.draw_at(self.canv, 0.0, 0.0)

    def draw_at(self, canvas: Canvas, x: float, y: float) -> None:
        """Draw every shape with the lower left corner at x, y."""
        typeface.register()
        code = [f"q {self.scale:.6f} 0 0 {self.scale:.6f} {x:.4f} {y:.4f} cm {ROUND_JOINS} j"]
        tall, last = self.drawing.height, ""
        for shape in self.drawing.shapes:
            if isinstance(shape, Spot):
                continue  # nobody points at paper
            if shape.style != last:
                code.append(_taken_up(shape.style))
                last = shape.style
            code.append(_drawn(shape, tall, canvas._doc))
        canvas.addLiteral("\n".join([*code, "Q"]))


@cache
def _taken_up(name: str) -> str:
    """Return the operators that take up the inks and the line of a style."""
    style = STYLES[name]
    parts = []
    if style.fill != NONE:
        parts.append(f"{_ink(style.fill)} rg")
    if style.stroke != NONE:
        dash = " ".join(f"{each:g}" for each in style.dash)
        parts.append(f"{_ink(style.stroke)} RG {style.width:g} w [{dash}] 0 d")
    return " ".join(parts)


@cache
def _painted(name: str) -> str:
    """Return the operator that paints a closed shape of a style."""
    style = STYLES[name]
    return PAINT[style.stroke != NONE, style.fill != NONE]


def _drawn(shape: Shape, tall: float, document: PDFDocument) -> str:
    """Return the operators of one shape, its y measured upwards as PDF does."""
    match shape:
        case Line(x1, y1, x2, y2):
            return f"{x1:.3f} {tall - y1:.3f} m {x2:.3f} {tall - y2:.3f} l S"
        case Polyline(points):
            return f"{_path(points, tall)} S"
        case Polygon(points):
            return f"{_path(points, tall)} h {_painted(shape.style)}"
        case Rect(x, y, width, height):
            low = tall - y - height
            return f"{x:.3f} {low:.3f} {width:.3f} {height:.3f} re {_painted(shape.style)}"
        case Circle(x, y, radius):
            return f"{_circle(x, tall - y, radius)} h {_painted(shape.style)}"
        case Text(x, y, text, name, anchor):
            style = STYLES[name]
            font = typeface.BOLD if style.bold else typeface.REGULAR
            if anchor != "start":
                used = typeface.text_width(text, style.size, style.bold)
                x -= used if anchor == "end" else used / 2
            shown = typeface.show_text(text, font, style.size, document)
            return f"BT 1 0 0 1 {x:.3f} {tall - y:.3f} Tm {shown} ET"


def _path(points: tuple[XY, ...], tall: float) -> str:
    """Return the way from the first point along all others."""
    (x, y), *rest = points
    return " ".join([f"{x:.3f} {tall - y:.3f} m", *(f"{x:.3f} {tall - y:.3f} l" for x, y in rest)])


def _circle(x: float, y: float, radius: float) -> str:
    """Return the way around a circle, in four curves."""
    first = f"{x + radius:.3f} {y:.3f} m"
    curves = (
        " ".join(f"{x + radius * across:.3f} {y + radius * up:.3f}" for across, up in curve)
        for curve in QUARTERS
    )
    return " ".join([first, *(f"{each} c" for each in curves)])


@cache
def _ink(name: str) -> str:
    ink = HexColor(COLOURS[name][1])
    return fp_str(ink.red, ink.green, ink.blue)
