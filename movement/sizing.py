"""Sizing of joints: rounding, catalogue sizes, and the gap to set on the day.

For choosing and setting a device, never for comparing with a field reading.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from movement.checks import Floats, at_least_zero, finite, known_or_missing, positive
from movement.errors import InputError

HAIR = 1e-9  # keeps 2.75 in, turned to mm and back, on its own step


def rounded_up_mm(value_mm: ArrayLike, step_mm: float, accepted_excess_mm: float = 0.0) -> Floats:
    """Round up to the next whole step, as ratings and gaps are stated.

    Parameters
    ----------
    value_mm : array_like
        Zero or more; NaN gives NaN [mm].
    step_mm : float
        6.35 for a quarter of an inch, 5 for 5 mm. > 0 [mm].
    accepted_excess_mm : float
        How far the value may lie above a step and still be rounded down to it, where the
        engineer accepts that [mm].

    Returns
    -------
    numpy.ndarray, float64 [mm]
    """
    step = float(positive("step_mm", step_mm))
    excess = float(finite("accepted_excess_mm", accepted_excess_mm))
    if not 0.0 <= excess < step:
        raise InputError(
            "accepted_excess_mm",
            f"{excess:g} mm is not from 0 to below the step, {step:g} mm",
            "Give a small part of the step, or leave it out.",
        )
    steps = np.ceil((at_least_zero("value_mm", value_mm) - excess) / step - HAIR)
    return np.asarray(np.maximum(steps, 0.0) * step, dtype=np.float64)


def rounded_mm(value_mm: ArrayLike, step_mm: float) -> Floats:
    """Round to the nearest step, half a step away from zero; NaN gives NaN [mm]."""
    step = float(positive("step_mm", step_mm))
    value = known_or_missing("value_mm", value_mm)
    steps = np.floor(np.abs(value) / step + 0.5 + HAIR)
    return np.asarray(np.sign(value) * steps * step, dtype=np.float64)


def smallest_size_mm(needed_mm: ArrayLike, sizes_mm: Sequence[float]) -> Floats:
    """Smallest size on offer that is at least what is needed; NaN where none is [mm].

    Raises
    ------
    InputError
        If no sizes are given, or one is not above zero.
    """
    sizes = np.sort(positive("sizes_mm", sizes_mm))
    if sizes.size == 0:
        raise InputError("sizes_mm", "is empty", "Give the sizes that can be had.")
    needed = at_least_zero("needed_mm", needed_mm)
    place = np.searchsorted(sizes * (1.0 + HAIR), needed)
    too_large = np.isnan(needed) | (place >= sizes.size)
    return np.where(too_large, np.nan, sizes[np.minimum(place, sizes.size - 1)])


def gap_to_set_mm(
    gap_at_base_mm: ArrayLike,
    base_temperature_c: ArrayLike,
    slope_mm_per_c: ArrayLike,
    temperature_c: ArrayLike,
    shortening_to_come_mm: ArrayLike = 0.0,
) -> Floats:
    """Gap to set at the effective temperature of the hour.

    Parameters
    ----------
    gap_at_base_mm, base_temperature_c : array_like
        Gap of the drawings and the owner's temperature that it is meant for [mm; degC].
    slope_mm_per_c : array_like
        Change of the gap per degree, negative where it closes as it warms [mm/degC].
    temperature_c : array_like
        Effective temperature when the joint is set [degC].
    shortening_to_come_mm : array_like
        Creep and shrinkage after the setting, which will open the joint: set it narrower
        by that, where the gap of the drawings is the final one [mm].

    Returns
    -------
    numpy.ndarray, float64 [mm]
        NaN where an input is; negative means that no gap is left to set.

    Notes
    -----
    gap = gap_base + b (T - T_base) - shortening.  Source: common practice; the rule behind
    the tables of WSDOT BDM ch. 9 and MoDOT EPG 751.13.
    """
    change = known_or_missing("slope_mm_per_c", slope_mm_per_c) * (
        known_or_missing("temperature_c", temperature_c)
        - known_or_missing("base_temperature_c", base_temperature_c)
    )
    return np.asarray(
        known_or_missing("gap_at_base_mm", gap_at_base_mm)
        + change
        - at_least_zero("shortening_to_come_mm", shortening_to_come_mm),
        dtype=np.float64,
    )


def temperature_at_gap_c(
    gap_mm: ArrayLike,
    gap_at_base_mm: ArrayLike,
    base_temperature_c: ArrayLike,
    slope_mm_per_c: ArrayLike,
) -> Floats:
    """Effective temperature at which the joint stands at a gap [degC].

    A seal that needs a gap to be put in can be put in at that temperature or below.  NaN
    where nothing moves or an input is not known.
    """
    slope = known_or_missing("slope_mm_per_c", slope_mm_per_c)
    change = known_or_missing("gap_mm", gap_mm) - known_or_missing("gap_at_base_mm", gap_at_base_mm)
    base = known_or_missing("base_temperature_c", base_temperature_c)
    return np.asarray(base + change / np.where(slope == 0, np.nan, slope), dtype=np.float64)
