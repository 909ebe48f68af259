"""Missouri DOT, job special provision «Earthquake Restrainers», 2 September 2004: its cable.

Section 2.1, read in a copy: 3/4 in (19 mm) 6 x 19 wire rope, galvanized, improved plow steel,
minimum breaking strength 23 tons (205 kN).  2.2.4: fittings, studs and nuts develop as much.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from movement.checks import Floats, known_or_missing
from movement.standards.validity import Validity
from movement.us_units import KN_PER_KIP

EDITION = "Missouri DOT, Earthquake Restrainers (2004)"
CLAUSE = "2.1"
KIP_PER_TON = 2.0  # short tons
BREAKING_TON = 23.0  # 2.1, read in a copy
CABLE = Validity("cable_diameter_mm", 18.9, 19.2, "2.1: 3/4 in, written as 19 mm beside it")


def cable_breaking_kn(cable_diameter_mm: ArrayLike) -> Floats:
    """Least breaking force of one restrainer cable [kN]; NaN for any other size than 3/4 in.

    Parameters
    ----------
    cable_diameter_mm : array_like
        Nominal diameter of the rope [mm].
    """
    diameter = known_or_missing("cable_diameter_mm", cable_diameter_mm)
    return np.where(is_of_its_size(diameter), BREAKING_TON * KIP_PER_TON * KN_PER_KIP, np.nan)


def is_of_its_size(cable_diameter_mm: ArrayLike) -> NDArray[np.bool_]:
    """Tell which cables are of the one size that the provision speaks of."""
    return CABLE.holds(cable_diameter_mm)
