"""The two strips: travel of one reading between its limits, and a bridge along its stations."""

from inspections.drawing.elevation import elevation_strip
from inspections.drawing.travel import travel_strip

__all__ = ["elevation_strip", "travel_strip"]
