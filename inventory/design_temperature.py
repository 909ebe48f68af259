"""From a bridge's basis to the design extremes of one of its units."""

from inventory.models import TemperatureBasis, Unit
from inventory.models.choices import BasisMethod
from movement.checks import finite
from movement.standards import aashto_lrfd_9_temperature as aashto
from movement.standards import en_1991_1_5_2003 as en
from movement.temperature import DeckType
from movement.thermal_range import BridgeExtremes


def design_extremes(basis: TemperatureBasis | None, unit: Unit) -> BridgeExtremes | None:
    """Return the extremes of effective temperature [degC], None where there is no basis.

    Raises
    ------
    movement.errors.InputError
        If the basis' figures lie outside what its standard covers.
    """
    if basis is None:
        return None
    deck_type = DeckType(unit.deck_type)
    if basis.method == BasisMethod.AASHTO_A:
        return aashto.procedure_a(aashto.Climate(basis.climate), deck_type)
    if basis.method == BasisMethod.EN_1991_1_5:
        return en.design_extremes(
            deck_type,
            basis.shade_air_min_c,
            basis.shade_air_max_c,
            basis.bridge.altitude_m or 0.0,
            basis.return_period_years,
        )
    return BridgeExtremes(
        finite("entered_min_c", basis.entered_min_c),
        finite("entered_max_c", basis.entered_max_c),
        f"entered: {basis.source}",
    )
