"""Missouri DOT, job special provision «Earthquake Restrainers», 2 September 2004, section 2.1.

A 3/4 in (19 mm) galvanized 6 x 19 rope of improved plow steel breaks at 23 tons (205 kN) at
least: read in a copy.  Beside it a table of such ropes (The Engineering ToolBox, «Wire Rope -
Strength»): bright, with a fibre core, 47 600 lbf: read.
"""

import numpy as np
import pytest

from movement.capacity import restraints
from movement.standards import modot_restrainers_2004 as modot
from tests.published.source_units import MM_PER_IN
from tests.published.us_force_units import KN_PER_KIP


@pytest.mark.parametrize("diameter_mm", [0.75 * MM_PER_IN, 19.0])
def test_a_cable_breaks_at_the_force_that_the_provision_prints(diameter_mm):
    # 23 short tons are 204.6 kN; the provision writes 205
    assert float(modot.cable_breaking_kn(diameter_mm)) == pytest.approx(205.0, abs=0.5)


def test_it_is_the_rope_of_the_table_with_a_steel_core_and_galvanized():
    # a steel core adds 7.5 %, galvanizing takes a tenth: both from memory, high
    as_galvanized = 47.6 * 1.075 * 0.90
    found = float(modot.cable_breaking_kn(0.75 * MM_PER_IN)) / KN_PER_KIP
    assert found == pytest.approx(as_galvanized, rel=0.005)


@pytest.mark.parametrize("diameter_in", [0.5, 0.70, 0.80, 1.0])
def test_no_other_size_is_given_its_strength(diameter_in):
    assert np.isnan(modot.cable_breaking_kn(diameter_in * MM_PER_IN))
    check = restraints.cables_stay_elastic(100.0, 4, diameter_in * MM_PER_IN)
    assert check.lacks() == ("cable_diameter_mm within range",)


def test_cables_yield_at_39_1_kip_each():
    # Californian practice for this cable: 39.1 kip; from memory, high
    check = restraints.cables_stay_elastic(5 * 39.1 * KN_PER_KIP, 10, 0.75 * MM_PER_IN)
    assert float(check.use) == pytest.approx(0.5, abs=0.0005)
