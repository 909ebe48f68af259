"""From a bridge's basis to the design extremes of one of its units."""

from __future__ import annotations

from inventory.models import TemperatureBasis, Unit
from inventory.models.choices import BasisMethod, SurfacingRule
from inventory.station_records import StationRecords
from inventory.units import Dimension, System, to_shown
from movement.checks import finite
from movement.errors import InputError
from movement.standards import aashto_lrfd_9_temperature as aashto
from movement.standards import en_1991_1_5_2003 as en
from movement.standards.aashto_lrfd_9_procedure_b import procedure_b
from movement.standards.uk_na_en_1991_1_5_2007 import TABLE_NA_1
from movement.temperature import DeckType
from movement.thermal_range import BridgeExtremes

_SURFACING = {SurfacingRule.UK_NA: TABLE_NA_1}


def design_extremes(
    basis: TemperatureBasis | None, unit: Unit, records: StationRecords | None = None
) -> BridgeExtremes | None:
    """Return the extremes of effective temperature [degC], None where there is no basis.

    Whoever asks for many units gives one ``records`` to all calls, and has their ``section``
    selected with them.

    Raises
    ------
    movement.errors.InputError
        If the basis' figures lie outside what its standard covers, or something that it
        needs is not in the register.
    """
    if basis is None:
        return None
    deck_type = DeckType(unit.deck_type)
    if basis.method == BasisMethod.AASHTO_A:
        return aashto.procedure_a(aashto.Climate(basis.climate), deck_type)
    if basis.method == BasisMethod.AASHTO_B:
        return _from_maps(basis, deck_type)
    if basis.method == BasisMethod.EN_1991_1_5:
        extremes = en.design_extremes(
            deck_type,
            basis.shade_air_min_c,
            basis.shade_air_max_c,
            basis.bridge.altitude_m or 0.0,
            basis.return_period_years,
        )
        return _with_surfacing(basis, unit, extremes)
    if basis.method == BasisMethod.STATION:
        extremes = _from_station(basis, deck_type, records or StationRecords())
        return _with_surfacing(basis, unit, extremes)
    return BridgeExtremes(
        finite("entered_min_c", basis.entered_min_c),
        finite("entered_max_c", basis.entered_max_c),
        f"entered: {basis.source}",
    )


def _from_maps(basis: TemperatureBasis, deck_type: DeckType) -> BridgeExtremes:
    low_f, high_f = (
        to_shown(float(finite(name, getattr(basis, name))), Dimension.TEMPERATURE, System.US)[0]
        for name in ("map_min_c", "map_max_c")
    )
    extremes = procedure_b(deck_type, low_f, high_f)
    return BridgeExtremes(
        extremes.min_c, extremes.max_c, f"{extremes.source}; read off: {basis.source}"
    )


def _from_station(
    basis: TemperatureBasis, deck_type: DeckType, records: StationRecords
) -> BridgeExtremes:
    """Return Figure 6.1 of the station's own extremes: the site's climate is in them already."""
    station = basis.bridge.air_station
    if not station:
        raise InputError(
            "air_station",
            "is empty, and the basis takes the yearly extremes of the bridge's station",
            "Name the bridge's air temperature station, or choose another method for the basis.",
        )
    levels = records.levels(station, basis.return_period_years)
    extremes = en.uniform_temperature(deck_type, levels.min_c, levels.max_c)
    return BridgeExtremes(extremes.min_c, extremes.max_c, f"{extremes.source}; {levels.told}")


def _with_surfacing(
    basis: TemperatureBasis, unit: Unit, extremes: BridgeExtremes
) -> BridgeExtremes:
    if not basis.surfacing_rule:
        return extremes
    section = getattr(unit, "section", None)
    if section is None:
        raise InputError(
            "surfacing_mm",
            f"is not known, for unit {unit.code} has no section, and the basis adjusts for the"
            " depth of surfacing",
            "Enter the section of the unit with its surfacing, or empty the surfacing rule of"
            " the basis.",
        )
    rule = _SURFACING[SurfacingRule(basis.surfacing_rule)]
    return rule.adjusted(extremes, DeckType(unit.deck_type), section.surfacing_mm)
