"""Geometry of skewed and curved decks; rules from memory, high confidence, arithmetic calc.

Skewed: movement m along the girder opens the joint by m cos(s) and slips it by m sin(s);
the split is stated by the WSDOT Bridge Design Manual, chapter 9.1 (read).  Curved: every
free point moves on the chord from the fixed bearing.
"""

import pytest

from movement.expected import expected_line
from movement.geometry import offset_lever_across, offset_lever_along, path_from_fixed_point
from movement.inputs import Setting, Sides
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
