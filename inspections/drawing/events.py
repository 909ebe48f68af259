"""How a chart shows a visit that was made after an event: its mark stands in a square."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType

from inspections.drawing.shapes import Rect
from inspections.models import Event, Verdict

Events = Mapping[int, Event]
"""The event that a visit was made after, by the key of the visit."""
NO_EVENTS: Events = MappingProxyType({})
SIDE = 17.0


def events_of(verdicts: Iterable[Verdict]) -> Events:
    """Return the visits of some verdicts that were made after an event, each with its event."""
    return {
        each.inspection_id: each.inspection.event
        for each in verdicts
        if each.inspection.event is not None
    }


def square_of_event(x: float, y: float) -> Rect:
    """Return the square around the mark of a reading, told apart by shape alone."""
    return Rect(x - SIDE / 2, y - SIDE / 2, SIDE, SIDE, "after-event")
