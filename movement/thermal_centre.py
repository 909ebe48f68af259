"""The point of a unit that does not move with temperature, from the stiffness of its supports."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from movement.checks import Floats, at_least_zero, known_or_missing
from movement.errors import InputError


def thermal_centre_m(station_m: ArrayLike, stiffness_kn_per_mm: ArrayLike) -> Floats:
    """Station of the thermal fixed point of a unit on several supports that hold it [m].

    Parameters
    ----------
    station_m : array_like (..., supports)
        Stations of the supports; NaN where a unit has fewer [m].
    stiffness_kn_per_mm : array_like (..., supports)
        Horizontal force of each at a movement of 1 mm, bearing and support together; 0 for
        one that slides [kN/mm].

    Returns
    -------
    numpy.ndarray (...) [m]
        NaN where nothing holds the unit, or a support has a station without a stiffness.

    Notes
    -----
    x0 = sum(k x) / sum(k): the forces of a free change of length balance there.  Friction is
    not a stiffness and is left out.  Source: statics; from memory, high.
    """
    station, stiffness = (
        known_or_missing("station_m", station_m),
        at_least_zero("stiffness_kn_per_mm", stiffness_kn_per_mm),
    )
    if not station.ndim or not stiffness.ndim:
        raise InputError("station_m", "is one number", "Give a row, one value for each support.")
    station, stiffness = np.broadcast_arrays(station, stiffness)
    there = ~np.isnan(station)
    total = np.where(there, stiffness, 0.0).sum(axis=-1)
    moment = np.where(there, stiffness * station, 0.0).sum(axis=-1)
    return np.asarray(moment / np.where(total > 0, total, np.nan), dtype=np.float64)
