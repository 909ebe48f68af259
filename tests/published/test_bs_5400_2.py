"""BS 5400-2:1978 and BD 37, thermal movement of older UK decks.

12e-6 /degC, 1.3 and 1.1 read in a worked example of BD 30; 9e-6 for limestone aggregate and
the serviceability factor 1.0 from memory (high); arithmetic calc, given to 0.01 mm.
"""

import numpy as np
import pytest

from movement.standards import bs_5400_2_1978 as bs
from movement.standards.bs_5400_2_1978 import LimitState
from movement.thermal_range import BridgeExtremes, demand_from_setting


@pytest.mark.parametrize(
    ("limit_state", "per_c", "contraction_mm"),
    [
        # 100 m from 10 to -10 degC: 24.0 mm, limestone 18.0 mm; x 1.43, x 1.1
        (LimitState.ULTIMATE, bs.EXPANSION_PER_C, 34.32),
        (LimitState.SERVICEABILITY, bs.EXPANSION_PER_C, 26.40),
        (LimitState.SERVICEABILITY, bs.EXPANSION_LIMESTONE_PER_C, 19.80),
    ],
)
def test_design_movement_of_a_hundred_metres(limit_state, per_c, contraction_mm):
    extremes = BridgeExtremes(np.array(-10.0), np.array(36.0), "entered")
    factor = bs.movement_factor(limit_state)
    demand = demand_from_setting(per_c, 100e3, extremes, 10.0, factor=factor)
    assert float(demand.contraction_mm) == pytest.approx(contraction_mm, abs=0.005)
