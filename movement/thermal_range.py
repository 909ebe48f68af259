"""Thermal movement of a free member, whichever standard gives its temperatures."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from movement.checks import Floats, at_least_zero, finite, positive
from movement.errors import InputError


@dataclass(frozen=True, slots=True, eq=False)
class BridgeExtremes:
    """Design extremes of the effective temperature [degC] and where they come from."""

    min_c: Floats
    max_c: Floats
    source: str


@dataclass(frozen=True, slots=True, eq=False)
class MovementDemand:
    """Movement that a design must take, from the setting temperature [mm], both >= 0."""

    contraction_mm: Floats
    expansion_mm: Floats

    @property
    def total_mm(self) -> Floats:
        """Contraction and expansion together [mm]."""
        return self.contraction_mm + self.expansion_mm


def length_change(
    expansion_per_c: ArrayLike, length_mm: ArrayLike, delta_temperature_k: ArrayLike
) -> Floats:
    """Length change of an unrestrained member under a uniform temperature change.

    Parameters
    ----------
    expansion_per_c : array_like
        Coefficient of thermal expansion, alpha [1/degC]. > 0.
    length_mm : array_like
        Distance from the thermal fixed point, L [mm]. Sign follows station.
    delta_temperature_k : array_like
        Effective temperature minus setting temperature [K]. Any sign.

    Returns
    -------
    numpy.ndarray, float64 [mm]
        Broadcast of the inputs. Positive towards increasing station.

    Raises
    ------
    InputError
        If ``expansion_per_c`` is not positive, or a value is not finite.

    Notes
    -----
    u = alpha L dT. For a free member at uniform temperature; not for restraint or
    gradients.  Source: AASHTO LRFD, 9th ed. (2020), 3.12.2.3.
    """
    return np.asarray(
        positive("expansion_per_c", expansion_per_c)
        * finite("length_mm", length_mm)
        * finite("delta_temperature_k", delta_temperature_k),
        dtype=np.float64,
    )


def demand_from_setting(
    expansion_per_c: ArrayLike,
    length_mm: ArrayLike,
    extremes: BridgeExtremes,
    setting_temperature_c: ArrayLike,
    allowance_k: ArrayLike = 0.0,
    factor: ArrayLike = 1.0,
) -> MovementDemand:
    """Movement each way from the setting temperature to the design extremes.

    Parameters
    ----------
    expansion_per_c, length_mm
        alpha [1/degC] and the expansion length [mm].
    extremes : BridgeExtremes
        Design extremes [degC].
    setting_temperature_c : array_like
        Temperature at which bearing or joint is set [degC].
    allowance_k : array_like
        Added to both temperature ranges, S of EN 1991-1-5 [K].
    factor : array_like
        Load factor on the movement, AASHTO LRFD Table 3.4.1-1 [-].

    Notes
    -----
    For sizing a device, never for comparing with a field reading.
    """
    setting = finite("setting_temperature_c", setting_temperature_c)
    low, high = finite("design_min_c", extremes.min_c), finite("design_max_c", extremes.max_c)
    outside = (setting < low) | (setting > high)
    if outside.any():
        wrong, of, to = (
            float(np.broadcast_to(each, outside.shape)[outside][0]) for each in (setting, low, high)
        )
        raise InputError(
            "setting_temperature_c",
            f"{wrong:g} degC lies outside the design extremes, {of:g} to {to:g} degC",
            "Correct the setting temperature or the basis of the extremes.",
        )
    size = np.abs(length_change(expansion_per_c, length_mm, 1.0)) * positive("factor", factor)
    extra = finite("allowance_k", at_least_zero("allowance_k", allowance_k))
    return MovementDemand(size * (setting - low + extra), size * (high - setting + extra))
