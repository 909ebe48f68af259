"""Hong Kong Structures Design Manual for Highways and Railways (2013), clause 3.5.

T0 = 30 degC for contraction and 10 degC for expansion, in place of EN 1991-1-5,
Annex A.1(3); provenance: read.  The extremes are invented input.
"""

import numpy as np
import pytest

from movement.thermal_range import BridgeExtremes, demand_from_setting

T0_CONTRACTION_C, T0_EXPANSION_C = 30.0, 10.0  # read


def test_contraction_and_expansion_start_from_their_own_temperature():
    extremes = BridgeExtremes(np.array(0.0), np.array(46.0), "invented")
    # 50 m of concrete at 10e-6: 0.5 mm/K; calc by hand: 30 K and 36 K
    contraction = demand_from_setting(10e-6, 50e3, extremes, T0_CONTRACTION_C).contraction_mm
    expansion = demand_from_setting(10e-6, 50e3, extremes, T0_EXPANSION_C).expansion_mm
    assert float(contraction) == pytest.approx(15.0, rel=1e-12)
    assert float(expansion) == pytest.approx(18.0, rel=1e-12)
