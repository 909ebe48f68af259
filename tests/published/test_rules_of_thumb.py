"""Rules of thumb for movement and for an error of temperature; calc from the stated rules.

Coefficients: 6.5e-6/F and 6.0e-6/F (AASHTO LRFD 6.4.1, 5.4.2.2), 12e-6 and 10e-6 /degC
(EN 1991-1-5, Table C.1).
"""

import pytest

from movement.expected import expected_line
from movement.inputs import Setting, Sides
from movement.standards import aashto_lrfd_9_temperature as aashto
from movement.standards import en_1991_1_5_2003 as en
from movement.temperature import DeckType
from movement.thermal_range import length_change
from tests.published.source_units import MM_PER_FT, MM_PER_IN


@pytest.mark.parametrize(
    ("deck_type", "movement_in"), [(DeckType.STEEL, 0.078), (DeckType.CONCRETE, 0.072)]
)
def test_a_hundred_feet_move_so_far_for_ten_degrees_fahrenheit(deck_type, movement_in):
    moved = length_change(aashto.expansion_per_c(deck_type), 100.0 * MM_PER_FT, 10.0 / 1.8)
    assert float(moved) / MM_PER_IN == pytest.approx(movement_in, abs=0.0005)


@pytest.mark.parametrize(
    ("deck_type", "movement_mm"), [(DeckType.STEEL, 12.0), (DeckType.CONCRETE, 10.0)]
)
def test_a_hundred_metres_move_so_far_for_ten_degrees(deck_type, movement_mm):
    moved = length_change(en.EXPANSION_PER_C[deck_type], 100e3, 10.0)
    assert float(moved) == pytest.approx(movement_mm, rel=1e-12)


@pytest.mark.parametrize(
    ("length_mm", "expansion_per_c", "error_k", "movement_mm", "rounding_mm"),
    [
        (100e3, 12e-6, 3.0, 3.6, 0.05),
        (100.0 * MM_PER_FT, 11.7e-6, 5.0 / 1.8, 0.039 * MM_PER_IN, 0.0005 * MM_PER_IN),
        (100e3, 11.7e-6, 1.0, 1.17, 0.005),
    ],
)
def test_an_error_of_the_section_mean_becomes_one_of_movement(
    length_mm, expansion_per_c, error_k, movement_mm, rounding_mm
):
    line = expected_line(Sides.of(length_mm, expansion_per_c), Setting.of(0.0, 10.0))
    u = line.standard_uncertainty(25.0, u_temperature_k=error_k)
    assert float(u) == pytest.approx(movement_mm, abs=rounding_mm)
