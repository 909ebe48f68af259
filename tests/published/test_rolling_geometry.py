"""Rolling geometry of rockers and rollers; from memory, arithmetic calc.

Rocker whose top is pinned at the centre of its curved face: theta = D / R.  Roller between
flats: D = 2 R theta.  Angles are given to 0.01 deg.
"""

import numpy as np
import pytest

from movement.capacity.rocker_geometry import pin_travel_mm, tilt_of_pin_travel_deg
from movement.errors import InputError
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


@pytest.mark.parametrize(("along_ft", "away"), [(200.0, 1.0), (-200.0, -1.0)])
def test_a_rocker_leans_away_from_the_fixed_point_when_hotter_and_towards_it_when_colder(
    along_ft, away
):
    # FHWA bridge inspection manual, bearings; from memory, high: upright at 68 degF
    sides = Sides.of(tilt_lever(along_ft * MM_PER_FT, RADIUS_MM), per_celsius(6.5e-6))
    line = expected_line(sides, Setting.of(0.0, celsius(68.0)))
    hot, upright, cold = line.value([celsius(each) for each in (100.0, 68.0, 20.0)])
    assert hot * away > 0.0 > cold * away
    assert upright == pytest.approx(0.0)


class TestPinAboveOrBelowTheCentre:
    """d = R theta + (H - R) sin theta, R the radius, H the height of the pin; calc."""

    def test_a_pin_at_the_centre_of_curvature_travels_the_arc(self):
        # 0.811 in, R = H = 12 in: 0.0676 rad = 3.87 deg
        travel = 0.811 * MM_PER_IN
        tilt = tilt_of_pin_travel_deg(travel, RADIUS_MM, RADIUS_MM)
        assert float(tilt) == pytest.approx(3.87, abs=ROUNDING_DEG)
        assert float(np.radians(tilt)) == pytest.approx(0.0676, abs=5e-5)
        assert float(tilt) == pytest.approx(float(tilt_lever(travel, RADIUS_MM)))

    @pytest.mark.parametrize(
        ("height_in", "travel_in"),
        # by hand at 0.1 rad, sine 0.0998334: 1.2 - 0.19967; 1.2 + 0.29950
        [(10.0, 1.00033), (15.0, 1.49950)],
    )
    def test_a_pin_off_the_centre(self, height_in, travel_in):
        tilt = np.degrees(0.1)
        height = height_in * MM_PER_IN
        travel = pin_travel_mm(tilt, RADIUS_MM, height)
        assert float(travel) / MM_PER_IN == pytest.approx(travel_in, abs=5e-6)
        back = tilt_of_pin_travel_deg([travel, -travel, np.nan], RADIUS_MM, height)
        assert back == pytest.approx([tilt, -tilt, np.nan], abs=1e-9, nan_ok=True)

    def test_no_rocker_rolls_over(self):
        with pytest.raises(InputError, match="tilt_deg: 85 deg is beyond 80"):
            pin_travel_mm(85.0, RADIUS_MM, RADIUS_MM)
        assert np.isnan(tilt_of_pin_travel_deg(10.0 * RADIUS_MM, RADIUS_MM, RADIUS_MM))
