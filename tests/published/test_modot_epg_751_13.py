"""Missouri DOT, Engineering Policy Guide 751.13, revision of 7 February 2014.

Base 60 degF; steel rise 60, fall 90 (-30..120 degF), 6.5e-6/F; concrete rise 50, fall 70
(-10..110 degF), 6.0e-6/F; movement in the direction of travel.  Provenance: read, but for
what is said beside a check.
"""

import numpy as np
import pytest

from movement.expected import expected_line, predict
from movement.inputs import Measured, Setting
from movement.sizing import gap_to_set_mm
from movement.standards import modot_epg_751_13 as modot
from movement.standards.modot_epg_751_13 import JointType
from movement.temperature import DeckType
from movement.thermal_range import BridgeExtremes, MovementDemand, demand_from_setting
from tests.published.joint_at_abutment import gap_sides
from tests.published.source_units import MM_PER_FT, MM_PER_IN, celsius, per_celsius

BASE_F = modot.BASE_TEMPERATURE_F  # 60 degF: figures below were worked with it
STEEL_PER_F, STEEL_F = 6.5e-6, (-30.0, 120.0)
CONCRETE_PER_F, CONCRETE_F = 6.0e-6, (-10.0, 110.0)
TU_FACTOR = modot.LOAD_FACTOR_TU  # 1.2: an image in the page; 1.2 reproduces its table
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
    assert 1.0 + rise == pytest.approx(gap_in, abs=ROUNDING_IN)
    gap = modot.gap_at_base_mm(found.expansion_mm)
    assert float(gap) / MM_PER_IN == pytest.approx(table_gap_in)


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


@pytest.mark.parametrize(
    ("deck_type", "range_f", "per_f"),
    [
        (DeckType.STEEL, STEEL_F, STEEL_PER_F),
        (DeckType.COMPOSITE, STEEL_F, STEEL_PER_F),
        (DeckType.CONCRETE, CONCRETE_F, CONCRETE_PER_F),
    ],
)
def test_range_and_coefficient_of_each_deck(deck_type, range_f, per_f):
    extremes = modot.design_extremes(deck_type)
    found = float(extremes.min_c), float(extremes.max_c)
    assert found == pytest.approx([celsius(each) for each in range_f])
    assert modot.expansion_per_c(deck_type) == pytest.approx(per_celsius(per_f))


@pytest.mark.parametrize(
    ("movement_in", "skew_deg", "allowed"),
    [
        # read: compression seal 0-2 in, skew <= 20; strip seal 2-4 in, <= 45; flat plate > 45
        (1.0, 20.0, {JointType.COMPRESSION_SEAL}),
        (1.0, -21.0, set()),
        (2.0, 0.0, {JointType.COMPRESSION_SEAL, JointType.STRIP_SEAL}),
        (4.0, -45.0, {JointType.STRIP_SEAL}),
        (4.05, 0.0, set()),
        (2.05, 0.0, {JointType.STRIP_SEAL}),
        (1.95, 0.0, {JointType.COMPRESSION_SEAL}),
        (4.0, 46.0, {JointType.FLAT_PLATE}),
        (6.0, 0.0, set()),
        (np.nan, 0.0, None),
        (1.0, np.nan, None),
    ],
)
def test_joint_by_movement_and_skew(movement_in, skew_deg, allowed):
    found = modot.joint_types(movement_in * MM_PER_IN, skew_deg)
    names = {name for name, holds in found.items() if holds}
    # finger plates are listed without limits; nothing is allowed of what is not known
    expected = set() if allowed is None else allowed | {JointType.FINGER_PLATE}
    assert names == expected


@pytest.mark.parametrize(
    ("per_f", "exact_in", "stated_in"), [(6.5e-6, 0.234, 4 / 16), (6.0e-6, 0.216, 3 / 16)]
)
def test_movement_for_ten_degrees_is_stated_on_the_plans(per_f, exact_in, stated_in):
    # 300 ft, calc; nearest 1/16 in from memory, medium confidence
    line = expected_line(gap_sides(300.0 * MM_PER_FT, per_celsius(per_f)), Setting.of(60.0, 15.0))
    assert float(line.b) * 10.0 / 1.8 / MM_PER_IN == pytest.approx(-exact_in, abs=ROUNDING_IN)
    stated = modot.change_stated_on_plans_mm(line.b)
    assert float(stated) / MM_PER_IN == pytest.approx(stated_in)


def test_gap_to_set_on_the_day_is_the_gap_expected_there():
    # the gap table above, from the slope and the gap at 60 degF: what the crew is told.
    # FP-96 552.13 (read): a steel joint is set to suit the temperature of the day.
    slope = -per_celsius(STEEL_PER_F) * 300.0 * MM_PER_FT
    at_c = [celsius(each) for each in (40.0, 60.0, 80.0, 100.0)]
    found = gap_to_set_mm(2.5 * MM_PER_IN, celsius(BASE_F), slope, at_c) / MM_PER_IN
    assert found == pytest.approx([2.968, 2.500, 2.032, 1.564], abs=ROUNDING_IN)
