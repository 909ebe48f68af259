"""Cumulative travel of a sliding surface or a seal under daily and yearly cycles."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from movement.checks import Floats, at_least_zero, finite, known_or_missing, positive
from movement.errors import InputError

DAYS_A_YEAR = 365.25
_HOURS_A_YEAR = 24.0 * DAYS_A_YEAR
_PHASES = 720

CYCLES_ASSUMED = (
    "A daily and a yearly sine wave of the effective temperature, each day alike; movement of a"
    " free element without friction, traffic and braking not counted. Judgement, no source."
)
RECORD_ASSUMED = (
    "Sum of the changes between successive hours of the effective temperature, counted as one"
    " change across a gap of the record; movement of a free element, traffic and braking not"
    " counted; noise of the record adds to it. Judgement, no source."
)


@dataclass(frozen=True, slots=True, eq=False)
class Travel:
    """Path travelled in a year.

    Attributes
    ----------
    mm_per_year : array
        Best figure [mm/year].
    lowest_mm_per_year, highest_mm_per_year : array
        Bounds from how the cycles may add, or from hours without a record.
    assumed : str
        What was assumed, for the page.
    """

    mm_per_year: Floats
    lowest_mm_per_year: Floats
    highest_mm_per_year: Floats
    assumed: str


@dataclass(frozen=True, slots=True, eq=False)
class LifeUsed:
    """Travel so far against the travel that the surface is rated for.

    Attributes
    ----------
    travelled_m : array
        [m]
    share : array
        Of the rated travel [-]; above 1 is past it.
    years_left : array
        At the same rate; below 0 it is past, NaN where nothing moves.
    source : str
        Of the rated travel.
    """

    travelled_m: Floats
    share: Floats
    years_left: Floats
    source: str


def travel_from_cycles(
    slope_mm_per_c: ArrayLike, daily_range_k: ArrayLike, yearly_range_k: ArrayLike
) -> Travel:
    """Yearly travel from the usual daily and yearly ranges of the effective temperature.

    Parameters
    ----------
    slope_mm_per_c : array_like
        Movement per degree, expected or fitted [mm/degC].  Any sign; NaN gives NaN.
    daily_range_k, yearly_range_k : array_like
        Highest minus lowest in a usual day, and of the daily means in a year [K].

    Returns
    -------
    Travel
        ``lowest``: the larger of the two cycles alone; ``highest``: both in full.

    Notes
    -----
    T' = A cos u + B cos v, with A and B the greatest rates of the two sine waves; the mean
    of |T'| over both phases.  A yearly cycle hardly adds to quicker daily ones: it only
    makes one way of each day longer than the other.  Source: calculus; the sine waves are
    judgement.
    """
    slope = np.abs(known_or_missing("slope_mm_per_c", slope_mm_per_c))
    day = at_least_zero("daily_range_k", daily_range_k)
    year = at_least_zero("yearly_range_k", yearly_range_k)
    slope, day, year = np.broadcast_arrays(slope, day, year)
    v = (np.arange(_PHASES) + 0.5) * (np.pi / 2 / _PHASES)
    a = (np.pi * day * DAYS_A_YEAR)[..., np.newaxis]
    s = (np.pi * year)[..., np.newaxis] * np.cos(v)
    inside = np.minimum(s / np.where(a > 0, a, 1.0), 1.0)
    both = 2 / np.pi * (a * np.sqrt(1.0 - inside**2) + s * np.arcsin(inside))
    mean = np.where(s < a, both, np.where(np.isnan(a), np.nan, s)).mean(axis=-1)
    daily, yearly = 2 * DAYS_A_YEAR * day, 2 * year
    return Travel(
        slope * mean, slope * np.maximum(daily, yearly), slope * (daily + yearly), CYCLES_ASSUMED
    )


def travel_from_record(
    slope_mm_per_c: ArrayLike, record_h: ArrayLike, temperature_c: ArrayLike
) -> Travel:
    """Yearly travel from an hourly record of the effective temperature.

    Parameters
    ----------
    slope_mm_per_c : array_like (...)
        Movement per degree of each element on that record [mm/degC].
    record_h, temperature_c : array_like (m,)
        Hours since any epoch in any order, and the temperature then [degC]; NaN: no value.

    Returns
    -------
    Travel
        ``lowest``: gaps longer than an hour and a half stand still; ``highest``: they move
        as the rest of the record does.  NaN with less than two values.

    Raises
    ------
    InputError
        If the two do not pair or an hour is missing or given twice.
    """
    slope = np.abs(known_or_missing("slope_mm_per_c", slope_mm_per_c))
    hours, t = finite("record_h", record_h), known_or_missing("temperature_c", temperature_c)
    if hours.ndim != 1 or hours.shape != t.shape:
        raise InputError("temperature_c", "does not pair with record_h", "Give one value an hour.")
    known = ~np.isnan(t)
    order = np.argsort(hours[known], kind="stable")
    hours, t = hours[known][order], t[known][order]
    if hours.size < 2:
        nothing = np.full(slope.shape, np.nan)
        return Travel(nothing, nothing.copy(), nothing.copy(), RECORD_ASSUMED)
    step, change = np.diff(hours), np.abs(np.diff(t))
    if (step <= 0).any():
        raise InputError("record_h", "holds an hour twice", "Give each hour once.")
    near = step <= 1.5
    to_year = _HOURS_A_YEAR / step.sum()
    seen, across = change[near].sum(), change[~near].sum()
    covered = step[near].sum()
    full = seen * _HOURS_A_YEAR / covered if covered > 0 else np.nan
    best = (seen + across) * to_year
    return Travel(slope * best, slope * seen * to_year, slope * np.fmax(full, best), RECORD_ASSUMED)


def life_used(
    mm_per_year: ArrayLike, age_years: ArrayLike, rated_travel_m: ArrayLike, source: str
) -> LifeUsed:
    """Share of the service life that the travel so far has used.

    Parameters
    ----------
    mm_per_year : array_like
        From this module [mm/year]; NaN gives NaN.
    age_years : array_like
        Since the surface or seal was put in [years]; NaN gives NaN.
    rated_travel_m : array_like
        Travel to which it was tested or is rated [m].  > 0.
    source : str
        Where that figure comes from: a test, a maker, or "judgement".
    """
    if not source.strip():
        raise InputError("source", "is empty", 'Name the source, or write "judgement".')
    rate = at_least_zero("mm_per_year", mm_per_year) / 1000.0
    rated = positive("rated_travel_m", rated_travel_m)
    travelled = rate * at_least_zero("age_years", age_years)
    left = (rated - travelled) / np.where(rate > 0, rate, np.nan)
    travelled, share, left = np.broadcast_arrays(travelled, travelled / rated, left)
    return LifeUsed(travelled, share, left, source)
