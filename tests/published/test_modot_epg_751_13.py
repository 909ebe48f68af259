"""Missouri DOT, Engineering Policy Guide 751.13, revision of 7 February 2014.

Base 60 degF; steel rise 60, fall 90 (-30..120 degF), 6.5e-6/F; concrete rise 50, fall 70
(-10..110 degF), 6.0e-6/F; movement in the direction of travel.  Provenance: read, but for
what is said beside a check.
"""

import math

import numpy as np
import pytest

from movement.expected import predict
from movement.inputs import Measured, Setting
from movement.thermal_range import BridgeExtremes, MovementDemand, demand_from_setting
from tests.published.joint_at_abutment import gap_sides
from tests.published.source_units import MM_PER_FT, MM_PER_IN, celsius, per_celsius

BASE_F = 60.0
STEEL_PER_F, STEEL_F = 6.5e-6, (-30.0, 120.0)
CONCRETE_PER_F, CONCRETE_F = 6.0e-6, (-10.0, 110.0)
TU_FACTOR = 1.2  # an image in the page; 1.2 reproduces its table
SMALLEST_GAP_IN = 1.0
ROUNDING_IN = 0.0005  # worked to 0.001 in


def demand(per_f: float, range_f: tuple[float, float], length_ft: float) -> MovementDemand:
    extremes = BridgeExtremes(*(np.array(celsius(each)) for each in range_f), "751.13")
    return demand_from_setting(
        per_celsius(per_f), length_ft * MM_PER_FT, extremes, celsius(BASE_F), factor=TU_FACTOR
    )


@pytest.mark.parametrize(
    ("per_f", "range_f", "length_ft", "total_in", "rise_in", "gap_in", "table_in", "table_gap_in"),
    [
        (STEEL_PER_F, STEEL_F, 284.0, 3.987, 1.595, 2.595, 4.0, 2.75),  # read, checked
        (CONCRETE_PER_F, CONCRETE_F, 578.0, 5.993, 2.497, 3.497, 6.0, 3.5),  # read, checked
    ],
)
def test_length_at_which_a_movement_class_ends_and_the_gap_to_set(
    per_f, range_f, length_ft, total_in, rise_in, gap_in, table_in, table_gap_in
):
    found = demand(per_f, range_f, length_ft)
    total = float(found.total_mm) / MM_PER_IN
    rise = float(found.expansion_mm) / MM_PER_IN
    assert total == pytest.approx(total_in, abs=ROUNDING_IN)
    assert table_in - 0.02 < total <= table_in  # the longest whole foot of the class
    assert rise == pytest.approx(rise_in, abs=ROUNDING_IN)

    # Gap rule inferred from the table: 1 in more than the factored rise, up to the next 1/4 in.
    gap = SMALLEST_GAP_IN + rise
    assert gap == pytest.approx(gap_in, abs=ROUNDING_IN)
    assert math.ceil(gap * 4) / 4 == table_gap_in


def test_rise_and_fall_share_the_range_as_the_guide_says():
    steel = demand(STEEL_PER_F, STEEL_F, 100.0)
    concrete = demand(CONCRETE_PER_F, CONCRETE_F, 100.0)
    assert float(steel.expansion_mm / steel.contraction_mm) == pytest.approx(60.0 / 90.0)
    assert float(concrete.expansion_mm / concrete.contraction_mm) == pytest.approx(50.0 / 70.0)


def test_gap_table_of_300_feet_of_steel_set_at_two_and_a_half_inches():
    # Inputs by the guide's rule (read), arithmetic calc
    at_f = [40.0, 60.0, 80.0, 100.0]
    sides = gap_sides(300.0 * MM_PER_FT, per_celsius(STEEL_PER_F))
    prediction = predict(
        sides,
        Setting.of(2.5 * MM_PER_IN, celsius(BASE_F)),
        Measured.of(np.full(4, np.nan), [celsius(each) for each in at_f]),
    )
    gaps_in = prediction.expected / MM_PER_IN
    assert gaps_in == pytest.approx([2.968, 2.500, 2.032, 1.564], abs=ROUNDING_IN)
