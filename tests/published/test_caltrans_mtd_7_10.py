"""Caltrans, Memo to Designers 7-10 style: movement of a post-tensioned deck.

250 ft, 80 degF, 6e-6/F; shortening 0.63 in per 100 ft for post-tensioned concrete.  From
memory, medium confidence; arithmetic calc, given to 0.01 in.
"""

import pytest

from movement.expected import expected_line
from movement.inputs import Setting
from movement.standards import caltrans_mtd_7_10 as caltrans
from movement.standards.caltrans_mtd_7_10 import Construction
from movement.thermal_range import length_change
from tests.published.joint_at_abutment import gap_sides
from tests.published.source_units import MM_PER_FT, MM_PER_IN, per_celsius

LENGTH_MM = 250.0 * MM_PER_FT
PER_C = per_celsius(6e-6)
FALL_K = 80.0 / 1.8
ROUNDING_IN = 0.0051  # 1.575 and 3.015 lie on the edge of the printed digit


def test_thermal_part():
    movement_in = float(length_change(PER_C, LENGTH_MM, FALL_K)) / MM_PER_IN
    assert movement_in == pytest.approx(1.44, abs=ROUNDING_IN)


def test_shortening_opens_the_joint_and_adds_to_a_fall_of_temperature():
    strain = 0.63 / (100.0 * 12.0)
    line = expected_line(gap_sides(LENGTH_MM, PER_C, shortening=strain), Setting.of(0.0, 20.0))
    opening_in = line.value([20.0, 20.0 - FALL_K]) / MM_PER_IN
    assert opening_in == pytest.approx([1.58, 3.02], abs=ROUNDING_IN)


@pytest.mark.parametrize(
    ("construction", "hundred_feet_in"),
    [
        (Construction.STEEL, 0.0),
        (Construction.REINFORCED, 0.06),
        (Construction.PRETENSIONED, 0.12),
        (Construction.POST_TENSIONED, 0.63),
    ],
)
def test_each_construction_has_its_shortening(construction, hundred_feet_in):
    found = caltrans.shortening_mm(construction, [100.0 * MM_PER_FT, LENGTH_MM]) / MM_PER_IN
    assert found == pytest.approx([hundred_feet_in, 2.5 * hundred_feet_in])


def test_rating_is_rounded_up_to_half_an_inch_unless_the_engineer_accepts_the_excess():
    # 1.44 + 1.58 = 3.02 in: 3.5 in; 3.0 in only where 0.02 in is accepted
    thermal = length_change(PER_C, LENGTH_MM, FALL_K)
    shortening = caltrans.shortening_mm(Construction.POST_TENSIONED, LENGTH_MM)
    rating = caltrans.movement_rating_mm(thermal, shortening)
    assert float(rating) / MM_PER_IN == pytest.approx(3.5)
    accepted = caltrans.movement_rating_mm(thermal, shortening, 0.02 * MM_PER_IN)
    assert float(accepted) / MM_PER_IN == pytest.approx(3.0)
    too_little = caltrans.movement_rating_mm(thermal, shortening, 0.01 * MM_PER_IN)
    assert float(too_little) / MM_PER_IN == pytest.approx(3.5)
