"""The word on the response, and what would be needed for one."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from movement.checks import Floats
from movement.history.findings import HistoryThresholds, Interval, Missing, Response
from movement.history.ragged import Rows
from movement.history.student import quantile


def answer(
    ratio: Interval, missing: NDArray[np.uint16], thresholds: HistoryThresholds
) -> NDArray[np.int8]:
    """Return the word that the whole interval of the ratio supports.

    Bounds are judgement, no source: agency settings.  An interval below
    ``sluggish_below`` that reaches across ``frozen_below`` shows that the element does not
    follow, not how much.
    """
    low, high, at = ratio.lower, ratio.upper, thresholds
    # An interval within plus and minus the bound of frozen is frozen, whatever its sign.
    still = (high < at.frozen_below) & (low > -at.frozen_below)
    words = np.select(
        [
            np.isnan(low + high) | (missing != np.uint16(Missing.NONE)),
            still,
            high < at.wrong_sign_below,
            high < at.frozen_below,
            (high < at.sluggish_below) & (low > at.frozen_below),
            high < at.sluggish_below,
            low > at.more_than_free_above,
            (low > at.free_above)
            & ((high >= 1.0) | (low >= at.normal_above))
            & ((low <= 1.0) | (high <= at.more_than_free_above)),
        ],
        [
            Response.NOT_ENOUGH_INFORMATION,
            Response.FROZEN,
            Response.WRONG_SIGN,
            Response.FROZEN,
            Response.SLUGGISH,
            Response.SLUGGISH_OR_FROZEN,
            Response.MORE_THAN_FREE,
            Response.FREE,
        ],
        Response.NOT_ENOUGH_INFORMATION,
    )
    return np.asarray(words, dtype=np.int8)


def more_needed(
    sigma: Floats,
    spread_k: Floats,
    spread_square: Floats,
    count: Rows,
    visits: Rows,
    slope: Floats,
    u_slope: Floats,
    thresholds: HistoryThresholds,
) -> tuple[Floats, Floats]:
    """Range of temperature [K] and further visits that a word on the response still needs.

    Parameters
    ----------
    sigma : array (series,)
        Standard deviation of a residual of a free element.
    spread_k, spread_square : array
        Range of the temperatures, and the sum of squares that the other columns leave.
    count, visits : array of int
        Readings and visits.
    slope, u_slope : array
        Expected slope.
    thresholds : HistoryThresholds
        ``wanted_half_width`` of the ratio is the aim.

    Returns
    -------
    spread_needed_k, visits_needed : arrays
        For a free element with the scatter seen so far.  Without a spread as yet, the
        readings are taken to lie evenly over the range.  NaN: no number of visits would
        do, because the expected slope itself is too uncertain, or it is not known.
    """
    k = quantile(thresholds.confidence, thresholds.stated_dof)
    size = np.abs(np.where(slope == 0, np.nan, slope))
    room = thresholds.wanted_half_width**2 - (k * u_slope / size) ** 2
    needed = (k * sigma / size) ** 2 / np.where(room > 0, room, np.nan)
    n = np.maximum(count, thresholds.fewest_visits).astype(np.float64)
    some = spread_square > 1e-9 * np.maximum(spread_k, 1e-9) ** 2
    safe = np.where(some, spread_square, 1.0)
    even = np.sqrt(12.0 * needed * (n - 1.0) / (n * (n + 1.0)))
    spread = np.where(some, spread_k * np.sqrt(needed / safe), even)
    fewest = np.maximum(thresholds.fewest_visits - visits, 0)
    more = np.where(some, np.ceil(count * (needed / safe - 1.0)), np.nan)
    fewest = np.where(np.isnan(needed) | (~some & (fewest == 0)), np.nan, fewest)
    return np.maximum(spread, np.nan_to_num(spread_k)), np.fmax(more, fewest)
