"""AASHTO LRFD 14.7.5.3.2 and 14.4.1: what a bearing or joint is designed to move.

65 % and h_rt >= 2 D_s read in published calculations, the rest from memory (medium to high);
arithmetic calc.
"""

import numpy as np
import pytest

from movement.allowances import with_allowances
from movement.standards import aashto_lrfd_9_bearing_shear as shear
from movement.standards import aashto_lrfd_9_temperature as aashto
from movement.temperature import DeckType
from movement.thermal_range import MovementDemand, length_change
from tests.published.source_units import MM_PER_FT, MM_PER_IN


@pytest.mark.parametrize(
    ("deck_type", "shortening_in", "shear_in", "rubber_in"),
    [
        # 300 ft, cold climate: 65 % of 3.510 and of 1.728 in; concrete shrinks by 408e-6 (see
        # test_aashto_lrfd_9_shortening), 1.469 in of 300 ft, by hand
        (DeckType.STEEL, 0.0, 2.282, 4.563),
        (DeckType.CONCRETE, 0.0, 1.123, 2.246),
        (DeckType.CONCRETE, 1.469, 2.592, 5.184),
    ],
)
def test_elastomer_needed_for_three_hundred_feet(deck_type, shortening_in, shear_in, rubber_in):
    extremes = aashto.procedure_a(aashto.Climate.COLD, deck_type)
    thermal = length_change(
        aashto.expansion_per_c(deck_type), 300.0 * MM_PER_FT, extremes.max_c - extremes.min_c
    )
    designed = shear.design_shear_mm(thermal, shortening_in * MM_PER_IN)
    assert float(designed) / MM_PER_IN == pytest.approx(shear_in, abs=0.00051)
    needed = shear.least_rubber_mm(designed)
    assert float(needed) / MM_PER_IN == pytest.approx(rubber_in, abs=0.0011)


@pytest.mark.parametrize(("movement_mm", "rubber_mm"), [(100.0, 200.0), (6.0, 12.0)])
def test_requirements_of_the_aisi_guide(movement_mm, rubber_mm):
    # AISI Steel Bridge Bearing Selection and Design Guide, II-4, table II-A, read; calc
    assert float(shear.least_rubber_mm(movement_mm)) == rubber_mm


def test_a_joint_takes_temperature_shortening_live_load_and_tolerance():
    # 14.4.1 names them (from memory, medium); invented figures, summed by hand.  Position of the
    # device: SCI P406 (2015), publisher's summary, read.
    thermal = MovementDemand(np.array(42.0), np.array(33.0))
    found = with_allowances(thermal, shortening_mm=15.0, live_load_mm=3.0, tolerance_mm=5.0)
    assert float(found.contraction_mm) == 65.0
    assert float(found.expansion_mm) == 41.0  # shortening still to come gives no room to close
    assert float(found.total_mm) == 106.0


def test_a_part_that_is_not_known_leaves_the_sum_not_known():
    thermal = MovementDemand(np.array([42.0, 42.0]), np.array([33.0, 33.0]))
    found = with_allowances(thermal, shortening_mm=[np.nan, 15.0])
    assert found.contraction_mm == pytest.approx([np.nan, 57.0], nan_ok=True)
    assert found.expansion_mm == pytest.approx([33.0, 33.0])
