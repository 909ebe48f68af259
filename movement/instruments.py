"""Accuracy of usual instruments, as half-widths.  From memory: the agency's own figure goes first.

Turn them into standard uncertainties with ``movement.uncertainty.from_accuracy``.
"""

from __future__ import annotations

from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike

from movement.checks import Floats, known_or_missing

ACCURACY_MM = {"feeler gauge": 0.05, "vernier calliper": 0.05, "tape": 1.0, "laser": 1.5}
"""The wider figure where a range is usual; from memory."""


class Thermometer(StrEnum):
    """Thermometers whose tolerance is held."""

    TYPE_T = "thermocouple, type T"
    TYPE_T_SPECIAL = "thermocouple, type T, special limits"
    TYPE_K = "thermocouple, type K"
    TYPE_K_SPECIAL = "thermocouple, type K, special limits"
    INFRARED = "infrared"


TOLERANCE = {
    # at least [K], and share of the temperature in degC, whichever is more; ASTM E230, memory
    Thermometer.TYPE_T: (1.0, 0.0075),
    Thermometer.TYPE_T_SPECIAL: (0.5, 0.00375),
    Thermometer.TYPE_K: (2.2, 0.0),
    Thermometer.TYPE_K_SPECIAL: (1.1, 0.0),
    # not E230: usual for hand-held ones; on bare shiny steel the error is larger
    Thermometer.INFRARED: (2.0, 0.02),
}


def thermometer_accuracy_k(thermometer: Thermometer, temperature_c: ArrayLike) -> Floats:
    """Half-width of a thermometer's error at a temperature [K]; NaN gives NaN."""
    least, share = TOLERANCE[Thermometer(thermometer)]
    size = np.abs(known_or_missing("temperature_c", temperature_c))
    return np.asarray(np.maximum(least, share * size), dtype=np.float64)
