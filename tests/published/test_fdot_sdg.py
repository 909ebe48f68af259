"""Florida DOT, Structures Design Guidelines, temperature table: composite deck.

Mean 70 degF, concrete deck on steel +/-40 (30..110 degF).  From memory, medium confidence;
arithmetic calc, given to 0.001 in.
"""

import numpy as np
import pytest

from movement.thermal_range import BridgeExtremes, demand_from_setting
from tests.published.source_units import MM_PER_FT, MM_PER_IN, celsius, per_celsius


@pytest.mark.parametrize(("factor", "fall_in"), [(1.0, 0.936), (1.2, 1.123)])
def test_300_feet_of_composite_deck_fall_by_40_degrees(factor, fall_in):
    extremes = BridgeExtremes(np.array(celsius(30.0)), np.array(celsius(110.0)), "SDG")
    demand = demand_from_setting(
        per_celsius(6.5e-6), 300.0 * MM_PER_FT, extremes, celsius(70.0), factor=factor
    )
    assert float(demand.contraction_mm) / MM_PER_IN == pytest.approx(fall_in, abs=0.0005)
