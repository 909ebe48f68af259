"""Rolling of a rocker whose pin does not stand at the centre of its curved face."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from movement.capacity.results import above_zero_or_missing
from movement.checks import Floats, known_or_missing
from movement.errors import InputError

STEEPEST_DEG = 80.0  # beyond this no rocker rolls; judgement, no source
_TURNS = 60


def pin_travel_mm(
    tilt_deg: ArrayLike, rocker_radius_mm: ArrayLike, pin_height_mm: ArrayLike
) -> Floats:
    """Travel of the pin as the rocker rolls: R theta + (H - R) sin theta [mm].

    Parameters
    ----------
    tilt_deg : array_like
        Any sign; NaN gives NaN, as in every argument [deg].
    rocker_radius_mm, pin_height_mm : array_like
        Radius R of the curved face, and height H of the pin above the plate, upright [mm].

    Notes
    -----
    With the pin at the centre of curvature, H = R, it is R theta.  Source: geometry, calc.
    """
    tilt = np.radians(_rolls("tilt_deg", tilt_deg))
    radius = above_zero_or_missing("rocker_radius_mm", rocker_radius_mm)
    height = above_zero_or_missing("pin_height_mm", pin_height_mm)
    return np.asarray(radius * tilt + (height - radius) * np.sin(tilt), dtype=np.float64)


def tilt_of_pin_travel_deg(
    travel_mm: ArrayLike, rocker_radius_mm: ArrayLike, pin_height_mm: ArrayLike
) -> Floats:
    """Tilt at which the pin has travelled so far [deg]; NaN where it would pass 80 deg."""
    travel = known_or_missing("travel_mm", travel_mm)
    radius = above_zero_or_missing("rocker_radius_mm", rocker_radius_mm)
    height = above_zero_or_missing("pin_height_mm", pin_height_mm)
    travel, radius, height = np.broadcast_arrays(travel, radius, height)
    # Travel grows with tilt all the way, so halving the interval always finds it.
    low = np.full(travel.shape, -STEEPEST_DEG)
    high = np.full(travel.shape, STEEPEST_DEG)
    reach = pin_travel_mm(high, radius, height)
    for _ in range(_TURNS):
        middle = (low + high) / 2.0
        short = pin_travel_mm(middle, radius, height) < travel
        low, high = np.where(short, middle, low), np.where(short, high, middle)
    return np.where(np.abs(travel) <= reach, (low + high) / 2.0, np.nan)


def _rolls(field: str, values: ArrayLike) -> Floats:
    tilt = known_or_missing(field, values)
    if (np.abs(tilt) > STEEPEST_DEG).any():
        raise InputError(
            field,
            f"{np.nanmax(np.abs(tilt)):g} deg is beyond {STEEPEST_DEG:g}",
            "Give the tilt from upright in degrees.",
        )
    return tilt
