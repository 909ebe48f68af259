"""The way from a source's end joint to the model: a deck on one side, a backwall on the other."""

from movement.geometry import Path, gap_levers, path_from_fixed_point, racking_levers
from movement.inputs import Sides

BACKWALL = path_from_fixed_point(0.0, 0.0)


def deck_behind(length_mm: float) -> Path:
    """Return the path of a joint at the far end of a straight deck fixed at its start."""
    return path_from_fixed_point(length_mm / 1000.0, 0.0)


def gap_sides(
    length_mm: float, expansion_per_c: float, skew_deg: float = 0.0, shortening: float = 0.0
) -> Sides:
    """Return the sides of a gap taken square to the joint."""
    levers = gap_levers(deck_behind(length_mm), BACKWALL, skew_deg, square_to_joint=True)
    return Sides.of(levers, expansion_per_c, shortening)


def racking_sides(
    length_mm: float, expansion_per_c: float, skew_deg: float, shortening: float = 0.0
) -> Sides:
    """Return the sides of the slip along the joint."""
    levers = racking_levers(deck_behind(length_mm), BACKWALL, skew_deg)
    return Sides.of(levers, expansion_per_c, shortening)
