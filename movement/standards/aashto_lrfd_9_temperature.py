"""AASHTO LRFD Bridge Design Specifications, 9th edition (2020): uniform temperature.

The figures are from memory (high confidence) and stand as constants beside their
clause; the degF of the table is kept and converted exactly.
"""

from __future__ import annotations

from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from movement.checks import Floats, at_least_zero, finite, known_or_missing
from movement.errors import InputError
from movement.temperature import DeckType
from movement.thermal_range import BridgeExtremes

EDITION = "AASHTO LRFD, 9th ed. (2020)"


class Material(StrEnum):
    """Materials of Table 3.12.2.1-1; aluminium stands with steel."""

    STEEL = "steel"
    CONCRETE = "concrete"
    WOOD = "wood"


class Climate(StrEnum):
    """Climates of 3.12.2.1."""

    MODERATE = "moderate"
    COLD = "cold"


PROCEDURE_A_F = {
    # Table 3.12.2.1-1, "steel or aluminium", "concrete" and "wood" [degF]
    (Climate.MODERATE, Material.STEEL): (0.0, 120.0),
    (Climate.MODERATE, Material.CONCRETE): (10.0, 80.0),
    (Climate.MODERATE, Material.WOOD): (10.0, 75.0),
    (Climate.COLD, Material.STEEL): (-30.0, 120.0),
    (Climate.COLD, Material.CONCRETE): (0.0, 80.0),
    (Climate.COLD, Material.WOOD): (0.0, 75.0),
}

DAYS_OF_A_YEAR = 365
FREEZING_DAYS_OF_COLD_CLIMATE = 14  # 3.12.2.1: fewer a year is "moderate"
EXPANSION_CONCRETE_PER_F = 6.0e-6  # 5.4.2.2, normal weight
EXPANSION_LIGHTWEIGHT_PER_F = 5.0e-6  # 5.4.2.2, lightweight concrete
EXPANSION_STEEL_PER_F = 6.5e-6  # 6.4.1
LOAD_FACTOR_TU_DEFORMATION = 1.20  # Table 3.4.1-1, larger value, for deformations
BEARING_SHARE_OF_RANGE = 0.65  # 14.7.5.3.2, bearing not set at a controlled temperature


def celsius(temperature_f: ArrayLike) -> Floats:
    """Return a temperature point in degC from degF, exactly."""
    return (finite("temperature_f", temperature_f) - 32.0) / 1.8


def climate_from_freezing_days(freezing_days_per_year: ArrayLike) -> NDArray[np.str_]:
    """Class of climate from the number of days a year whose mean is below 32 degF.

    Source: AASHTO LRFD, 9th ed. (2020), 3.12.2.1.
    """
    days = finite(
        "freezing_days_per_year", at_least_zero("freezing_days_per_year", freezing_days_per_year)
    )
    if (days > 366).any():
        raise InputError(
            "freezing_days_per_year", f"{days.max():g} is more than a year has", "Give 0 to 366."
        )
    return np.where(days < FREEZING_DAYS_OF_COLD_CLIMATE, str(Climate.MODERATE), str(Climate.COLD))


def freezing_days_per_year(daily_mean_c: ArrayLike) -> float:
    """Days a year whose mean is below 32 degF, from at least a year of daily means.

    Parameters
    ----------
    daily_mean_c : array_like (days,)
        Mean air temperature of each day; NaN where not known [degC].

    Raises
    ------
    InputError
        With fewer than 365 known days: part of a year may hold all of its winter, or none.

    Notes
    -----
    Source: AASHTO LRFD, 9th ed. (2020), 3.12.2.1.
    """
    daily = known_or_missing("daily_mean_c", daily_mean_c)
    known = int((~np.isnan(daily)).sum())
    if known < DAYS_OF_A_YEAR:
        raise InputError(
            "daily_mean_c",
            f"has {known} known days",
            f"Give {DAYS_OF_A_YEAR} or more, whole years.",
        )
    return float((daily < 0.0).sum() / known * DAYS_OF_A_YEAR)


def procedure_a(climate: Climate, deck_type: DeckType) -> BridgeExtremes:
    """Design extremes of the bridge temperature by procedure A.

    Parameters
    ----------
    climate : Climate
    deck_type : DeckType
        A composite deck takes the figures of its steel girders.

    Returns
    -------
    BridgeExtremes [degC]

    Notes
    -----
    Source: AASHTO LRFD, 9th ed. (2020), Table 3.12.2.1-1.
    """
    concrete = deck_type == DeckType.CONCRETE
    return procedure_a_of(climate, Material.CONCRETE if concrete else Material.STEEL)


def procedure_a_of(climate: Climate, material: Material) -> BridgeExtremes:
    """Design extremes by procedure A for a material of the table, wood among them [degC].

    Source: AASHTO LRFD, 9th ed. (2020), Table 3.12.2.1-1.
    """
    low_f, high_f = PROCEDURE_A_F[Climate(climate), Material(material)]
    return BridgeExtremes(
        celsius(low_f),
        celsius(high_f),
        f"{EDITION}, 3.12.2.1 procedure A, {Material(material)}, {Climate(climate)} climate",
    )


def expansion_per_c(deck_type: DeckType) -> float:
    """Coefficient of thermal expansion [1/degC].

    Source: AASHTO LRFD, 9th ed. (2020), 5.4.2.2 (concrete) and 6.4.1 (steel).
    """
    per_f = EXPANSION_CONCRETE_PER_F if deck_type == DeckType.CONCRETE else EXPANSION_STEEL_PER_F
    return per_f * 1.8


def concrete_expansion_per_c(lightweight: bool) -> float:
    """Coefficient of normal-weight or of lightweight concrete, without tests [1/degC].

    Source: AASHTO LRFD, 9th ed. (2020), 5.4.2.2.
    """
    return (EXPANSION_LIGHTWEIGHT_PER_F if lightweight else EXPANSION_CONCRETE_PER_F) * 1.8
