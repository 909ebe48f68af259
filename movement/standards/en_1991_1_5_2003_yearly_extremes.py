"""EN 1991-1-5:2003, Annex A.2: return periods from mean and deviation of yearly extremes.

From memory (medium); the constants k1 to k4 of the annex follow from it.  Where the single
years are known, fit them: see ``movement.record_extremes``.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from movement.checks import Floats, finite, positive
from movement.errors import InputError

MEAN_FACTOR, DEVIATION_FACTOR = 0.57722, 1.2825


def shade_air_from_statistics(
    mean_c: ArrayLike,
    deviation_k: ArrayLike,
    return_period_years: ArrayLike,
    of_minima: bool = False,
) -> Floats:
    """Shade air extreme of a return period from the statistics of yearly extremes [degC].

    Parameters
    ----------
    mean_c, deviation_k : array_like
        Mean m and standard deviation s of the yearly maxima, or minima [degC; K].
    return_period_years : array_like
        1 / p, above 1 [years].
    of_minima : bool

    Notes
    -----
    c = 1.2825 / s; maxima: u = m - 0.57722 / c, T = u - ln(-ln(1 - p)) / c; minima: u = m +
    0.57722 / c, T = u + ln(-ln(1 - p)) / c.  Unlike the factors k1 to k4 it holds for minima
    near or above 0 degC.
    """
    years = finite("return_period_years", return_period_years)
    if (years <= 1.0).any():
        raise InputError(
            "return_period_years", f"{years.min():g} is not above 1", "Give years, 50 or 120."
        )
    c = DEVIATION_FACTOR / positive("deviation_k", deviation_k)
    reduced = np.log(-np.log(1.0 - 1.0 / years))
    sign = -1.0 if of_minima else 1.0
    away = -(MEAN_FACTOR + reduced) / c
    return np.asarray(finite("mean_c", mean_c) + sign * away, dtype=np.float64)
