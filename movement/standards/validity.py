"""Range of values for which a standard's rule was made."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from movement.checks import Floats, known_or_missing
from movement.errors import InputError


@dataclass(frozen=True, slots=True)
class Validity:
    """Bounds of one input of a rule, both included, and where they come from.

    Attributes
    ----------
    field : str
        Name of the argument, unit included.
    low, high : float
        Bounds, in the unit of the field.
    source : str
        Clause or other ground of the bounds.
    """

    field: str
    low: float
    high: float
    source: str

    def holds(self, values: ArrayLike) -> NDArray[np.bool_]:
        """Tell which values lie within the bounds; a NaN does not."""
        array = np.asarray(values, dtype=np.float64)
        return (array >= self.low) & (array <= self.high)

    def checked(self, values: ArrayLike) -> Floats:
        """Return the values, NaN let through; one outside the bounds is refused."""
        array = known_or_missing(self.field, values)
        outside = (array < self.low) | (array > self.high)
        if outside.any():
            raise InputError(
                self.field,
                f"{array[outside].flat[0]:g} is outside {self.low:g} to {self.high:g}, the range"
                f" of the rule ({self.source})",
                "Check value and unit; outside the range take a figure from tests.",
            )
        return array
