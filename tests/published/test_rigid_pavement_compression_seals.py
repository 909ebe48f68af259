"""US DOT on-line publication, "Chapter 3 Rigid Pavement": compression seal examples.

Example A (p. 3.3.7) and B (p. 3.3.8); FHWA origin assumed.  Read, checked.  Subgrade
friction C = 0.8, 5.5e-6/F, 14 to 90 degF, shrinkage 1e-4; slabs of 60 and 30 ft.  A pavement
joint, with the same arithmetic as a deck's.  Seal and groove widths are not computed.
"""

import pytest

from movement.expected import expected_line
from movement.inputs import Setting
from tests.published.joint_at_abutment import gap_sides
from tests.published.source_units import MM_PER_FT, MM_PER_IN, celsius, per_celsius

FRICTION = 0.8
SHRINKAGE = 1e-4
ROUNDING_IN = 0.005  # printed to 0.01 in


@pytest.mark.parametrize(("slab_ft", "movement_in"), [(60.0, 0.30), (30.0, 0.15)])
def test_joint_opens_by_cooling_and_shrinkage(slab_ft, movement_in):
    free_mm = FRICTION * slab_ft * MM_PER_FT
    sides = gap_sides(free_mm, per_celsius(5.5e-6), shortening=SHRINKAGE)
    line = expected_line(sides, Setting.of(0.0, celsius(90.0)))
    opening_in = float(line.value(celsius(14.0))) / MM_PER_IN
    assert opening_in == pytest.approx(movement_in, abs=ROUNDING_IN)


def test_example_a_to_its_third_decimal():
    sides = gap_sides(FRICTION * 60.0 * MM_PER_FT, per_celsius(5.5e-6), shortening=SHRINKAGE)
    line = expected_line(sides, Setting.of(0.0, celsius(90.0)))
    assert float(line.value(celsius(14.0))) / MM_PER_IN == pytest.approx(0.298, abs=0.0005)
