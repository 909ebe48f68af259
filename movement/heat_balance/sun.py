"""The usual sun of a place, season and hour, for hours whose sun is not recorded."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from movement.checks import Floats, finite, known_or_missing
from movement.errors import InputError

SOLAR_CONSTANT_W_PER_M2 = 1367.0
USUAL_CLEARNESS = 0.5
"""Share of the sun above the air that reaches the ground, clouds and all.

Half by the rule of FAO-56 (equation 35) for a day with half its hours sunny; 0.52 and 0.61 over
the two years that the balance was tried on, from day to day with a standard deviation of 0.16.
Judgement for any one place."""


def usual_sun_w_per_m2(
    day_of_year: ArrayLike,
    solar_hour: ArrayLike,
    latitude_deg: ArrayLike,
    clearness: float = USUAL_CLEARNESS,
) -> Floats:
    """Global irradiance of a level face in an ordinary hour.

    Parameters
    ----------
    day_of_year : array_like
        1 to 366 [d].
    solar_hour : array_like
        Hour of the day by the sun, which is highest at 12 [h].
    latitude_deg : array_like
        North positive; NaN gives NaN [deg].
    clearness : float
        See :data:`USUAL_CLEARNESS`; 1 gives what arrives above the air.

    Returns
    -------
    numpy.ndarray [W/m2]
        Broadcast of the inputs.

    Raises
    ------
    InputError
        If the latitude is none, or the clearness is no share.

    Notes
    -----
    G = clearness x G0 dr (sin phi sin delta + cos phi cos delta cos omega), with dr and delta of
    FAO Irrigation and Drainage Paper 56 (1998), equations 23 and 24; from memory.
    """
    day, hour = finite("day_of_year", day_of_year), finite("solar_hour", solar_hour)
    latitude = known_or_missing("latitude_deg", latitude_deg)
    if (np.abs(latitude) > 90.0).any():
        raise InputError("latitude_deg", "is beyond a pole", "Give degrees, -90 to 90.")
    if not 0.0 <= clearness <= 1.0:
        raise InputError("clearness", f"{clearness:g} is no share", "Give 0 to 1.")
    season = 2.0 * np.pi * day / 365.0
    nearer = 1.0 + 0.033 * np.cos(season)
    declination = 0.409 * np.sin(season - 1.39)
    phi, omega = np.radians(latitude), np.pi / 12.0 * (hour - 12.0)
    height = np.sin(phi) * np.sin(declination) + np.cos(phi) * np.cos(declination) * np.cos(omega)
    return np.asarray(
        clearness * SOLAR_CONSTANT_W_PER_M2 * nearer * np.maximum(height, 0.0), dtype=np.float64
    )
