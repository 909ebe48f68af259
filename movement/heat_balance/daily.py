"""Hours of air temperature from the extremes of each day."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from movement.checks import Floats, finite
from movement.errors import InputError
from movement.temperature import DeckType

COLDEST_AT_H, WARMEST_AT_H = 5.0, 14.0
"""Usual solar hour of a day's extremes: about sunrise and mid-afternoon.  Judgement, no source.

Of nine pairs tried on two years of hours this one left the least; the hour of sunrise itself
moves by season and place, which is in the uncertainty."""

REBUILT_U_K = {DeckType.STEEL: 2.0, DeckType.COMPOSITE: 1.4, DeckType.CONCRETE: 1.0}
"""What a balance on rebuilt hours loses beside one on recorded hours, standard uncertainty [K].

Root mean square over the same two years, their hours put against hours rebuilt from their own
daily extremes: steel box 1.7 and 2.0 K, composite girders 1.1 to 1.4, concrete 0.4 to 1.0."""


def hours_from_days(
    day: ArrayLike,
    min_c: ArrayLike,
    max_c: ArrayLike,
    at_h: ArrayLike,
    coldest_at_h: float = COLDEST_AT_H,
    warmest_at_h: float = WARMEST_AT_H,
) -> Floats:
    """Air temperature at some hours, on half waves from extreme to extreme.

    Parameters
    ----------
    day : array_like (d,)
        Whole days since any epoch, each once, in any order [d].
    min_c, max_c : array_like (d,)
        Extremes of each day [degC].
    at_h : array_like (n,)
        Hours since the same epoch, in the sun's time at the station [h].
    coldest_at_h, warmest_at_h : float
        Hours of the day at which it is coldest and warmest [h].

    Returns
    -------
    numpy.ndarray (n,) [degC]
        NaN in a day that is not known.

    Raises
    ------
    InputError
        If a day stands twice, or its minimum lies above its maximum.

    Notes
    -----
    Half a cosine from minimum to maximum and on to the minimum of the next day: judgement, no
    source.  Where the day before or after is not known, a day's own extreme stands for its.
    """
    days, low, high, at = (
        finite(name, values)
        for name, values in (("day", day), ("min_c", min_c), ("max_c", max_c), ("at_h", at_h))
    )
    if not days.shape == low.shape == high.shape or days.ndim != 1:
        raise InputError("min_c", "does not pair with day", "Give two extremes a day.")
    if not 0.0 <= coldest_at_h < warmest_at_h < 24.0:
        raise InputError(
            "coldest_at_h",
            f"{coldest_at_h:g} h is not before {warmest_at_h:g} h of one day",
            "Give two hours of the day, the coldest first.",
        )
    if (low > high).any():
        raise InputError(
            "min_c", "lies above the maximum of its day", "Check the two, they may be swapped."
        )
    if not days.size:
        return np.full(at.shape, np.nan)
    order = np.argsort(days)
    days, low, high = days[order], low[order], high[order]
    if (np.diff(days) == 0).any():
        raise InputError("day", "holds a day twice", "Give each day once.")

    joined = np.diff(days) == 1
    maximum_before = np.concatenate([high[:1], np.where(joined, high[:-1], high[1:])])
    minimum_after = np.concatenate([np.where(joined, low[1:], low[:-1]), low[-1:]])
    wanted, hour = np.floor(at / 24.0), at % 24.0
    row = np.minimum(np.searchsorted(days, wanted), days.size - 1)

    night_h = 24.0 - warmest_at_h + coldest_at_h
    falling, evening = hour < coldest_at_h, hour >= warmest_at_h
    start = np.where(falling, maximum_before[row], np.where(evening, high[row], low[row]))
    end = np.where(falling, low[row], np.where(evening, minimum_after[row], high[row]))
    share = np.where(
        falling,
        (hour + 24.0 - warmest_at_h) / night_h,
        np.where(
            evening,
            (hour - warmest_at_h) / night_h,
            (hour - coldest_at_h) / (warmest_at_h - coldest_at_h),
        ),
    )
    found = start + (end - start) * 0.5 * (1.0 - np.cos(np.pi * share))
    return np.where(days[row] == wanted, found, np.nan)
