"""EN 1991-1-5:2003, thermal actions: uniform bridge temperature and movement ranges.

Figure 6.1 is taken as its straight-line offsets.  National annexes replace several of
these values; what an annex says is entered with the bridge's basis.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from movement.checks import Floats, finite, known_or_missing
from movement.errors import InputError
from movement.temperature import DeckType
from movement.thermal_range import BridgeExtremes

EDITION = "EN 1991-1-5:2003"

OFFSETS_K = {
    # Figure 6.1: added to the shade air extremes (min, max) [K]
    DeckType.STEEL: (-3.0, 16.0),
    DeckType.COMPOSITE: (4.0, 4.0),
    DeckType.CONCRETE: (8.0, 2.0),
}
PLOTTED_MIN_C = (-50.0, 0.0)  # range of T_min in Figure 6.1, from memory
PLOTTED_MAX_C = (20.0, 50.0)  # range of T_max in Figure 6.1, from memory

LAPSE_MIN_K_PER_100_M = 0.5  # Annex A.1, note, from memory
LAPSE_MAX_K_PER_100_M = 1.0
K1, K2, K3, K4 = 0.781, 0.056, 0.393, -0.156  # Annex A.2
REFERENCE_RETURN_PERIOD_YEARS = 50.0
DEFAULT_T0_C = 10.0  # Annex A.1(3), where nothing is known; from memory
ALLOWANCE_K = 20.0  # 6.1.3.3(3) note 2, from memory
ALLOWANCE_SET_TEMPERATURE_K = 10.0  # the same, setting temperature specified
TRUSS_REDUCTION_K = 3.0  # Figure 6.1, note: type 1 plate girders and trusses; from memory
EXPANSION_PER_C = {
    # Table C.1; a composite deck moves with its steel girders; from memory
    DeckType.STEEL: 12e-6,
    DeckType.COMPOSITE: 12e-6,
    DeckType.CONCRETE: 10e-6,
}


def shade_air_at_altitude(
    min_c: ArrayLike, max_c: ArrayLike, altitude_m: ArrayLike
) -> tuple[Floats, Floats]:
    """Shade air extremes (min, max) at a site from those at sea level [degC].

    Source: EN 1991-1-5:2003, Annex A.1, note; from memory.
    """
    hundreds = finite("altitude_m", altitude_m) / 100.0
    return (
        finite("shade_air_min_c", min_c) - LAPSE_MIN_K_PER_100_M * hundreds,
        finite("shade_air_max_c", max_c) - LAPSE_MAX_K_PER_100_M * hundreds,
    )


def shade_air_for_return_period(
    min_c: ArrayLike, max_c: ArrayLike, return_period_years: ArrayLike
) -> tuple[Floats, Floats]:
    """Shade air extremes (min, max) for another return period than 50 years [degC].

    Parameters
    ----------
    min_c, max_c : array_like
        50-year extremes at the site [degC].
    return_period_years : array_like
        1 / p, above 1 [years].

    Raises
    ------
    InputError
        If the minimum is not below, or the maximum not above, 0 degC: the rule
        multiplies, and means nothing there.

    Notes
    -----
    T_max,p = T_max [k1 - k2 ln(-ln(1 - p))], T_min,p = T_min [k3 + k4 ln(-ln(1 - p))].
    The factor for 50 years is 0.9995 and 1.0017, not exactly 1.
    Source: EN 1991-1-5:2003, Annex A.2.
    """
    years = finite("return_period_years", return_period_years)
    if (years <= 1.0).any():
        raise InputError(
            "return_period_years", f"{years.min():g} is not above 1", "Give years, 50 or 120."
        )
    low, high = finite("shade_air_min_c", min_c), finite("shade_air_max_c", max_c)
    if (low >= 0.0).any():
        raise InputError(
            "shade_air_min_c",
            f"{low.max():g} degC is not below 0 degC, where the rule for other return periods"
            " breaks down",
            "Enter the minimum for that return period and leave the period at 50 years.",
        )
    if (high <= 0.0).any():
        raise InputError(
            "shade_air_max_c", f"{high.min():g} degC is not above 0 degC", "Check sign and unit."
        )
    reduced = np.log(-np.log(1.0 - 1.0 / years))
    return low * (K3 + K4 * reduced), high * (K1 - K2 * reduced)


def uniform_temperature(
    deck_type: DeckType, shade_air_min_c: ArrayLike, shade_air_max_c: ArrayLike
) -> BridgeExtremes:
    """Uniform bridge temperature extremes T_e,min and T_e,max.

    Parameters
    ----------
    deck_type : DeckType
        Type 1 steel, 2 composite, 3 concrete.
    shade_air_min_c, shade_air_max_c : array_like
        Shade air extremes at the site for the return period [degC].

    Raises
    ------
    InputError
        Outside the plotted range of the figure: it is not extrapolated.

    Notes
    -----
    Source: EN 1991-1-5:2003, 6.1.3.1, Figure 6.1.
    """
    low, high = (
        finite("shade_air_min_c", shade_air_min_c),
        finite("shade_air_max_c", shade_air_max_c),
    )
    _within("shade_air_min_c", low, PLOTTED_MIN_C)
    _within("shade_air_max_c", high, PLOTTED_MAX_C)
    offset_min, offset_max = OFFSETS_K[DeckType(deck_type)]
    return BridgeExtremes(
        low + offset_min, high + offset_max, f"{EDITION}, 6.1.3.1, Figure 6.1, {deck_type} deck"
    )


def reduced_for_trusses(steel: BridgeExtremes) -> BridgeExtremes:
    """Extremes of a steel truss or plate girder deck: the maximum of type 1 less 3 K.

    Notes
    -----
    Source: EN 1991-1-5:2003, Figure 6.1, note, from memory (high): it "may" be taken.
    """
    return BridgeExtremes(
        steel.min_c,
        steel.max_c - TRUSS_REDUCTION_K,
        f"{steel.source}, less {TRUSS_REDUCTION_K:g} K at the maximum (truss or plate girders)",
    )


def initial_temperature_c(construction_air_c: ArrayLike) -> float:
    """T0 where it cannot be foreseen: the mean over the construction period [degC].

    Parameters
    ----------
    construction_air_c : array_like
        Regular shade air temperatures of that period, NaN where not known; none at all
        gives 10 degC [degC].

    Notes
    -----
    Source: EN 1991-1-5:2003, Annex A.1(3), from memory (high).
    """
    air = known_or_missing("construction_air_c", construction_air_c)
    known = air[~np.isnan(air)]
    return float(known.mean()) if known.size else DEFAULT_T0_C


def design_extremes(
    deck_type: DeckType,
    sea_level_min_c: float,
    sea_level_max_c: float,
    altitude_m: float = 0.0,
    return_period_years: float = REFERENCE_RETURN_PERIOD_YEARS,
) -> BridgeExtremes:
    """Extremes from 50-year sea-level shade air temperatures: altitude, period, figure.

    Notes
    -----
    At 50 years the entered extremes are used as they are.
    Source: EN 1991-1-5:2003, Annex A.1, A.2 and 6.1.3.1.
    """
    low, high = shade_air_at_altitude(sea_level_min_c, sea_level_max_c, altitude_m)
    if return_period_years != REFERENCE_RETURN_PERIOD_YEARS:
        low, high = shade_air_for_return_period(low, high, return_period_years)
    extremes = uniform_temperature(deck_type, low, high)
    return BridgeExtremes(
        extremes.min_c,
        extremes.max_c,
        f"{extremes.source}, {return_period_years:g}-year shade air extremes"
        f" {float(low):.1f} and {float(high):.1f} degC at {altitude_m:g} m",
    )


def allowance_k(setting_temperature_specified: ArrayLike) -> Floats:
    """S, added to both ranges when a bearing or joint is designed [K].

    Source: EN 1991-1-5:2003, 6.1.3.3(3), note 2, recommended values; from memory.
    """
    return np.where(
        np.asarray(setting_temperature_specified, dtype=bool),
        ALLOWANCE_SET_TEMPERATURE_K,
        ALLOWANCE_K,
    )


def _within(field: str, values: Floats, bounds: tuple[float, float]) -> None:
    low, high = bounds
    outside = values[(values < low) | (values > high)]
    if outside.size:
        raise InputError(
            field,
            f"{outside[0]:g} degC is outside {low:g} to {high:g} degC, the range of Figure 6.1",
            "Enter the bridge's design extremes with their source instead.",
        )
