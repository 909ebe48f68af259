"""Rolling geometry of rockers and rollers; from memory, arithmetic calc.

Rocker whose top is pinned at the centre of its curved face: theta = D / R.  Roller between
flats: D = 2 R theta.  Angles are given to 0.01 deg.
"""

import pytest

from movement.expected import expected_line
from movement.geometry import tilt_lever
from movement.inputs import Setting, Sides
from tests.published.source_units import MM_PER_FT, MM_PER_IN, celsius, per_celsius

ROUNDING_DEG = 0.005
RADIUS_MM = 12.0 * MM_PER_IN


def test_a_twelve_inch_rocker_tilts_4_77_degrees_for_an_inch():
    assert float(tilt_lever(1.0 * MM_PER_IN, RADIUS_MM)) == pytest.approx(4.77, abs=ROUNDING_DEG)


def test_a_twelve_inch_roller_turns_half_as_far():
    turned = tilt_lever(1.0 * MM_PER_IN, 2.0 * RADIUS_MM)
    assert float(turned) == pytest.approx(2.39, abs=ROUNDING_DEG)


def test_rocker_of_200_feet_of_steel_from_68_to_120_degrees_fahrenheit():
    # 0.811 in, 3.87 deg; calc.  68 degF upright: FHWA bridge inspection manual, from memory.
    sides = Sides.of(tilt_lever(200.0 * MM_PER_FT, RADIUS_MM), per_celsius(6.5e-6))
    line = expected_line(sides, Setting.of(0.0, celsius(68.0)))
    assert float(line.value(celsius(120.0))) == pytest.approx(3.87, abs=ROUNDING_DEG)
    along = expected_line(
        Sides.of(200.0 * MM_PER_FT, per_celsius(6.5e-6)), Setting.of(0.0, celsius(68.0))
    )
    assert float(along.value(celsius(120.0))) / MM_PER_IN == pytest.approx(0.811, abs=0.0005)
