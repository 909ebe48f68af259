"""What is claimed of a unit, and what a next visit to it could measure."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from movement.checks import Floats, at_least_zero, finite
from movement.whole_bridge.causes import Cause


@dataclass(frozen=True, slots=True)
class Claim:
    """An explanation, as :class:`movement.whole_bridge.Explanations` tells it.

    ``element``, ``support`` and ``visit`` are rows of the tables, -1 for none; ``size`` and
    ``u_size`` are needed where the cause changes the response, and for a wrong temperature.
    """

    cause: Cause
    element: int = -1
    support: int = -1
    visit: int = -1
    size: float = float("nan")
    u_size: float = float("nan")


@dataclass(frozen=True, slots=True, eq=False)
class NextVisit:
    """What a next visit could measure, at one temperature or another.

    Attributes
    ----------
    temperature_c : array (t,)
        Effective temperatures it may find [degC].
    u_temperature_k : float
        Standard uncertainty with which it will know its temperature [K].
    time_days : float
        When, on the clock of the visits [days].
    u_value_mm : array (elements,)
        Standard uncertainty of a reading of each element [mm]; NaN: it cannot be measured.
    known_mm : array (elements, t)
        Movement since the setting that is accounted for already, as for readings [mm].
    u_known_strain : array (elements,)
        Standard uncertainty of the predicted shortening [-].
    """

    temperature_c: Floats
    u_temperature_k: float
    time_days: float
    u_value_mm: Floats
    known_mm: Floats
    u_known_strain: Floats

    @classmethod
    def of(
        cls,
        temperature_c: ArrayLike,
        u_temperature_k: float,
        time_days: float,
        u_value_mm: ArrayLike,
        known_mm: ArrayLike = 0.0,
        u_known_strain: ArrayLike = 0.0,
    ) -> NextVisit:
        """Check and broadcast."""
        at_c = np.atleast_1d(finite("temperature_c", temperature_c))
        u_mm = np.atleast_1d(np.asarray(u_value_mm, dtype=np.float64))
        at_least_zero("u_value_mm", u_mm)
        shape = u_mm.size, at_c.size
        return cls(
            at_c,
            float(at_least_zero("u_temperature_k", u_temperature_k)),
            float(finite("time_days", time_days)),
            u_mm,
            np.broadcast_to(np.asarray(known_mm, dtype=np.float64), shape),
            np.broadcast_to(np.asarray(u_known_strain, dtype=np.float64), u_mm.shape),
        )
