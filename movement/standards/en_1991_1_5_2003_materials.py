"""EN 1991-1-5:2003, Table C.1: coefficients of linear expansion.  From memory, high."""

from __future__ import annotations

from enum import StrEnum


class Material(StrEnum):
    """Materials of Table C.1."""

    ALUMINIUM = "aluminium"
    STAINLESS_STEEL = "stainless steel"
    STEEL = "structural steel, wrought or cast iron"
    CONCRETE = "concrete"
    LIGHTWEIGHT_CONCRETE = "concrete with lightweight aggregate"
    MASONRY = "masonry"
    TIMBER_ALONG = "timber, along the grain"
    TIMBER_ACROSS = "timber, across the grain"


EXPANSION_RANGE_PER_C = {
    # least and greatest of the table; alike where it gives one figure
    Material.ALUMINIUM: (24e-6, 24e-6),
    Material.STAINLESS_STEEL: (16e-6, 16e-6),
    Material.STEEL: (12e-6, 12e-6),
    Material.CONCRETE: (10e-6, 10e-6),
    Material.LIGHTWEIGHT_CONCRETE: (7e-6, 7e-6),
    Material.MASONRY: (6e-6, 10e-6),
    Material.TIMBER_ALONG: (5e-6, 5e-6),
    Material.TIMBER_ACROSS: (30e-6, 70e-6),
}
STEEL_IN_COMPOSITE_RESTRAINT_PER_C = 10e-6
"""Steel of a composite deck when restraint between steel and concrete is sought.

Never for the movement of such a deck, which goes by the steel's own figure (UK practice)."""


def expansion_per_c(material: Material) -> float:
    """Coefficient of a material, the middle where the table gives a range [1/degC]."""
    low, high = EXPANSION_RANGE_PER_C[Material(material)]
    return (low + high) / 2.0
