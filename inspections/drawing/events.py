"""How a chart shows a visit that was made after an event: its mark stands in a square."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from inspections.drawing.shapes import Rect
from inspections.models import Event

Events = Mapping[int, Event]
"""The event that a visit was made after, by the key of the visit."""
NO_EVENTS: Events = MappingProxyType({})
SIDE = 17.0


def square_of_event(x: float, y: float) -> Rect:
    """Return the square around the mark of a reading, told apart by shape alone."""
    return Rect(x - SIDE / 2, y - SIDE / 2, SIDE, SIDE, "after-event")
