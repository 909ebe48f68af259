"""Education site, "Bridge bearings and joints", problem 1: a steel span of 80 m.

-30 to 50 degC, installed at 15 degC, 11.7e-6 /degC.  Inputs read, arithmetic done here:
the page hides its solution.  Given to 0.1 mm.
"""

import numpy as np
import pytest

from movement.expected import expected_line
from movement.inputs import Setting, Sides
from movement.thermal_range import BridgeExtremes, demand_from_setting

ROUNDING_MM = 0.05


def test_total_expansion_and_contraction():
    extremes = BridgeExtremes(np.array(-30.0), np.array(50.0), "problem 1")
    demand = demand_from_setting(11.7e-6, 80e3, extremes, 15.0)
    assert float(demand.total_mm) == pytest.approx(74.9, abs=ROUNDING_MM)
    assert float(demand.expansion_mm) == pytest.approx(32.8, abs=ROUNDING_MM)
    assert float(demand.contraction_mm) == pytest.approx(42.1, abs=ROUNDING_MM)


def test_the_free_bearing_is_expected_to_stand_there_at_both_extremes():
    line = expected_line(Sides.of(80e3, 11.7e-6), Setting.of(0.0, 15.0))
    assert line.value([50.0, -30.0]) == pytest.approx([32.8, -42.1], abs=ROUNDING_MM)
