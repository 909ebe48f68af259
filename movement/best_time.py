"""When one more reading tells most of how an element follows the temperature.

The slope of a line through readings has the standard error s / sqrt(S), with S the sum of
squares of their temperatures about the mean and s the scatter of a reading.  A reading at
another temperature adds to S; the month and the hour that usually are farthest from the mean of
the earlier visits add most.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from movement.checks import Floats, finite, known_or_missing
from movement.errors import InputError

MONTHS, HOURS = 12, 24
SHARE_OF_BEST = 0.9
"""Hours that gain at least so much of a month's best belong to its window.  Judgement."""
LEAST_GAIN_K = 1.0
"""A temperature nearer to the mean is no other temperature.  Judgement, no source."""


@dataclass(frozen=True, slots=True)
class Window:
    """Hours of a month at which a reading tells much.

    Attributes
    ----------
    month : int
        1 January to 12 December.
    first_hour, last_hour : int
        Hours of the clock that it begins and ends with, both within it; it may run over
        midnight, and then begins with the later number.
    best_hour : int
        The hour within it that gains most.
    temperature_c : float
        What the climatology gives for that hour [degC].
    delta_k : float
        That less the mean of the earlier visits [K]; below 0 it is colder.
    gain_k2 : float
        What a reading then adds to the sum of squares [K2].
    error_ratio : float
        Standard error of the slope after that reading, relative to now [-]; NaN where the
        earlier visits tell no slope.
    """

    month: int
    first_hour: int
    last_hour: int
    best_hour: int
    temperature_c: float
    delta_k: float
    gain_k2: float
    error_ratio: float


@dataclass(frozen=True, slots=True)
class BestTimes:
    """Windows by what they gain, the best first: colder and hotter than the earlier visits.

    ``mean_c`` is NaN where there was no visit: then any hour does, and there is no window.
    """

    visits: int
    mean_c: float
    spread_k2: float
    cold: tuple[Window, ...]
    hot: tuple[Window, ...]

    @property
    def ranked(self) -> tuple[Window, ...]:
        """Windows of both sides, the best first."""
        return tuple(sorted(self.cold + self.hot, key=_order))

    @property
    def best(self) -> Window | None:
        """The window that gains most."""
        return next(iter(self.ranked), None)


def gain_in_spread(earlier_c: ArrayLike, candidate_c: ArrayLike) -> Floats:
    """Return what one more reading adds to the sum of squares about the mean.

    Parameters
    ----------
    earlier_c : array_like (n,)
        Effective temperatures of the earlier visits [degC]; n of 1 or more.
    candidate_c : array_like
        Temperatures at which the next one may be taken [degC]; NaN: not known.

    Returns
    -------
    numpy.ndarray, float64 [K2]
        n / (n + 1) (T - mean)^2, of the shape of ``candidate_c``; NaN where that is.

    Raises
    ------
    InputError
        If there is no earlier visit, or a temperature is not finite.

    Notes
    -----
    The updating formula of a sum of squares: Welford, Technometrics 4 (1962) 419-420.
    """
    earlier = np.atleast_1d(finite("earlier_c", earlier_c))
    if not earlier.size:
        raise InputError("earlier_c", "is empty", "Give the temperature of one visit or more.")
    candidate = known_or_missing("candidate_c", candidate_c)
    count = earlier.size
    return np.asarray(count / (count + 1) * (candidate - earlier.mean()) ** 2)


def error_ratio(earlier_c: ArrayLike, candidate_c: ArrayLike) -> Floats:
    """Return the standard error of the slope after one more reading, relative to now.

    NaN where the earlier visits were all at one temperature, and so tell no slope yet.  The
    scatter of a reading is taken to stay as it is.
    """
    earlier = np.atleast_1d(finite("earlier_c", earlier_c))
    gain = gain_in_spread(earlier, candidate_c)
    now = _spread(earlier)
    if not now > 0:
        return np.full_like(gain, np.nan)
    return np.asarray(np.sqrt(now / (now + gain)))


def best_times(earlier_c: ArrayLike, climate_c: ArrayLike) -> BestTimes:
    """Return when one more reading adds most to the spread of the temperatures.

    Parameters
    ----------
    earlier_c : array_like (n,)
        Effective temperatures of the earlier visits [degC]; may be empty.
    climate_c : array_like (12, 24)
        Usual temperature of each month and hour of the clock [degC]; NaN: not known.

    Returns
    -------
    BestTimes
        One window a month on either side of the mean, where that month has hours there.

    Raises
    ------
    InputError
        If a temperature is infinite, an earlier one is missing, or the table has another shape.
    """
    earlier = np.atleast_1d(finite("earlier_c", earlier_c))
    climate = known_or_missing("climate_c", climate_c)
    if climate.shape != (MONTHS, HOURS):
        raise InputError(
            "climate_c", f"has the shape {climate.shape}", "Give 12 months of 24 hours."
        )
    if not earlier.size:
        return BestTimes(0, float("nan"), 0.0, (), ())
    delta = climate - earlier.mean()
    gain, ratio = gain_in_spread(earlier, climate), error_ratio(earlier, climate)
    sides = []
    for side in (-1.0, 1.0):
        farther = np.where(delta * side >= LEAST_GAIN_K, gain, np.nan)
        months = (_window(month, farther[month], climate, delta, ratio) for month in range(MONTHS))
        sides.append(tuple(sorted((each for each in months if each is not None), key=_order)))
    return BestTimes(earlier.size, float(earlier.mean()), _spread(earlier), *sides)


def _spread(earlier: Floats) -> float:
    return float(((earlier - earlier.mean()) ** 2).sum())


def _order(window: Window) -> tuple[float, int, int]:
    return -window.gain_k2, window.month, window.best_hour


def _window(
    month: int, gain: Floats, climate: Floats, delta: Floats, ratio: Floats
) -> Window | None:
    """Return the hours around a month's best one that gain nearly as much."""
    if np.isnan(gain).all():
        return None
    best = int(np.nanargmax(gain))
    enough = np.nan_to_num(gain, nan=-1.0) >= SHARE_OF_BEST * gain[best]
    first = last = best
    while last - first < HOURS - 1 and enough[(first - 1) % HOURS]:
        first -= 1
    while last - first < HOURS - 1 and enough[(last + 1) % HOURS]:
        last += 1
    return Window(
        month + 1,
        first % HOURS,
        last % HOURS,
        best,
        float(climate[month, best]),
        float(delta[month, best]),
        float(gain[best]),
        float(ratio[month, best]),
    )
