"""US DOT on-line publication, "Chapter 3 Rigid Pavement": compression seals.

Pages 3.3.7 and 3.3.8, FHWA origin assumed; read.  A pavement joint, with the same arithmetic
as a deck's; the seal works between two shares of compression of its width.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from movement.checks import Floats, at_least_zero, known_or_missing, positive
from movement.errors import InputError

LEAST_COMPRESSION, MOST_COMPRESSION = 0.20, 0.55


def seal_needed_mm(
    movement_mm: ArrayLike, least: float = LEAST_COMPRESSION, most: float = MOST_COMPRESSION
) -> Floats:
    """Uncompressed width needed: movement over the working share of the width [mm]."""
    _working(least, most)
    return np.asarray(at_least_zero("movement_mm", movement_mm) / (most - least))


def groove_width_mm(
    seal_width_mm: ArrayLike,
    temperature_c: ArrayLike,
    coldest_c: float,
    hottest_c: float,
    least: float = LEAST_COMPRESSION,
    most: float = MOST_COMPRESSION,
) -> Floats:
    """Groove to cut at the temperature of installation [mm].

    Notes
    -----
    (1 - P) W, P from the least compression at the coldest to the most at the hottest along
    a straight line: exact for a seal of just the width needed.

    Raises
    ------
    InputError
        If the temperature lies outside coldest to hottest.
    """
    _working(least, most)
    temperature = known_or_missing("temperature_c", temperature_c)
    if not coldest_c < hottest_c:
        raise InputError(
            "coldest_c", f"{coldest_c:g} is not below {hottest_c:g} degC", "Exchange the two."
        )
    hair = 1e-9 * (hottest_c - coldest_c)
    if ((temperature < coldest_c - hair) | (temperature > hottest_c + hair)).any():
        raise InputError(
            "temperature_c",
            f"is outside {coldest_c:g} to {hottest_c:g} degC",
            "Give the temperature of installation, within the design range.",
        )
    along = (temperature - coldest_c) / (hottest_c - coldest_c)
    compression = least + (most - least) * along
    return np.asarray((1.0 - compression) * positive("seal_width_mm", seal_width_mm))


def _working(least: float, most: float) -> None:
    if not 0.0 <= least < most < 1.0:
        raise InputError(
            "least", f"{least:g} to {most:g} is no working range", "Take 0.20 and 0.55."
        )
