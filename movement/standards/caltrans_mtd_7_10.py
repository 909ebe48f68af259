"""Caltrans, Memo to Designers 7-10 style: movement rating of a joint.  From memory, medium."""

from __future__ import annotations

from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike

from movement.allowances import shortening_by_length_mm
from movement.checks import Floats, at_least_zero
from movement.sizing import rounded_up_mm
from movement.us_units import MM_PER_IN


class Construction(StrEnum):
    """Superstructures that shorten differently."""

    STEEL = "steel"
    REINFORCED = "reinforced concrete"
    PRETENSIONED = "pretensioned concrete"
    POST_TENSIONED = "post-tensioned concrete"


SHORTENING_IN_PER_100_FT = {
    Construction.STEEL: 0.0,
    Construction.REINFORCED: 0.06,
    Construction.PRETENSIONED: 0.12,
    Construction.POST_TENSIONED: 0.63,
}
RATING_STEP_IN = 0.5


def shortening_mm(construction: Construction, length_mm: ArrayLike) -> Floats:
    """Shortening after the joint is set [mm]."""
    return shortening_by_length_mm(SHORTENING_IN_PER_100_FT[Construction(construction)], length_mm)


def movement_rating_mm(
    thermal_mm: ArrayLike, shortening_to_come_mm: ArrayLike, accepted_excess_mm: float = 0.0
) -> Floats:
    """Movement rating: thermal movement and shortening, rounded up to 1/2 in [mm].

    ``accepted_excess_mm`` is how far the engineer accepts the sum above a rating.
    """
    total = at_least_zero("thermal_mm", thermal_mm) + at_least_zero(
        "shortening_to_come_mm", shortening_to_come_mm
    )
    return np.asarray(rounded_up_mm(total, RATING_STEP_IN * MM_PER_IN, accepted_excess_mm))
