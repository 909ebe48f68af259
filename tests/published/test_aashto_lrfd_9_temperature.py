"""AASHTO LRFD Bridge Design Specifications, 8th/9th edition: uniform temperature.

Clauses 3.12.2.1 (Table 3.12.2.1-1), 3.12.2.3, 3.4.1 (Table 3.4.1-1), 5.4.2.2, 6.4.1 and
14.7.5.3.2.  Provenance is said beside each check.  Procedure B of 3.12.2.2 stands in
test_design_extremes.
"""

import numpy as np
import pytest

from movement.errors import InputError
from movement.expected import expected_line
from movement.inputs import Setting, Sides
from movement.standards import aashto_lrfd_9_temperature as aashto
from movement.temperature import DeckType
from movement.thermal_range import demand_from_setting, length_change
from tests.published.source_units import MM_PER_FT, MM_PER_IN, celsius

MODERATE, COLD = aashto.Climate.MODERATE, aashto.Climate.COLD
STEEL, CONCRETE, COMPOSITE = DeckType.STEEL, DeckType.CONCRETE, DeckType.COMPOSITE
ROUNDING_C = 1e-9  # the table's whole degF convert exactly; only float error remains
ROUNDING_IN = 0.00051  # given to 0.001 in; 2.2815 lies on the edge of the printed digit


@pytest.mark.parametrize(
    ("climate", "deck_type", "low_f", "high_f", "range_f"),
    [
        # Table 3.12.2.1-1; from memory, high confidence
        (MODERATE, STEEL, 0.0, 120.0, 120.0),
        (MODERATE, CONCRETE, 10.0, 80.0, 70.0),
        (COLD, STEEL, -30.0, 120.0, 150.0),
        (COLD, CONCRETE, 0.0, 80.0, 80.0),
        (COLD, COMPOSITE, -30.0, 120.0, 150.0),  # a composite deck: the steel line
    ],
)
def test_procedure_a_gives_the_range_of_its_table(climate, deck_type, low_f, high_f, range_f):
    extremes = aashto.procedure_a(climate, deck_type)
    assert float(extremes.min_c) == pytest.approx(celsius(low_f), abs=ROUNDING_C)
    assert float(extremes.max_c) == pytest.approx(celsius(high_f), abs=ROUNDING_C)
    assert float(extremes.max_c - extremes.min_c) * 1.8 == pytest.approx(range_f, abs=ROUNDING_C)
    assert "3.12.2.1" in extremes.source


@pytest.mark.parametrize(
    ("climate", "low_f", "high_f", "range_f"),
    # Table 3.12.2.1-1; from memory, high confidence
    [(MODERATE, 10.0, 75.0, 65.0), (COLD, 0.0, 75.0, 75.0)],
)
def test_wood_has_a_line_of_its_own(climate, low_f, high_f, range_f):
    extremes = aashto.procedure_a_of(climate, aashto.Material.WOOD)
    assert float(extremes.min_c) == pytest.approx(celsius(low_f), abs=ROUNDING_C)
    assert float(extremes.max_c) == pytest.approx(celsius(high_f), abs=ROUNDING_C)
    assert float(extremes.max_c - extremes.min_c) * 1.8 == pytest.approx(range_f, abs=ROUNDING_C)
    assert "wood" in extremes.source


def test_a_freezing_day_is_one_whose_mean_lies_below_freezing():
    # 3.12.2.1; from memory, high confidence: a mean of 32 degF itself is not below it
    year = np.full(365, 5.0)
    year[:20] = celsius(32.0)
    year[20:33] = celsius(31.0)
    assert aashto.freezing_days_per_year(year) == 13.0
    year[0] = -0.1
    assert aashto.freezing_days_per_year(year) == 14.0
    two_years = np.concatenate([year, np.full(365, np.nan), year])
    assert aashto.freezing_days_per_year(two_years) == 14.0
    with pytest.raises(InputError, match="364 known days"):
        aashto.freezing_days_per_year(year[1:])


@pytest.mark.parametrize(("days", "climate"), [(0, "moderate"), (13, "moderate"), (14, "cold")])
def test_fewer_than_fourteen_freezing_days_a_year_are_a_moderate_climate(days, climate):
    # 3.12.2.1; from memory, high confidence
    assert str(aashto.climate_from_freezing_days(days)) == climate


