"""Checks on the way in, shared by every public function."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from movement.errors import InputError

Floats = NDArray[np.float64]


def known_or_missing(field: str, values: ArrayLike) -> Floats:
    """Return ``values`` as float64; NaN means "not known", infinity is refused."""
    array = np.asarray(values, dtype=np.float64)
    if np.isinf(array).any():
        raise InputError(field, "is infinite", "Give a finite value, or leave it out.")
    return array


def finite(field: str, values: ArrayLike) -> Floats:
    """Return ``values`` as float64; NaN and infinity are refused."""
    array = known_or_missing(field, values)
    if np.isnan(array).any():
        raise InputError(field, "is missing or not a number", "Give a finite value.")
    return array


def at_least_zero(field: str, values: ArrayLike) -> Floats:
    """Return ``values`` (NaN allowed); anything below zero is refused."""
    array = known_or_missing(field, values)
    if (array < 0).any():
        raise InputError(field, f"{np.nanmin(array):g} is below zero", "Give zero or more.")
    return array


def positive(field: str, values: ArrayLike) -> Floats:
    """Return ``values`` (NaN refused); zero and below are refused."""
    array = finite(field, values)
    if (array <= 0).any():
        raise InputError(field, f"{array.min():g} is not above zero", "Give a positive value.")
    return array


def at_most_or_missing(field: str, values: ArrayLike, most: float, rule: str) -> Floats:
    """Return ``values`` from 0 to ``most`` (NaN: not known); the others are refused."""
    array = known_or_missing(field, values)
    wrong = (array < 0) | (array > most)
    if wrong.any():
        raise InputError(field, f"{array[wrong].flat[0]:g} is not 0 to {most:g}", rule)
    return array
