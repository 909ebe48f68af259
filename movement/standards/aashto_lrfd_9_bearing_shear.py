"""AASHTO LRFD, 9th ed. (2020), 14.7.5.3.2: shear to design an elastomeric bearing for."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from movement.checks import Floats, at_least_zero
from movement.standards.aashto_lrfd_9_temperature import BEARING_SHARE_OF_RANGE

RUBBER_TO_SHEAR = 2.0  # h_rt >= 2 D_s, 14.7.5.3.2-1; read


def design_shear_mm(thermal_range_mm: ArrayLike, shortening_mm: ArrayLike = 0.0) -> Floats:
    """Shear displacement of a bearing that is not set at a controlled temperature, D_s [mm].

    Parameters
    ----------
    thermal_range_mm : array_like
        alpha L (T_MaxDesign - T_MinDesign), unfactored [mm].
    shortening_mm : array_like
        Creep, shrinkage and post-tensioning after the setting [mm].

    Notes
    -----
    0.65 of the range, and all of the shortening.  Source: 14.7.5.3.2; 65 % read in a
    tutorial, the rest from memory.
    """
    return np.asarray(
        BEARING_SHARE_OF_RANGE * at_least_zero("thermal_range_mm", thermal_range_mm)
        + at_least_zero("shortening_mm", shortening_mm)
    )


def least_rubber_mm(shear_mm: ArrayLike) -> Floats:
    """Total elastomer that a shear displacement needs, h_rt >= 2 D_s [mm]."""
    return np.asarray(RUBBER_TO_SHEAR * at_least_zero("shear_mm", shear_mm))
