"""Tables of PTFE sliding surfaces: contact stress and friction, with their editions.

All figures are from memory: confirm them against the owner's edition before relying on them.
"""

from __future__ import annotations

from enum import IntEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from movement.checks import Floats, at_least_zero, at_most_or_missing, known_or_missing
from movement.errors import InputError
from movement.us_units import MPA_PER_KSI

AASHTO_EDITION = "AASHTO LRFD, 9th ed. (2020)"
EN_EDITION = "EN 1337-2:2004"


class Ptfe(IntEnum):
    """Sheets of AASHTO Table 14.7.2.4-1."""

    UNKNOWN = 0
    UNCONFINED_UNFILLED = 1
    CONFINED_UNFILLED = 2
    FILLED = 3
    WOVEN_ON_METAL = 4
    REINFORCED_WOVEN = 5


class SlidingSurface(IntEnum):
    """Surfaces of AASHTO Table 14.7.2.5-1."""

    UNKNOWN = 0
    DIMPLED_LUBRICATED = 1
    UNFILLED = 2
    FILLED = 3
    WOVEN = 4


class EnSheet(IntEnum):
    """Materials of EN 1337-2, 6.8."""

    UNKNOWN = 0
    PTFE_MAIN = 1
    PTFE_GUIDE_VARIABLE = 2
    PTFE_GUIDE_PERMANENT = 3
    CM1_GUIDE = 4
    CM2_GUIDE = 5


NAN = np.nan
CONTACT_STRESS_KSI = np.array(
    # AASHTO Table 14.7.2.4-1: mean permanent, mean all; edge permanent, edge all [ksi]
    [
        [NAN, NAN, NAN, NAN],
        [1.5, 2.5, 2.0, 3.0],  # unconfined unfilled
        [3.0, 4.5, 3.5, 5.5],  # confined unfilled
        [3.0, 4.5, 3.5, 5.5],  # filled, greatest filler content
        [3.0, 4.5, 3.5, 5.5],  # woven over a metal substrate
        [4.0, 5.5, 4.5, 7.0],  # reinforced woven over a metal substrate
    ]
)

FRICTION_PRESSURES_KSI = np.array([0.5, 1.0, 2.0, 3.0])  # the last column reads "above 3"
FRICTION_TEMPERATURES_C = np.array([-45.0, -25.0, 20.0])  # -49, -13 and 68 degF
FRICTION = np.array(
    # AASHTO Table 14.7.2.5-1: [surface, temperature, pressure]
    [
        [[NAN] * 4] * 3,
        # dimpled lubricated
        [[0.10, 0.075, 0.06, 0.05], [0.06, 0.045, 0.04, 0.03], [0.04, 0.03, 0.025, 0.02]],
        # unfilled, or dimpled unlubricated
        [[0.20, 0.18, 0.13, 0.10], [0.20, 0.18, 0.13, 0.10], [0.08, 0.07, 0.05, 0.03]],
        # filled
        [[0.65, 0.55, 0.45, 0.35], [0.44, 0.32, 0.25, 0.20], [0.24, 0.17, 0.09, 0.06]],
        # woven
        [[0.20, 0.18, 0.13, 0.10], [0.20, 0.18, 0.13, 0.10], [0.08, 0.07, 0.06, 0.045]],
    ]
)

EN_STRENGTH_MPA = np.array([NAN, 90.0, 90.0, 10.0, 200.0, 120.0])  # 6.6, 6.8; f_k
EN_PARTIAL_FACTOR = 1.4  # 6.8, gamma_m
EN_FULL_STRENGTH_C = 30.0
EN_LOSS_PER_K = 0.02  # of f_k, above 30 degC
EN_FRICTION_PRESSURES_MPA = (5.0, 30.0)  # 6.7: 0.08 below the first, 0.03 above the second
EN_WARM_CLIMATE_FACTOR = 2.0 / 3.0  # 6.7
EN_WARM_CLIMATE_C = -5.0


def kinds(field: str, values: ArrayLike, of: type[IntEnum]) -> NDArray[np.int64]:
    """Return members of an enumeration of this file as indices of its table."""
    array = np.asarray(values)
    unknown = ~np.isin(array, [int(each) for each in of])
    if unknown.any():
        raise InputError(
            field, f"{array[unknown].flat[0]} is no {of.__name__}", "Choose one, or 0 if unknown."
        )
    return array.astype(np.int64)


