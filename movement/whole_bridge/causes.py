"""The explanations that are weighed, and how likely each is before the readings."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

import numpy as np

from movement.errors import InputError


class Cause(IntEnum):
    """What can explain the readings of a unit."""

    HEALTHY = 0
    FROZEN = 1
    SLUGGISH = 2
    SUPPORT_MOVED = 3
    SHORTENING = 4
    WRONG_TEMPERATURE = 5
    BLUNDER = 6
    STEP = 7
    FIXED_POINT = 8
    SIGN = 9
    COEFFICIENT = 10
    SETTING_OFF = 11


OF_ELEMENT = (Cause.FROZEN, Cause.SLUGGISH, Cause.BLUNDER, Cause.STEP, Cause.SIGN,
              Cause.SETTING_OFF)  # fmt: skip
"""Their place is an element."""
OF_SUPPORT = (Cause.SUPPORT_MOVED, Cause.FIXED_POINT)
"""Their place is a support."""
REGISTER = (Cause.FIXED_POINT, Cause.SIGN, Cause.COEFFICIENT, Cause.SETTING_OFF)
"""The register is wrong, not the bridge."""
CHANGES_RESPONSE = (Cause.FROZEN, Cause.SLUGGISH, Cause.SIGN, Cause.COEFFICIENT, Cause.FIXED_POINT)
"""They change how the unit follows temperature, so they are weighed a second time, exactly."""


LOG_ODDS = {
    Cause.FROZEN: -2.15,
    Cause.SLUGGISH: -3.4,
    Cause.SUPPORT_MOVED: -4.4,
    Cause.SHORTENING: -3.0,
    Cause.WRONG_TEMPERATURE: -2.8,
    Cause.BLUNDER: -4.2,
    Cause.STEP: -3.6,
    Cause.FIXED_POINT: -4.2,
    Cause.SIGN: -4.8,
    Cause.COEFFICIENT: -3.4,
    Cause.SETTING_OFF: -4.8,
}
"""Natural log of the odds of each cause, wherever it sits, against healthy.  Judgement:
common causes and those that show weakly stand higher, within the false alarms allowed."""


_ANY_SIGN = ("shift", "needed", "second_needed")


@dataclass(frozen=True, slots=True)
class Priors:
    """How likely and how large each cause is thought to be.  Judgement, no source.

    Attributes
    ----------
    shift : float
        Added to the log odds of every cause: below 0 where false alarms cost more.
    needed : float
        Penalised score that the best explanation needs before a unit counts as faulty.
    apart : float
        Two explanations whose scores differ by less fit equally well.
    second_needed : float
        The same as ``needed`` for a second cause beside the first.
    frozen_k : float
        Spread of the temperature at which a bearing froze about the mean one [K].
    u_frozen_response : float
        Response that a bearing may show and still be called frozen [-].
    sluggish_loss, u_sluggish_loss : float
        Part of the response that a sluggish bearing lacks, and its spread [-].
    step_mm, setting_mm, support_mm, blunder_mm : float
        Spread of the size [mm].
    temperature_k : float
        Of a wrong temperature [K].
    shortening : float
        Of the strain [-].
    coefficient : float
        Of the relative error of the coefficient [-].
    """

    shift: float = 0.0
    needed: float = 0.2
    apart: float = 1.1
    second_needed: float = 0.5
    frozen_k: float = 9.0
    u_frozen_response: float = 0.07
    sluggish_loss: float = 0.5
    u_sluggish_loss: float = 0.15
    step_mm: float = 36.0
    setting_mm: float = 25.0
    support_mm: float = 40.0
    blunder_mm: float = 50.0
    temperature_k: float = 13.0
    shortening: float = 4e-4
    coefficient: float = 0.5

    def __post_init__(self) -> None:
        for name in self.__slots__:
            if not np.isfinite(getattr(self, name)):
                raise InputError(name, "is not a finite number", "Leave out what is not known.")
            if name not in _ANY_SIGN and getattr(self, name) <= 0:
                raise InputError(name, "is not above zero", "Give a positive spread.")

    def of(self, cause: Cause) -> float:
        """Logarithm of the odds of a cause against healthy."""
        return LOG_ODDS[cause] + self.shift
