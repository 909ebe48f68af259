"""What the model is told: frozen, in SI, one array element per reading.

In every field NaN means "not known" and leads to the verdict "cannot judge" with
that as its reason; an infinity is refused.  Shapes are ``(n,)`` unless said, and
broadcast.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from movement.checks import Floats, at_least_zero, known_or_missing
from movement.errors import InputError


@dataclass(frozen=True, slots=True, eq=False)
class Sides:
    """The lengths of superstructure whose movement an element sees.

    A bearing has one, a joint between two units two; the last axis counts them.
    A side that is not there has lever 0.

    Attributes
    ----------
    lever : array (..., sides)
        Change of the measured quantity per unit of strain of the side [mm; deg for
        a tilt].  Signed: see :mod:`movement.geometry`.
    expansion_per_c : array (..., sides)
        Coefficient of thermal expansion, alpha [1/degC].
    shortening : array (..., sides)
        Creep and shrinkage since the setting [-], positive when shorter.
    u_lever, u_expansion_per_c, u_shortening : array (..., sides)
        Their standard uncertainties.
    """

    lever: Floats
    expansion_per_c: Floats
    shortening: Floats
    u_lever: Floats
    u_expansion_per_c: Floats
    u_shortening: Floats

    @classmethod
    def of(
        cls,
        lever: ArrayLike,
        expansion_per_c: ArrayLike,
        shortening: ArrayLike = 0.0,
        u_lever: ArrayLike = 0.0,
        u_expansion_per_c: ArrayLike = 0.0,
        u_shortening: ArrayLike = 0.0,
    ) -> Sides:
        """Check and broadcast; a scalar means one side of one element."""
        parts = (
            known_or_missing("lever", lever),
            known_or_missing("expansion_per_c", expansion_per_c),
            known_or_missing("shortening", shortening),
            at_least_zero("u_lever", u_lever),
            at_least_zero("u_expansion_per_c", u_expansion_per_c),
            at_least_zero("u_shortening", u_shortening),
        )
        if (parts[1] <= 0).any():
            raise InputError(
                "expansion_per_c",
                f"{np.nanmin(parts[1]):g} is not above zero",
                "Give the coefficient of the material, about 1e-5 per degC.",
            )
        return cls(*np.broadcast_arrays(*(np.atleast_1d(part) for part in parts)))


@dataclass(frozen=True, slots=True, eq=False)
class Setting:
    """Where the element stood at a known temperature: as set, or as baseline.

    Attributes
    ----------
    value : array (n,)
        Reading at the setting [unit of the quantity].
    temperature_c : array (n,)
        Effective temperature then [degC].
    u_value, u_temperature_k : array (n,)
        Standard uncertainties [unit of the quantity; K].
    """

    value: Floats
    temperature_c: Floats
    u_value: Floats
    u_temperature_k: Floats

    @classmethod
    def of(
        cls,
        value: ArrayLike,
        temperature_c: ArrayLike,
        u_value: ArrayLike = 0.0,
        u_temperature_k: ArrayLike = 0.0,
    ) -> Setting:
        """Check the four arrays."""
        return cls(
            known_or_missing("setting_value", value),
            known_or_missing("setting_temperature_c", temperature_c),
            at_least_zero("u_setting_value", u_value),
            at_least_zero("u_setting_temperature_k", u_temperature_k),
        )


@dataclass(frozen=True, slots=True, eq=False)
class Measured:
    """What was read, and the effective temperature of that hour.

    Attributes
    ----------
    value : array (n,)
        The reading [unit of the quantity].
    u_value : array (n,)
        Standard uncertainty from instrument and repeats [same unit].
    temperature_c : array (n,) or (n, sides)
        Effective temperature; with two sides of unlike section, one for each [degC].
    u_temperature_k : array, same shape
        Its standard uncertainty [K].
    """

    value: Floats
    u_value: Floats
    temperature_c: Floats
    u_temperature_k: Floats

    @classmethod
    def of(
        cls,
        value: ArrayLike,
        temperature_c: ArrayLike,
        u_value: ArrayLike = 0.0,
        u_temperature_k: ArrayLike = 0.0,
    ) -> Measured:
        """Check the four arrays."""
        return cls(
            known_or_missing("value", value),
            at_least_zero("u_value", u_value),
            known_or_missing("temperature_c", temperature_c),
            at_least_zero("u_temperature_k", u_temperature_k),
        )


@dataclass(frozen=True, slots=True, eq=False)
class Limits:
    """Capacity of the device along the measured quantity.

    Attributes
    ----------
    lower, upper : array (n,)
        Limits; NaN where the device has none on that side.
    neutral : array (n,)
        Position at which nothing of either limit is used: 0 for an offset, the
        middle of the opening range for a joint.
    """

    lower: Floats
    upper: Floats
    neutral: Floats

    @classmethod
    def of(cls, lower: ArrayLike, upper: ArrayLike, neutral: ArrayLike) -> Limits:
        """Check that no lower limit stands at or above its upper one."""
        low = known_or_missing("limit_lower", lower)
        high = known_or_missing("limit_upper", upper)
        if (low >= high).any():
            raise InputError(
                "limit_lower",
                f"{_first_not_below(low, high)}, the upper limit",
                "Exchange or correct the two limits.",
            )
        return cls(low, high, known_or_missing("limit_neutral", neutral))


@dataclass(frozen=True, slots=True, eq=False)
class DesignExtremes:
    """Lowest and highest effective temperature that the unit is designed for [degC]."""

    min_c: Floats
    max_c: Floats

    @classmethod
    def of(cls, min_c: ArrayLike, max_c: ArrayLike) -> DesignExtremes:
        """Check that min is below max."""
        low = known_or_missing("design_min_c", min_c)
        high = known_or_missing("design_max_c", max_c)
        if (low >= high).any():
            raise InputError(
                "design_min_c",
                f"{_first_not_below(low, high)}, the design maximum",
                "Exchange or correct the two.",
            )
        return cls(low, high)


@dataclass(frozen=True, slots=True)
class Thresholds:
    """Where a verdict turns.  Agency settings; the defaults are judgement, no source.

    Attributes
    ----------
    watch_k, out_k : float
        Residual in standard uncertainties above which a reading is to watch / out.
    watch_use : float
        Share of a limit used above which it is to watch [-].
    """

    watch_k: float = 2.0
    out_k: float = 3.0
    watch_use: float = 0.9

    def __post_init__(self) -> None:
        if not 0 < self.watch_k < self.out_k < np.inf:
            raise InputError(
                "watch_k",
                f"{self.watch_k:g} is not between 0 and out_k, {self.out_k:g}",
                "Take 2 and 3.",
            )
        if not 0 < self.watch_use <= 1:
            raise InputError("watch_use", f"{self.watch_use:g} is not in (0, 1]", "Take 0.9.")


def _first_not_below(low: Floats, high: Floats) -> str:
    low, high = np.broadcast_arrays(low, high)
    wrong = low >= high
    return f"{low[wrong][0]:g} is not below {high[wrong][0]:g}"
