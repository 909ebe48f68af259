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
from movement.uncertainty import from_accuracy
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


def test_an_inch_and_a_quarter_for_a_hundred_feet_is_steel_over_160_degrees_fahrenheit():
    # Older structural steel handbook, bearings (a copy, read)
    moved = length_change(aashto.expansion_per_c(DeckType.STEEL), 100.0 * MM_PER_FT, 160.0 / 1.8)
    assert float(moved) / MM_PER_IN == pytest.approx(1.25, abs=0.005)


def test_three_quarters_of_an_inch_for_a_hundred_feet_and_a_hundred_degrees_fahrenheit():
    for deck_type in (DeckType.STEEL, DeckType.CONCRETE):
        moved = length_change(aashto.expansion_per_c(deck_type), 100.0 * MM_PER_FT, 100.0 / 1.8)
        assert float(moved) / MM_PER_IN == pytest.approx(0.75, abs=0.035)


def test_the_tolerance_of_a_reading_adds_in_quadrature():
    # 50 m of concrete at 25 K from the setting, by hand: coefficient 10e-6 within 7 to 13e-6,
    # u = 3e-6 / sqrt(3): 50e3 x 25 x 1.7321e-6 = 2.165 mm; temperature 3 K: 1.5 mm; tape
    # 2 mm / sqrt(3) = 1.155 mm; reference gap 1.0 mm.  Root of 4.688 + 2.25 + 1.333 + 1.0.
    u_alpha, u_tape = from_accuracy([3e-6, 2.0])
    sides = Sides.of(50e3, 10e-6, 0.0, 0.0, u_alpha)
    line = expected_line(sides, Setting.of(0.0, 10.0, u_value=1.0))
    u = line.standard_uncertainty(35.0, u_temperature_k=3.0, u_reading=float(u_tape))
    assert float(u) == pytest.approx(3.0447, abs=0.0005)
