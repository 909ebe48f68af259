"""JCSS Probabilistic Model Code, part 2, thermal actions: spread of concrete's coefficient.

Read.  It tells whether aggregate alone can explain a measured slope that is off alpha L.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from movement.checks import Floats, known_or_missing

SPREAD_PER_C = (7e-6, 13e-6)  # normal aggregate, measured
SPREAD_LIGHTWEIGHT_PER_C = (5e-6, 11e-6)


def implied_expansion_per_c(slope_mm_per_c: ArrayLike, lever_mm: ArrayLike) -> Floats:
    """Coefficient that a measured slope means, slope over lever [1/degC].

    NaN where the lever is nil or something is not known.
    """
    lever = known_or_missing("lever_mm", lever_mm)
    slope = known_or_missing("slope_mm_per_c", slope_mm_per_c)
    return np.asarray(slope / np.where(lever == 0, np.nan, lever), dtype=np.float64)


def explained_by_aggregate(
    slope_mm_per_c: ArrayLike, lever_mm: ArrayLike, lightweight: ArrayLike = False
) -> NDArray[np.bool_]:
    """Tell where concrete exists that would give the slope; False where it is not known."""
    alpha = implied_expansion_per_c(slope_mm_per_c, lever_mm)
    light = np.asarray(lightweight, dtype=bool)
    low = np.where(light, SPREAD_LIGHTWEIGHT_PER_C[0], SPREAD_PER_C[0])
    high = np.where(light, SPREAD_LIGHTWEIGHT_PER_C[1], SPREAD_PER_C[1])
    hair = 1e-12
    return np.asarray((alpha >= low - hair) & (alpha <= high + hair))
