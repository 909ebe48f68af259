"""Geometry of skewed and curved decks; rules from memory, high confidence, arithmetic calc.

Skewed: movement m along the girder opens the joint by m cos(s) and slips it by m sin(s);
the split is stated by the WSDOT Bridge Design Manual, chapter 9.1 (read).  Curved: every
free point moves on the chord from the fixed bearing.
"""

import numpy as np
import pytest

from movement.expected import expected_line
from movement.geometry import offset_lever_across, offset_lever_along, path_from_fixed_point
from movement.inputs import Setting, Sides
from movement.plan_movement import hindered_by_guide_mm, movement_in_plan
from tests.published.joint_at_abutment import gap_sides, racking_sides


@pytest.mark.parametrize(
    ("movement", "skew_deg", "normal", "parallel", "rounding"),
    [
        (50.0, 30.0, 43.3, 25.0, 0.05),  # mm, given to 0.1
        (2.0, 30.0, 1.732, 1.000, 0.0005),  # in, given to 0.001
    ],
)
def test_movement_at_a_skewed_joint_splits(movement, skew_deg, normal, parallel, rounding):
    # A strain of 1e-3 over 1000 times the movement: 100 K of warming at 1e-5.
    length, per_c = movement * 1000.0, 1e-5
    setting = Setting.of(0.0, 0.0)
    gap = expected_line(gap_sides(length, per_c, skew_deg), setting)
    slip = expected_line(racking_sides(length, per_c, skew_deg), setting)
    assert float(gap.value(100.0)) == pytest.approx(-normal, abs=rounding)
    assert float(slip.value(100.0)) == pytest.approx(parallel, abs=rounding)


def test_a_curved_deck_moves_along_its_chord():
    # R 500 m, arc 200 m: chord 198.67 m
    path = path_from_fixed_point(200.0, 0.0, 500.0)
    assert float(path.distance_mm) / 1000.0 == pytest.approx(198.67, abs=0.005)


def test_a_curved_deck_moves_by_the_strain_of_its_chord_not_of_its_arc():
    path = path_from_fixed_point(200.0, 0.0, 500.0)
    setting = Setting.of(0.0, 0.0)
    along, across = (
        expected_line(Sides.of(lever(path), 1e-5), setting).value(100.0)
        for lever in (offset_lever_along, offset_lever_across)
    )
    assert float((along**2 + across**2) ** 0.5) == pytest.approx(198.67, abs=0.005)


class TestWideSkewedDeck:
    """Every free point moves on its line from the fixed point; from memory, high, calc.

    That the direction is not the one usually assumed: Moorty and Roeder (1992), abstract, read.
    """

    def test_it_grows_across_as_well_as_along(self):
        # 60 m along, 10 m to the left, 1e-5, 30 K: 18 and 3 mm, 18.25 mm at 9.46 deg
        found = movement_in_plan(60.0, 10.0, 1e-5, 30.0)
        assert (float(found.along_mm), float(found.across_mm)) == pytest.approx((18.0, 3.0))
        assert float(found.size_mm) == pytest.approx(18.248, abs=0.0005)
        assert float(found.direction_deg) == pytest.approx(9.462, abs=0.0005)

    def test_the_acute_corner_moves_most(self):
        # 60 m deck, 10 m wide, skew 30: corners 5 tan(30) = 2.887 m before and behind the end
        acute = movement_in_plan(62.887, -5.0, 1e-5, 100.0).size_mm
        obtuse = movement_in_plan(57.113, 5.0, 1e-5, 100.0).size_mm
        assert float(acute) == pytest.approx(63.09, abs=0.005)
        assert float(obtuse) == pytest.approx(57.33, abs=0.005)

    def test_a_second_guide_on_the_same_line_locks_the_deck(self):
        # guided bearings at 0 and 8 m across, both guides along the deck: 8 mm have no way out
        line = movement_in_plan([40.0, 40.0], [0.0, 8.0], 1e-5, 100.0)
        assert hindered_by_guide_mm(line, 0.0) == pytest.approx([0.0, 8.0])

    def test_a_place_that_is_not_known_has_no_movement_and_the_fixed_point_no_direction(self):
        found = movement_in_plan([0.0, np.nan], 0.0, 1e-5, 30.0)
        assert found.size_mm == pytest.approx([0.0, np.nan], nan_ok=True)
        assert np.isnan(found.direction_deg).all()


class TestGuidesOfACurvedDeck:
    """R 500 m, arc 200 m: chord 198.67 m.

    SCI, Steel Designers' Manual, 6th ed., p. 858 (read): guides aimed radially at the fixed
    point, or tangential to the curve.
    """

    movement = movement_in_plan(500.0 * np.sin(0.4), 500.0 * (1.0 - np.cos(0.4)), 1e-5, 100.0)

    def test_it_moves_along_the_chord(self):
        assert float(self.movement.size_mm) == pytest.approx(198.67, abs=0.005)

    def test_guides_aimed_at_the_fixed_point_hinder_nothing(self):
        assert float(hindered_by_guide_mm(self.movement, np.degrees(0.2))) == pytest.approx(
            0.0, abs=1e-9
        )

    def test_guides_along_the_curve_hinder_a_part(self):
        # by hand: 198.669 sin(0.2 rad) = 39.47 mm, towards the centre of the curve
        hindered = hindered_by_guide_mm(self.movement, np.degrees(0.4))
        assert float(hindered) == pytest.approx(-39.47, abs=0.005)