def test_the_points_that_fix_the_fahrenheit_scale_convert_exactly():
    # NIST SP 811 (2008), B.9: t/degC = (t/degF - 32) / 1.8; from memory, high confidence
    assert aashto.celsius([32.0, 212.0, -40.0]).tolist() == [0.0, 100.0, -40.0]


@pytest.mark.parametrize(
    ("deck_type", "per_c"),
    [
        (CONCRETE, 10.8e-6),  # 5.4.2.2, normal weight, 6.0e-6/F; from memory, high confidence
        (STEEL, 11.7e-6),  # 6.4.1, 6.5e-6/F; from memory, high confidence
        (COMPOSITE, 11.7e-6),
    ],
)
def test_coefficients_of_expansion_are_those_of_the_material_clauses(deck_type, per_c):
    assert aashto.expansion_per_c(deck_type) == pytest.approx(per_c, rel=1e-12)


def test_lightweight_concrete_grows_less():
    # 5.4.2.2, 5.0e-6/F against 6.0e-6/F; from memory, high confidence
    found = [aashto.concrete_expansion_per_c(each) for each in (True, False)]
    assert found == pytest.approx([9.0e-6, 10.8e-6], rel=1e-12)


# L = 300 ft to the fixed point: unfactored, x 1.20, 65 % [in].  calc, from 3.12.2.3-1 and the
# values above; 1.20 is the larger TU factor of Table 3.4.1-1 (from memory, high confidence),
# 65 % the bearing's share of 14.7.5.3.2 (from memory, medium to high confidence).
THREE_HUNDRED_FEET = [
    (STEEL, COLD, 3.510, 4.212, 2.282, 89.2),
    (STEEL, MODERATE, 2.808, 3.370, 1.825, 71.3),
    (CONCRETE, COLD, 1.728, 2.074, 1.123, 43.9),
    (CONCRETE, MODERATE, 1.512, 1.814, 0.983, 38.4),
]


@pytest.mark.parametrize(
    ("deck_type", "climate", "plain_in", "factored_in", "bearing_in", "plain_mm"),
    THREE_HUNDRED_FEET,
)
def test_three_hundred_feet_move_as_the_design_range_says(
    deck_type, climate, plain_in, factored_in, bearing_in, plain_mm
):
    alpha = aashto.expansion_per_c(deck_type)
    extremes = aashto.procedure_a(climate, deck_type)
    length_mm = 300.0 * MM_PER_FT

    plain = length_change(alpha, length_mm, extremes.max_c - extremes.min_c)
    assert float(plain) / MM_PER_IN == pytest.approx(plain_in, abs=ROUNDING_IN)
    assert float(plain) == pytest.approx(plain_mm, abs=0.05)  # given to 0.1 mm

    def total_in(factor: float) -> float:
        demand = demand_from_setting(alpha, length_mm, extremes, celsius(60.0), factor=factor)
        return float(demand.total_mm) / MM_PER_IN

    assert total_in(aashto.LOAD_FACTOR_TU_DEFORMATION) == pytest.approx(
        factored_in, abs=ROUNDING_IN
    )
    assert total_in(aashto.BEARING_SHARE_OF_RANGE) == pytest.approx(bearing_in, abs=ROUNDING_IN)


@pytest.mark.parametrize(
    ("deck_type", "climate", "plain_in"), [each[:3] for each in THREE_HUNDRED_FEET]
)
def test_a_reading_is_expected_to_travel_the_unfactored_range_only(deck_type, climate, plain_in):
    # A field reading is compared with alpha L dT: neither 1.20 nor 65 % belongs to it.
    extremes = aashto.procedure_a(climate, deck_type)
    sides = Sides.of(300.0 * MM_PER_FT, aashto.expansion_per_c(deck_type))
    line = expected_line(sides, Setting.of(0.0, celsius(60.0)))
    travel_mm = float(line.value(extremes.max_c) - line.value(extremes.min_c))
    assert travel_mm / MM_PER_IN == pytest.approx(plain_in, abs=ROUNDING_IN)
