"""Shapes of a drawing: where they are and what they mean, never how they are coloured.

Lengths are in the drawing's own units, x to the right and y downwards.  ``style`` is a
name of ``palette.STYLES``.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Anchor = Literal["start", "middle", "end"]
XY = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Line:
    x1: float
    y1: float
    x2: float
    y2: float
    style: str


@dataclass(frozen=True, slots=True)
class Lines:
    """Many short lines of one style, such as a hatch: both ends of each, one after the other."""

    ends: tuple[XY, ...]
    style: str


@dataclass(frozen=True, slots=True)
class Polyline:
    points: tuple[XY, ...]
    style: str


@dataclass(frozen=True, slots=True)
class Polygon:
    points: tuple[XY, ...]
    style: str


@dataclass(frozen=True, slots=True)
class Rect:
    x: float
    y: float
    width: float
    height: float
    style: str


@dataclass(frozen=True, slots=True)
class Circle:
    x: float
    y: float
    radius: float
    style: str


@dataclass(frozen=True, slots=True)
class Text:
    """A line of text; ``y`` is its base line, its size that of its style."""

    x: float
    y: float
    text: str
    style: str
    anchor: Anchor = "start"


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a page tells the figures of a mark when it is pointed at; not to be seen itself."""

    x: float
    y: float
    radius: float
    text: str
    style: str = "spot"


Shape = Line | Lines | Polyline | Polygon | Rect | Circle | Text | Spot


@dataclass(frozen=True, slots=True)
class Drawing:
    """Shapes in their order from back to front, with words for those who cannot see them."""

    width: float
    height: float
    shapes: tuple[Shape, ...]
    title: str
    description: str
