"""Straight lines through many series at once, by weighted least squares."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from movement.checks import Floats, finite, positive
from movement.errors import InputError
from movement.history.ragged import Rows, series_sums
from movement.history.student import quantile


@dataclass(frozen=True, slots=True, eq=False)
class Lines:
    """One line a series, y = intercept + slope x, with intervals; arrays (series,).

    NaN where it cannot be had: a slope needs two unlike x, an interval a third reading.

    Attributes
    ----------
    slope, u_slope, slope_lower, slope_upper
        Slope, its standard uncertainty and interval.
    intercept, u_intercept, intercept_lower, intercept_upper
        The same of the value at x = 0.
    residual_sd
        Standard deviation of a reading of weight 1.
    dof
        Degrees of freedom left.
    """

    slope: Floats
    u_slope: Floats
    slope_lower: Floats
    slope_upper: Floats
    intercept: Floats
    u_intercept: Floats
    intercept_lower: Floats
    intercept_upper: Floats
    residual_sd: Floats
    dof: Floats


def straight_lines(
    x: ArrayLike,
    y: ArrayLike,
    counts: Rows,
    weight: ArrayLike | None = None,
    confidence: float = 0.95,
) -> Lines:
    """Fit one line to each series.

    Parameters
    ----------
    x, y : array_like (n,)
        All series one after another.
    counts : array (series,) of int
        Readings of each.
    weight : array_like (n,), optional
        Reciprocal of the variance up to a factor; 1 if left out.
    confidence : float
        Of the intervals, two-sided.

    Returns
    -------
    Lines

    Raises
    ------
    InputError
        If a value is missing or infinite, or the lengths do not pair.

    Notes
    -----
    Sums are taken about the mean of each series, in two passes: one-pass sums of squares
    lose the small spread of a large number.  Intervals are Student's t.
    """
    a, b = finite("x", x), finite("y", y)
    if a.shape != b.shape or a.shape != (int(counts.sum()),):
        raise InputError("x", "does not pair with y and counts", "Give one x and y a reading.")
    w = None if weight is None else np.broadcast_to(positive("weight", weight), a.shape)

    def total(values: Floats) -> Floats:
        return series_sums(values if w is None else values * w, counts)

    n = counts.astype(np.float64)
    size = np.where(counts > 0, n if w is None else series_sums(w, counts), np.nan)
    mean_x, mean_y = total(a) / size, total(b) / size
    # The largest spread that rounding alone could give.
    dust = size * (4 * np.finfo(np.float64).eps * mean_x) ** 2
    a = a - np.repeat(mean_x, counts)
    b = b - np.repeat(mean_y, counts)
    sxx = total(a * a)
    sxx = np.where((sxx > dust) & (counts > 1), sxx, np.nan)
    slope = total(a * b) / sxx
    a *= np.repeat(slope, counts)
    b -= a
    dof = np.maximum(n - 2.0, 0.0)
    free = np.where(dof > 0, dof, np.nan)
    sd = np.sqrt(total(b * b) / free)
    u_slope = sd / np.sqrt(sxx)
    intercept = mean_y - slope * mean_x
    u_intercept = sd * np.sqrt(1.0 / size + mean_x**2 / sxx)
    of_count = np.arange(int(counts.max(initial=0)) + 1) - 2.0
    k = quantile(confidence, of_count)[counts]
    return Lines(
        slope,
        u_slope,
        slope - k * u_slope,
        slope + k * u_slope,
        intercept,
        u_intercept,
        intercept - k * u_intercept,
        intercept + k * u_intercept,
        sd,
        dof,
    )
