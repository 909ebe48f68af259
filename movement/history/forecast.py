"""When a drifting element meets a limit, carried to its design extremes."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from movement.checks import Floats
from movement.history.findings import Interval
from movement.inputs import DesignExtremes, Limits


def meets_limit(
    told: Mapping[str, Floats],
    k: Floats,
    limits: Limits,
    extremes: DesignExtremes,
    now_years: Floats,
) -> Interval:
    """Years from now until the trend meets a limit at the worse design extreme.

    Parameters
    ----------
    told : mapping
        Level, slope, drift, their uncertainties and covariances, arrays (series,).
    k : array
        Half-width of an interval in standard uncertainties.
    limits, extremes
        NaN where not known.
    now_years : array
        The present.

    Returns
    -------
    Interval
        Below 0: met already.  NaN where the interval of the drift holds 0, so that no
        trend is shown, or a limit or extreme is not known.

    Notes
    -----
    The line is g = level + b (T_ext - Tm) + c (t - tm); the interval holds every time at
    which the limit lies within the interval of the line (Fieller), so it is not
    symmetrical.
    """
    b, c = told["slope"], told["drift"]
    shown = np.abs(c) > k * told["u_drift"]
    # The drift goes towards one limit; the worse extreme is the one nearer to it.
    towards = np.where(c > 0, limits.upper, limits.lower)
    hot = np.where(np.nan_to_num(b) * c > 0, extremes.max_c, extremes.min_c)
    x = hot - told["mean_t"]
    gap = towards - told["level"] - b * x
    variance = told["level_u"] ** 2 + 2 * x * told["cov_level_slope"] + (x * told["u_slope"]) ** 2
    covariance = told["cov_level_drift"] + x * told["cov_slope_drift"]
    # (gap - c s)^2 <= k^2 (variance + 2 s covariance + s^2 u_c^2), s = t - tm
    a2 = c**2 - (k * told["u_drift"]) ** 2
    a1 = gap * c + k**2 * covariance
    a0 = gap**2 - k**2 * variance
    root = np.sqrt(np.maximum(a1**2 - a2 * a0, 0.0))
    safe = np.where(shown & (a2 > 0), a2, np.nan)
    since = told["mean_time"] - now_years
    best = gap / np.where(shown & (a2 > 0), c, np.nan)
    return Interval(best + since, (a1 - root) / safe + since, (a1 + root) / safe + since)
