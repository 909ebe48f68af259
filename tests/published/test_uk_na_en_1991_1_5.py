"""UK National Annex to BS EN 1991-1-5, NA.2: initial temperature by direction.

T0 = 10 degC for expansion and 20 degC for contraction; from memory, medium confidence,
so the pair is an input of each design and no constant.  The surfacing adjustments of
Table NA.1 stand in test_design_extremes.
"""

import pytest

from movement.standards import en_1991_1_5_2003 as en
from movement.temperature import DeckType
from movement.thermal_range import demand_from_setting

T0_EXPANSION_C, T0_CONTRACTION_C = 10.0, 20.0  # from memory, medium confidence


def test_contraction_and_expansion_start_from_their_own_temperature():
    # Type 2 at 300 m for 120 years: Te 35.47 / -17.08 (see test_en_1991_1_5_2003); calc:
    # expansion 25.47 K, contraction 37.08 K; 12e-6 x 100 m = 1.2 mm/K.
    extremes = en.design_extremes(DeckType.COMPOSITE, -17.0, 33.0, 300.0, 120.0)

    def demand(setting_c: float):
        return demand_from_setting(12e-6, 100e3, extremes, setting_c)

    rounding_mm = 1.2 * 0.005  # Te is given to 0.01 degC
    assert float(demand(T0_EXPANSION_C).expansion_mm) == pytest.approx(30.564, abs=rounding_mm)
    assert float(demand(T0_CONTRACTION_C).contraction_mm) == pytest.approx(44.496, abs=rounding_mm)