def within_friction_table(
    pressure_mpa: ArrayLike, temperature_c: ArrayLike
) -> dict[str, NDArray[np.bool_]]:
    """Where the AASHTO table of friction speaks: at least 0.5 ksi, and -45 to 20 degC."""
    pressure = np.asarray(pressure_mpa, dtype=np.float64) / MPA_PER_KSI
    temperature = np.asarray(temperature_c, dtype=np.float64)
    low, high = FRICTION_TEMPERATURES_C[0], FRICTION_TEMPERATURES_C[-1]
    tight = 1.0 - 1e-9  # a pressure of 0.5 ksi turned to MPa and back is still in the table
    return {
        "contact pressure of at least 3.45 MPa (0.5 ksi)": ~(
            pressure < FRICTION_PRESSURES_KSI[0] * tight
        ),
        f"temperature_c within {low:g} to {high:g} degC": ~(
            (temperature < low) | (temperature > high)
        ),
    }


def friction_aashto(
    surface: ArrayLike, pressure_mpa: ArrayLike, temperature_c: ArrayLike
) -> Floats:
    """Coefficient of friction, linear in pressure and temperature between the table's figures.

    Parameters
    ----------
    surface : array_like of SlidingSurface
    pressure_mpa : array_like
        Mean contact pressure [MPa]; above 3 ksi the table's last column holds.
    temperature_c : array_like
        Temperature of the bearing [degC].

    Returns
    -------
    numpy.ndarray [-]
        NaN outside the table (see :func:`within_friction_table`): not extrapolated.

    Notes
    -----
    Source: AASHTO LRFD, 9th ed. (2020), Table 14.7.2.5-1; from memory.
    """
    surface = kinds("surface", surface, SlidingSurface)
    pressure = at_least_zero("pressure_mpa", pressure_mpa) / MPA_PER_KSI
    temperature = known_or_missing("temperature_c", temperature_c)
    inside = np.isfinite(pressure) & np.isfinite(temperature)
    for holds in within_friction_table(pressure * MPA_PER_KSI, temperature).values():
        inside = inside & holds
    column, along = _cell(FRICTION_PRESSURES_KSI, np.where(inside, pressure, 1.0))
    row, up = _cell(FRICTION_TEMPERATURES_C, np.where(inside, temperature, 0.0))
    lower = (1 - along) * FRICTION[surface, row, column] + along * FRICTION[
        surface, row, column + 1
    ]
    upper = (1 - along) * FRICTION[surface, row + 1, column] + along * FRICTION[
        surface, row + 1, column + 1
    ]
    return np.where(inside, (1 - up) * lower + up * upper, np.nan)


def _cell(nodes: Floats, values: Floats) -> tuple[NDArray[np.int64], Floats]:
    """Index of the interval that holds each value, and how far along it stands, 0 to 1."""
    held = np.clip(values, nodes[0], nodes[-1])
    index = np.clip(np.searchsorted(nodes, held, side="right") - 1, 0, len(nodes) - 2)
    return index.astype(np.int64), (held - nodes[index]) / (nodes[index + 1] - nodes[index])


def friction_en(pressure_mpa: ArrayLike, always_above_minus_5_c: ArrayLike = False) -> Floats:
    """Coefficient of friction of lubricated dimpled PTFE on austenitic steel [-].

    mu = 1.2 / (10 + sigma), 0.08 up to 5 MPa and 0.03 from 30 MPa on; two thirds of it where
    the effective temperature never falls below -5 degC.  Never to be used as relief.
    Source: EN 1337-2:2004, 6.7; from memory.
    """
    pressure = np.clip(at_least_zero("pressure_mpa", pressure_mpa), *EN_FRICTION_PRESSURES_MPA)
    warm = np.asarray(always_above_minus_5_c, dtype=bool)
    return 1.2 / (10.0 + pressure) * np.where(warm, EN_WARM_CLIMATE_FACTOR, 1.0)


def strength_en(sheet: ArrayLike, temperature_c: ArrayLike) -> Floats:
    """Design strength of a sliding sheet, f_k / 1.4, at an effective temperature [MPa].

    f_k falls 2 % for each K above 30 degC, to nothing at 80 degC.
    Source: EN 1337-2:2004, 6.8; from memory.
    """
    hot = np.maximum(known_or_missing("temperature_c", temperature_c) - EN_FULL_STRENGTH_C, 0.0)
    share = np.maximum(1.0 - EN_LOSS_PER_K * hot, 0.0)
    return EN_STRENGTH_MPA[kinds("sheet", sheet, EnSheet)] * share / EN_PARTIAL_FACTOR


def edge_share(value: ArrayLike) -> Floats:
    """Return edge stress over mean stress, 1 to 20 (NaN: not known); others are refused."""
    over = known_or_missing("edge_to_mean_stress", value) - 1.0
    at_most_or_missing(
        "edge_to_mean_stress less 1", over, 19.0, "Give the edge stress over the mean stress."
    )
    return over + 1.0
