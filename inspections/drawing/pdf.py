"""A drawing on paper, with the inks of the palette."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache, lru_cache
from typing import Any

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
    Lines,
    Polygon,
    Polyline,
    Rect,
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
_CURVES = " ".join(["%.3f %.3f m", *["%.3f %.3f %.3f %.3f %.3f %.3f c"] * len(QUARTERS)])


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
        tall, last, document = self.drawing.height, "", canvas._doc
        for shape in self.drawing.shapes:
            if isinstance(shape, Spot):
                continue  # nobody points at paper
            if shape.style != last:
                code.append(_taken_up(shape.style))
                last = shape.style
            code.append(_DRAWN[type(shape)](shape, tall, document))
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


def _line(shape: Line, tall: float, _document: PDFDocument) -> str:
    return f"{shape.x1:.3f} {tall - shape.y1:.3f} m {shape.x2:.3f} {tall - shape.y2:.3f} l S"


def _lines(shape: Lines, tall: float, _document: PDFDocument) -> str:
    steps = [each for x, y in shape.ends for each in (x, tall - y)]
    return f"{_pairs(len(shape.ends) // 2) % tuple(steps)} S"


def _polyline(shape: Polyline, tall: float, _document: PDFDocument) -> str:
    return f"{_path(shape.points, tall)} S"


def _polygon(shape: Polygon, tall: float, _document: PDFDocument) -> str:
    return f"{_path(shape.points, tall)} h {_painted(shape.style)}"


def _rect(shape: Rect, tall: float, _document: PDFDocument) -> str:
    low = tall - shape.y - shape.height
    return (
        f"{shape.x:.3f} {low:.3f} {shape.width:.3f} {shape.height:.3f} re {_painted(shape.style)}"
    )


def _round(shape: Circle, tall: float, _document: PDFDocument) -> str:
    x, y = shape.x, tall - shape.y
    around = [at for right, up in _around(shape.radius) for at in (x + right, y + up)]
    return f"{_CURVES % tuple(around)} h {_painted(shape.style)}"


def _text(shape: Text, tall: float, document: PDFDocument) -> str:
    style, x = STYLES[shape.style], shape.x
    if shape.anchor != "start":
        used = typeface.text_width(shape.text, style.size, style.bold)
        x -= used if shape.anchor == "end" else used / 2
    font = typeface.BOLD if style.bold else typeface.REGULAR
    shown = typeface.show_text(shape.text, font, style.size, document)
    return f"BT 1 0 0 1 {x:.3f} {tall - shape.y:.3f} Tm {shown} ET"


_DRAWN: dict[type, Callable[[Any, float, PDFDocument], str]] = {
    Line: _line,
    Lines: _lines,
    Polyline: _polyline,
    Polygon: _polygon,
    Rect: _rect,
    Circle: _round,
    Text: _text,
}
"""What returns the operators of a shape, its y measured upwards as PDF does."""


def _path(points: tuple[XY, ...], tall: float) -> str:
    """Return the way from the first point along all others."""
    # Formatted at once: bands and curves are most of what a long report draws.
    steps = [each for x, y in points for each in (x, tall - y)]
    return _steps(len(points)) % tuple(steps)


@lru_cache(256)
def _steps(count: int) -> str:
    """Return the operators of a way along so many points, their coordinates to be filled in."""
    return " ".join(["%.3f %.3f m", *["%.3f %.3f l"] * (count - 1)])


@lru_cache(256)
def _pairs(count: int) -> str:
    """Return the operators of so many lines, their coordinates to be filled in."""
    return " ".join(["%.3f %.3f m %.3f %.3f l"] * count)


@lru_cache(256)
def _around(radius: float) -> tuple[XY, ...]:
    """Return the points of a circle's curves, the middle being 0, 0."""
    points = [(radius, 0.0), *((radius * x, radius * y) for curve in QUARTERS for x, y in curve)]
    return tuple(points)


@cache
def _ink(name: str) -> str:
    ink = HexColor(COLOURS[name][1])
    return fp_str(ink.red, ink.green, ink.blue)
