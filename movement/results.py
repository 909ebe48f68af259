"""What the model answers: numbers and verdicts, one array element per reading."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum, IntFlag

import numpy as np
from numpy.typing import ArrayLike, NDArray

from movement.checks import Floats


class Verdict(IntEnum):
    """Verdict of one reading, mildest first; the default is "cannot judge"."""

    CANNOT_JUDGE = 0
    IN_RANGE = 1
    WATCH = 2
    OUT_OF_RANGE = 3


class Reason(IntFlag):
    """Why a verdict is what it is: what was found, and what is missing."""

    NONE = 0
    RESIDUAL_WATCH = 1 << 0
    RESIDUAL_OUT = 1 << 1
    NEAR_LIMIT_NOW = 1 << 2
    NEAR_LIMIT_AT_MIN = 1 << 3
    NEAR_LIMIT_AT_MAX = 1 << 4
    PAST_LIMIT_NOW = 1 << 5
    PAST_LIMIT_AT_MIN = 1 << 6
    PAST_LIMIT_AT_MAX = 1 << 7
    NO_READING = 1 << 8
    NO_TEMPERATURE = 1 << 9
    NO_SETTING = 1 << 10
    NO_EXPANSION = 1 << 11
    NO_LIMITS = 1 << 12
    NO_EXTREMES = 1 << 13
    IS_BASELINE = 1 << 14


OUT_REASONS = (
    Reason.RESIDUAL_OUT
    | Reason.PAST_LIMIT_NOW
    | Reason.PAST_LIMIT_AT_MIN
    | Reason.PAST_LIMIT_AT_MAX
)
WATCH_REASONS = (
    Reason.RESIDUAL_WATCH
    | Reason.NEAR_LIMIT_NOW
    | Reason.NEAR_LIMIT_AT_MIN
    | Reason.NEAR_LIMIT_AT_MAX
)


@dataclass(frozen=True, slots=True, eq=False)
class ExpectedLine:
    """Five numbers that give expected value and band at any effective temperature.

    expected = a + b T;  u^2 = c0 + c1 T + c2 T^2 + b^2 u_T^2 + u_reading^2

    Attributes
    ----------
    a, b, c0, c1, c2 : array (n,)
        In the unit of the quantity, per degC as the power of T asks.
    """

    a: Floats
    b: Floats
    c0: Floats
    c1: Floats
    c2: Floats

    def value(self, temperature_c: ArrayLike) -> Floats:
        """Return the expected value at an effective temperature [unit of the quantity]."""
        return self.a + self.b * np.asarray(temperature_c, dtype=np.float64)

    def standard_uncertainty(
        self,
        temperature_c: ArrayLike,
        u_temperature_k: ArrayLike = 0.0,
        u_reading: ArrayLike = 0.0,
    ) -> Floats:
        """Return the standard uncertainty of a reading's residual at that temperature."""
        t = np.asarray(temperature_c, dtype=np.float64)
        variance = (
            self.c0
            + (self.c1 + self.c2 * t) * t
            + (self.b * np.asarray(u_temperature_k)) ** 2
            + np.asarray(u_reading) ** 2
        )
        # Cancellation in c0 + c1 T + c2 T^2 may leave a hair below zero at T = T_s.
        return np.asarray(np.sqrt(np.maximum(variance, 0.0)), dtype=np.float64)


@dataclass(frozen=True, slots=True, eq=False)
class Prediction:
    """Expected value of each reading with its standard uncertainty.

    Attributes
    ----------
    expected, standard_uncertainty : array (n,)
        [unit of the quantity]
    line : ExpectedLine
        The same for one temperature common to all sides.
    """

    expected: Floats
    standard_uncertainty: Floats
    line: ExpectedLine


@dataclass(frozen=True, slots=True, eq=False)
class Judgement:
    """Verdict of each reading with every number behind it.  NaN: could not be had.

    Attributes
    ----------
    verdict : array (n,) of int8
        Values of :class:`Verdict`.
    reasons : array (n,) of uint32
        Bits of :class:`Reason`.
    residual : array (n,)
        Measured minus expected [unit of the quantity].
    residual_in_u : array (n,)
        The same in standard uncertainties [-].
    use_now, use_at_min, use_at_max : array (n,)
        Share of the nearer limit used now, and carried to each extreme [-]; above 1
        is past it.
    carried_to_min, carried_to_max : array (n,)
        Measured position carried along the expected slope [unit of the quantity].
    lower_at_c, upper_at_c : array (n,)
        Effective temperature at which the position meets each limit [degC].
    prediction : Prediction
        Expected values, uncertainties and five numbers.
    """

    verdict: NDArray[np.int8]
    reasons: NDArray[np.uint32]
    residual: Floats
    residual_in_u: Floats
    use_now: Floats
    use_at_min: Floats
    use_at_max: Floats
    carried_to_min: Floats
    carried_to_max: Floats
    lower_at_c: Floats
    upper_at_c: Floats
    prediction: Prediction
