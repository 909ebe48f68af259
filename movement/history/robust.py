"""Straight lines that one bad reading does not bend."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from movement.checks import Floats, finite
from movement.errors import InputError
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
    """Fit a table (m, n), a row each."""
    n = x.shape[1]
    slope = _median_of_pairs(x, y)
    rest = y - slope[:, np.newaxis] * x
    level = np.median(rest, axis=1)
    rest -= level[:, np.newaxis]
    # Two numbers were fitted, so that residuals of short series come out too small.
    scale = np.median(np.abs(rest), axis=1) * (MAD_TO_SD * n / max(n - 2, 1))
    size = np.abs(y).max(axis=1) + np.abs(slope) * np.abs(x).max(axis=1)
    scale = np.where(scale > 1e-12 * size, scale, np.where(np.isnan(scale), np.nan, 0.0))
    cut = (BISQUARE * scale)[:, np.newaxis]
    usable = scale > 0
    exact = np.abs(rest) <= 1e-12 * size[:, np.newaxis]
    weight = exact.astype(np.float64)
    safe_cut = np.where(cut > 0, cut, 1.0)
    for _ in range(_ROUNDS):
        share = rest / safe_cut
        share *= share
        np.subtract(1.0, share, out=share)
        np.maximum(share, 0.0, out=share)
        share *= share
        total = np.maximum(share.sum(axis=1), 1e-300)
        mean_x = np.einsum("ij,ij->i", share, x) / total
        mean_y = np.einsum("ij,ij->i", share, y) / total
        dx = x - mean_x[:, np.newaxis]
        weighted = share * dx
        sxx = np.einsum("ij,ij->i", weighted, dx)
        sxy = np.einsum("ij,ij->i", weighted, y)
        usable &= sxx > 1e-12 * np.einsum("ij,ij->i", dx, dx)
        new = sxy / np.where(usable, sxx, 1.0)
        slope = np.where(usable, new, slope)
        level = np.where(usable, mean_y - new * mean_x, level)
        rest = y - slope[:, np.newaxis] * x
        rest -= level[:, np.newaxis]
        weight = np.where(usable[:, np.newaxis], share, weight)
    return slope, level, scale, np.where(np.isnan(slope)[:, np.newaxis], np.nan, weight)


def _median_of_pairs(x: Floats, y: Floats) -> Floats:
    n = x.shape[1]
    if n < 2:
        return np.full(x.shape[0], np.nan)
    if n <= ALL_PAIRS_UP_TO:
        first, second = np.triu_indices(n, 1)
    else:
        order = np.argsort(x, axis=1, kind="stable")
        x, y = np.take_along_axis(x, order, axis=1), np.take_along_axis(y, order, axis=1)
        apart = np.unique(np.linspace(n // 4, n // 2, 20).astype(np.int64))
        first = np.concatenate([np.arange(n - each) for each in apart])
        second = np.concatenate([np.arange(each, n) for each in apart])
    step = max(1, (1 << 16) // first.size)  # small enough to stay in the cache
    found = np.empty(x.shape[0])
    for row in range(0, x.shape[0], step):
        here = slice(row, row + step)
        dx = x[here, second] - x[here, first]
        dy = y[here, second] - y[here, first]
        alike = dx == 0
        if not alike.any():
            dy /= dx
            found[here] = np.median(dy, axis=1)
            continue
        slopes = np.sort(np.where(alike, np.inf, dy / np.where(alike, 1.0, dx)), axis=1)
        known = (~alike).sum(axis=1)
        low = np.maximum((known - 1) // 2, 0)[:, np.newaxis]
        high = np.maximum(known // 2, 0)[:, np.newaxis].clip(max=first.size - 1)
        ends = np.take_along_axis(slopes, np.hstack([low, high]), axis=1)
        found[here] = np.where(known > 0, np.where(known[:, None] > 0, ends, 0.0).mean(1), np.nan)
    return found
