"""Florida DOT, Structures Design Guidelines, temperature table: composite deck.

Mean 70 degF; concrete +/-35, concrete deck on steel +/-40 (30..110), all steel 30..120 degF.
From memory, medium confidence; arithmetic calc, given to 0.001 in.
"""

import pytest

from movement.standards import fdot_sdg_temperature as fdot
from movement.temperature import DeckType
from movement.thermal_range import demand_from_setting
from tests.published.source_units import MM_PER_FT, MM_PER_IN, celsius, per_celsius


@pytest.mark.parametrize(("factor", "fall_in"), [(1.0, 0.936), (1.2, 1.123)])
def test_300_feet_of_composite_deck_fall_by_40_degrees(factor, fall_in):
    extremes = fdot.design_extremes(DeckType.COMPOSITE)
    demand = demand_from_setting(
        per_celsius(6.5e-6), 300.0 * MM_PER_FT, extremes, celsius(fdot.MEAN_F), factor=factor
    )
    assert float(demand.contraction_mm) / MM_PER_IN == pytest.approx(fall_in, abs=0.0005)


@pytest.mark.parametrize(
    ("deck_type", "low_f", "high_f"),
    [
        (DeckType.CONCRETE, 35.0, 105.0),
        (DeckType.COMPOSITE, 30.0, 110.0),
        (DeckType.STEEL, 30.0, 120.0),
    ],
)
def test_range_of_each_deck(deck_type, low_f, high_f):
    extremes = fdot.design_extremes(deck_type)
    found = float(extremes.min_c), float(extremes.max_c)
    assert found == pytest.approx((celsius(low_f), celsius(high_f)))
    assert "verify" in extremes.source
