"""Standard uncertainties from what instruments and repeats state (JCGM 100:2008)."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from movement.checks import Floats, at_least_zero, known_or_missing
from movement.errors import InputError


def from_accuracy(half_width: ArrayLike) -> Floats:
    """Standard uncertainty of an instrument stated as accurate to plus or minus a.

    u = a / sqrt(3): any value within the stated limits equally likely.
    Source: JCGM 100:2008, 4.3.7.
    """
    return np.asarray(at_least_zero("accuracy", half_width) / np.sqrt(3.0), dtype=np.float64)


def of_reading(u_instrument: ArrayLike, spread: ArrayLike, repeats: ArrayLike) -> Floats:
    """Standard uncertainty of the mean of repeated measurements.

    Parameters
    ----------
    u_instrument : array_like
        Standard uncertainty of one measurement, common to the repeats.
    spread : array_like
        Experimental standard deviation of the repeats; NaN or 0 for a single one.
    repeats : array_like of int
        Number of measurements, 1 or more.

    Notes
    -----
    u^2 = u_instrument^2 + s^2 / n.  Source: JCGM 100:2008, 4.2.3 and 5.1.2.
    """
    count = known_or_missing("repeats", repeats)
    if not (count >= 1).all():
        raise InputError("repeats", "is below 1 or missing", "Count the measurements taken.")
    s = np.nan_to_num(at_least_zero("spread", spread), nan=0.0)
    return np.hypot(at_least_zero("u_instrument", u_instrument), s / np.sqrt(count))
