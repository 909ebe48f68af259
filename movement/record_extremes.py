"""Shade air extremes of a return period from a station's own yearly extremes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from movement.checks import Floats, finite, known_or_missing
from movement.errors import InputError

FEWEST_YEARS = 10
"""Yearly extremes below which nothing is fitted.  Judgement, no source."""
FURTHEST_PERIODS = 5.0
"""Return period, in lengths of the record, above which an answer is marked as far out.
Judgement, no source."""
EULER = 0.5772156649015329
NORMAL_95 = 1.959963984540054


@dataclass(frozen=True, slots=True, eq=False)
class ReturnLevel:
    """Extreme of a return period at each station, with its 95 % interval [degC].

    Attributes
    ----------
    level_c, u_level_k, low_c, high_c : array (stations,)
        NaN where the years are too few.
    location_c, scale_k : array (stations,)
        Of the Gumbel distribution of yearly maxima, or of minima with its sign turned.
    years : array (stations,) of int
        Yearly extremes known.
    years_needed : array (stations,) of int
        Years still missing to the fewest that are fitted; 0 where there are enough.
    far_out : array (stations,) of bool
        The return period is far longer than the record.
    """

    level_c: Floats
    u_level_k: Floats
    low_c: Floats
    high_c: Floats
    location_c: Floats
    scale_k: Floats
    years: NDArray[np.intp]
    years_needed: NDArray[np.intp]
    far_out: NDArray[np.bool_]


def return_level(
    yearly_c: ArrayLike,
    station: ArrayLike,
    return_period_years: float,
    of_minima: bool = False,
) -> ReturnLevel:
    """Extreme that is passed once in a return period, by a Gumbel fit of yearly extremes.

    Parameters
    ----------
    yearly_c : array_like (n,)
        Yearly maxima (or minima) of shade air temperature, all stations one after another,
        in any order; NaN where a year is incomplete [degC].
    station : array_like (n,) of int
        Number of the station of each, from 0.
    return_period_years : float
        1 / p, above 1 [years].
    of_minima : bool
        The values are minima: they are turned, fitted and turned back.

    Returns
    -------
    ReturnLevel, arrays (stations,)

    Raises
    ------
    InputError
        If arrays do not pair, or the return period is not above 1.

    Notes
    -----
    Probability-weighted moments: scale = l2 / ln 2, location = mean - 0.5772 scale; level =
    location - scale ln(-ln(1 - p)).  Sampling variance and covariance of both by Phien, J.
    Hydrol. 90 (1987), from memory and confirmed by simulation in the tests; the interval
    takes Student's factor for n - 1.  Whether the years are alike (no trend, one exposure of
    the thermometer) is not tested.
    """
    values, group = known_or_missing("yearly_c", yearly_c), np.asarray(station)
    if values.ndim != 1 or group.shape != values.shape:
        raise InputError("station", "does not pair with yearly_c", "Give one for each value.")
    if not np.issubdtype(group.dtype, np.integer) or (group < 0).any() or not group.size:
        raise InputError("station", "is no number from 0", "Number the stations 0, 1, 2 ...")
    period = float(finite("return_period_years", return_period_years))
    if period <= 1.0:
        raise InputError(
            "return_period_years", f"{period:g} is not above 1", "Give years, 50 or 120."
        )
    sign = -1.0 if of_minima else 1.0
    n, mean, l2 = _moments(sign * values, group)
    enough = n >= FEWEST_YEARS
    count = np.where(enough, n, np.nan)
    scale = np.where(enough, l2 / np.log(2.0), np.nan)
    location = mean - EULER * scale
    reduced = -np.log(-np.log(1.0 - 1.0 / period))
    level = location + scale * reduced
    share = (
        (1.1128 * count - 0.9066)
        + 2.0 * reduced * (0.2287 * count - 0.5414)
        + reduced**2 * (0.8046 * count - 0.1855)
    ) / (count * (count - 1.0))
    u = scale * np.sqrt(share)
    half = _student_95(count - 1.0) * u
    ends = sign * (level - half), sign * (level + half)
    return ReturnLevel(
        sign * level,
        u,
        np.minimum(*ends),
        np.maximum(*ends),
        location,
        scale,
        n,
        np.maximum(FEWEST_YEARS - n, 0),
        enough & (period > FURTHEST_PERIODS * n),
    )


def _moments(values: Floats, group: NDArray[np.intp]) -> tuple[NDArray[np.intp], Floats, Floats]:
    """Return number, mean and second L-moment of the known values of each station."""
    stations = int(group.max()) + 1
    known = ~np.isnan(values)
    values, group = values[known], group[known]
    order = np.lexsort((values, group))
    values, group = values[order], group[order]
    n = np.bincount(group, minlength=stations)
    first = np.concatenate([[0], np.cumsum(n)[:-1]])
    rank = np.arange(values.size) - first[group]
    total = np.bincount(group, weights=values, minlength=stations)
    weighted = np.bincount(group, weights=rank * values, minlength=stations)
    mean = total / np.maximum(n, 1)
    b1 = weighted / np.maximum(n * (n - 1.0), 1.0)
    return n, mean, 2.0 * b1 - mean


def _student_95(freedom: Floats) -> Floats:
    """Return Student's two-sided 95 % factor, by its expansion about the normal one.

    Source: Abramowitz and Stegun, 26.7.5, from memory; to 0.1 % from nine degrees on.
    """
    z = NORMAL_95
    return np.asarray(
        z
        + (z**3 + z) / (4.0 * freedom)
        + (5.0 * z**5 + 16.0 * z**3 + 3.0 * z) / (96.0 * freedom**2)
        + (3.0 * z**7 + 19.0 * z**5 + 17.0 * z**3 - 15.0 * z) / (384.0 * freedom**3),
        dtype=np.float64,
    )
