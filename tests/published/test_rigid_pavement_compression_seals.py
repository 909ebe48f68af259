"""US DOT on-line publication, "Chapter 3 Rigid Pavement": compression seal examples.

Example A (p. 3.3.7) and B (p. 3.3.8); FHWA origin assumed.  Read, checked.  Subgrade
friction C = 0.8, 5.5e-6/F, 14 to 90 degF, shrinkage 1e-4; slabs of 60 and 30 ft.  A pavement
joint, with the same arithmetic as a deck's.  The seal works between 20 and 55 % compression.
"""

import numpy as np
import pytest

from movement.errors import InputError
from movement.expected import expected_line
from movement.inputs import Setting
from movement.sizing import smallest_size_mm
from movement.standards import fhwa_pavement_seals as seals
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


COLDEST_C, HOTTEST_C = celsius(14.0), celsius(90.0)
SIZES_MM = [each * MM_PER_IN for each in (11 / 16, 1.0, 1.25)]  # a catalogue, invented


@pytest.mark.parametrize(("movement_in", "least_in"), [(0.30, 0.86), (0.15, 0.43)])
def test_seal_is_as_wide_as_its_working_range_asks(movement_in, least_in):
    needed = float(seals.seal_needed_mm(movement_in * MM_PER_IN)) / MM_PER_IN
    assert needed == pytest.approx(least_in, abs=ROUNDING_IN)


def test_example_a_takes_a_seal_of_an_inch():
    chosen = smallest_size_mm(seals.seal_needed_mm(0.298 * MM_PER_IN), SIZES_MM)
    assert float(chosen) / MM_PER_IN == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("seal_in", "at_f", "groove_in"),
    [
        (1.0, 80.0, 0.50),  # A
        (0.688, 80.0, 0.344),  # B; printed with the compression rounded to 0.50
        (0.688, 40.0, 0.47),  # B
    ],
)
def test_groove_to_cut_at_the_temperature_of_installation(seal_in, at_f, groove_in):
    groove = seals.groove_width_mm(seal_in * MM_PER_IN, celsius(at_f), COLDEST_C, HOTTEST_C)
    assert float(groove) / MM_PER_IN == pytest.approx(groove_in, abs=ROUNDING_IN)


def test_groove_at_both_ends_of_the_range():
    found = seals.groove_width_mm(100.0, [COLDEST_C, HOTTEST_C, np.nan], COLDEST_C, HOTTEST_C)
    assert found == pytest.approx([80.0, 45.0, np.nan], nan_ok=True)


@pytest.mark.parametrize(
    ("at_c", "cold_c", "hot_c", "field"),
    [(40.0, -10.0, 32.0, "temperature_c"), (20.0, 32.0, -10.0, "coldest_c")],
)
def test_a_groove_is_not_cut_outside_the_design_range(at_c, cold_c, hot_c, field):
    with pytest.raises(InputError) as refused:
        seals.groove_width_mm(25.0, at_c, cold_c, hot_c)
    assert refused.value.field == field
    with pytest.raises(InputError, match="no working range"):
        seals.seal_needed_mm(10.0, 0.6, 0.5)
