"""Straight lines that one bad reading does not bend."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from movement.checks import Floats, finite
from movement.errors import InputError
from movement.history.orthogonal import dot
from movement.history.ragged import Rows, blocks

BISQUARE = 4.685
"""Residual, in robust standard deviations, at which a reading loses all weight: 95 % of
the efficiency of least squares on good data.  Source: Beaton and Tukey (1974), from
memory."""

MAD_TO_SD = 1.4826
"""Standard deviation over median absolute deviation of a normal distribution."""

ALL_PAIRS_UP_TO = 40
"""Readings of a series up to which each pair gives a slope; above, twenty a reading."""

_ROUNDS = 6
_LARGEST_TABLE = 1 << 16
"""Slopes of pairs held at a time: few enough to stay in the cache."""


@dataclass(frozen=True, slots=True, eq=False)
class RobustLines:
    """One line a series, y = intercept + slope x; NaN without two unlike x.

    Attributes
    ----------
    slope, intercept : array (series,)
        The line.
    scale : array (series,)
        Robust standard deviation of the residuals; 0 where they are nearly all 0.
    weight : array (n,)
        What each reading was let to count, 0 to 1.
    """

    slope: Floats
    intercept: Floats
    scale: Floats
    weight: Floats


def robust_lines(x: ArrayLike, y: ArrayLike, counts: Rows) -> RobustLines:
    """Fit one line to each series, robust to bad readings.

    Parameters
    ----------
    x, y : array_like (n,)
        All series one after another.
    counts : array (series,) of int
        Readings of each.

    Raises
    ------
    InputError
        If a value is missing or infinite, or the lengths do not pair.

    Notes
    -----
    Start: median of the slopes of all pairs (Theil and Sen).  Then weighted least
    squares with Tukey's bisquare weights, at the scale of the start.
    """
    a, b = finite("x", x), finite("y", y)
    if a.shape != b.shape or a.shape != (int(counts.sum()),):
        raise InputError("x", "does not pair with y and counts", "Give one x and y a reading.")
    slope, intercept, scale = (np.full(counts.size, np.nan) for _ in range(3))
    weight = np.full(a.shape, np.nan)
    for block in blocks(counts, exact=True):
        found = _lines_of_one_length(a[block.rows], b[block.rows])
        slope[block.series], intercept[block.series], scale[block.series], each = found
        weight[block.rows] = each
    return RobustLines(slope, intercept, scale, weight)


def _lines_of_one_length(x: Floats, y: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    """Fit a table (n, m), a column each."""
    n = x.shape[0]
    slope = _median_of_pairs(x, y)
    rest = y - slope * x
    level = _median(rest)
    rest -= level
    # Two numbers were fitted, so that residuals of short series come out too small.
    distance = np.abs(rest)
    scale = _median(distance) * (MAD_TO_SD * n / max(n - 2, 1))
    size = np.abs(y).max(axis=0) + np.abs(slope) * np.abs(x).max(axis=0)
    scale = np.where(scale > 1e-12 * size, scale, np.where(np.isnan(scale), np.nan, 0.0))
    usable = scale > 0
    weight = (distance <= 1e-12 * size).astype(np.float64)
    per_cut = np.where(usable, BISQUARE * scale, 1.0)
    for _ in range(_ROUNDS):
        share = np.divide(rest, per_cut, out=rest)
        share *= share
        np.subtract(1.0, share, out=share)
        np.maximum(share, 0.0, out=share)
        share *= share
        total = np.maximum(share.sum(axis=0), 1e-300)
        mean_x, mean_y = dot(share, x) / total, dot(share, y) / total
        dx = x - mean_x
        weighted = share * dx
        sxx = dot(weighted, dx)
        usable &= sxx > 1e-12 * dot(dx, dx)
        new = dot(weighted, y) / np.where(usable, sxx, 1.0)
        slope = np.where(usable, new, slope)
        level = np.where(usable, mean_y - new * mean_x, level)
        weight = share if usable.all() else np.where(usable, share, weight)
        rest = y - slope * x
        rest -= level
    return slope, level, scale, np.where(np.isnan(slope), np.nan, weight)


def _median(values: Floats) -> Floats:
    """Return the median of each column."""
    n = values.shape[0]
    ordered = np.sort(values, axis=0)
    return np.asarray((ordered[(n - 1) // 2] + ordered[n // 2]) / 2.0)


def _median_of_pairs(x: Floats, y: Floats) -> Floats:
    n, m = x.shape
    if n < 2:
        return np.full(m, np.nan)
    if n <= ALL_PAIRS_UP_TO:
        apart = np.arange(1, n)
    else:
        order = np.argsort(x, axis=0, kind="stable")
        x, y = np.take_along_axis(x, order, axis=0), np.take_along_axis(y, order, axis=0)
        apart = np.unique(np.linspace(n // 4, n // 2, 20).astype(np.int64))
    pairs = int((n - apart).sum())
    step = max(1, _LARGEST_TABLE // pairs)
    found = np.empty(m)
    for first in range(0, m, step):
        part = slice(first, first + step)
        found[part] = _median_slope(x[:, part], y[:, part], apart.tolist(), pairs)
    return found


def _median_slope(x: Floats, y: Floats, apart: list[int], pairs: int) -> Floats:
    """Return the median slope of pairs of readings so many places apart, of each column."""
    n, m = x.shape
    slopes = np.empty((m, pairs))  # a row a series: sorting goes along it
    known = np.full(m, pairs)
    done = 0
    for each in apart:
        dx, dy = x[each:] - x[:-each], y[each:] - y[:-each]
        alike = dx == 0
        if alike.any():
            known -= alike.sum(axis=0)
            dx[alike], dy[alike] = 1.0, np.inf
        np.divide(dy, dx, out=dy)
        slopes[:, done : done + n - each] = dy.T
        done += n - each
    slopes.sort(axis=1)
    series = np.arange(m)
    low = slopes[series, np.maximum(known - 1, 0) // 2]
    high = slopes[series, np.minimum(known // 2, pairs - 1)]
    return np.where(known > 0, (low + high) / 2.0, np.nan)
