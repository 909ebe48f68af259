"""EN 1991-1-5:2003, thermal actions: clauses 6.1.3.1, 6.1.3.3, Annex A and Annex C.

Provenance is said beside each check.  Rows marked "calc" are worked from the stated
rules; E1 and E3 continue two published examples (see test_sigmund_2014).
"""

import numpy as np
import pytest

from movement.errors import InputError
from movement.standards import en_1991_1_5_2003 as en
from movement.temperature import DeckType
from movement.thermal_range import BridgeExtremes, demand_from_setting

STEEL, COMPOSITE, CONCRETE = DeckType.STEEL, DeckType.COMPOSITE, DeckType.CONCRETE
ROUNDING_MM = 0.05  # given to 0.1 mm
ROUNDING_C = 0.005  # given to 0.01 degC


@pytest.mark.parametrize(
    ("deck_type", "low_c", "high_c"),
    [
        # 6.1.3.1, Figure 6.1, offsets as quoted by two independent implementations; read.
        # From shade air -20 and 35 degC.
        (STEEL, -23.0, 51.0),  # type 1: -3, +16
        (COMPOSITE, -16.0, 39.0),  # type 2: +4, +4
        (CONCRETE, -12.0, 37.0),  # type 3: +8, +2
    ],
)
def test_each_deck_type_has_its_offsets_from_shade_air(deck_type, low_c, high_c):
    extremes = en.uniform_temperature(deck_type, -20.0, 35.0)
    assert float(extremes.min_c) == pytest.approx(low_c)
    assert float(extremes.max_c) == pytest.approx(high_c)


def test_steel_trusses_and_plate_girders_may_be_taken_three_kelvin_cooler():
    # Figure 6.1, note; from memory, high confidence.  Type 1 of 35 degC is 51 degC.
    extremes = en.reduced_for_trusses(en.uniform_temperature(STEEL, -20.0, 35.0))
    assert (float(extremes.min_c), float(extremes.max_c)) == pytest.approx((-23.0, 48.0))
    assert "less 3 K" in extremes.source


@pytest.mark.parametrize(
    ("low_c", "high_c", "field", "named"),
    [
        # plotted range of Figure 6.1, -50..0 and 20..50 degC; from memory, medium confidence
        (-50.5, 35.0, "shade_air_min_c", "-50.5"),
        (0.02, 35.0, "shade_air_min_c", "0.02"),
        (-20.0, 19.5, "shade_air_max_c", "19.5"),
        (-20.0, 50.5, "shade_air_max_c", "50.5"),
        ([-20.0, -60.0], 35.0, "shade_air_min_c", "-60"),
    ],
)
def test_the_figure_is_not_extrapolated(low_c, high_c, field, named):
    with pytest.raises(InputError, match=r"Figure 6\.1") as refused:
        en.uniform_temperature(CONCRETE, low_c, high_c)
    assert refused.value.field == field
    assert refused.value.message.startswith(f"{named} degC")
    assert "design extremes" in refused.value.remedy


def test_the_ends_of_the_plotted_range_are_still_read():
    extremes = en.uniform_temperature(CONCRETE, [-50.0, 0.0], [20.0, 50.0])
    assert extremes.min_c.tolist() == [-42.0, 8.0]
    assert extremes.max_c.tolist() == [22.0, 52.0]


def test_recommended_allowance_is_20_k_and_10_k_where_the_setting_temperature_is_specified():
    # 6.1.3.3(3), note 2; from memory, high confidence
    assert en.allowance_k([False, True]).tolist() == [20.0, 10.0]


def test_where_nothing_is_known_the_initial_temperature_is_10_degrees():
    # Annex A.1(3); from memory, high confidence
    assert en.DEFAULT_T0_C == 10.0
    assert en.initial_temperature_c([]) == 10.0
    assert en.initial_temperature_c([np.nan, np.nan]) == 10.0


def test_the_initial_temperature_is_the_mean_of_the_construction_period():
    # Annex A.1(3); from memory, high confidence
    assert en.initial_temperature_c([12.0, 18.0, np.nan, 24.0]) == pytest.approx(18.0)


@pytest.mark.parametrize(
    ("deck_type", "per_c"),
    # Annex C, Table C.1; a composite deck moves as steel (UK practice); from memory, high
    [(STEEL, 12e-6), (COMPOSITE, 12e-6), (CONCRETE, 10e-6)],
)
def test_coefficients_of_expansion_are_those_of_annex_c(deck_type, per_c):
    assert en.EXPANSION_PER_C[deck_type] == per_c


def test_altitude_takes_half_a_degree_from_the_minimum_and_one_from_the_maximum():
    # Annex A.1, note, per 100 m above sea level; from memory, high confidence
    low, high = en.shade_air_at_altitude(-17.0, 33.0, 100.0)
    assert (float(low), float(high)) == pytest.approx((-17.5, 32.0))


@pytest.mark.parametrize(
    ("years", "factor_max", "factor_min"),
    [
        # Annex A.2 (read) with its k1..k4; calc.  For 50 years it is not exactly 1.
        (20.0, 0.9473, 0.8564),
        (50.0, 0.9995, 1.0017),
        (100.0, 1.0386, 1.1106),
        (120.0, 1.0489, 1.1392),
    ],
)
def test_return_periods_multiply_the_extremes_by_the_factors_of_annex_a(
    years, factor_max, factor_min
):
    low, high = en.shade_air_for_return_period(-10.0, 10.0, years)
    assert float(high) / 10.0 == pytest.approx(factor_max, abs=5e-5)  # given to 4 decimals
    assert float(low) / -10.0 == pytest.approx(factor_min, abs=5e-5)


@pytest.mark.parametrize("low_c", [0.0, 3.0])
def test_a_minimum_that_is_not_below_zero_is_refused_for_another_return_period(low_c):
    # Annex A.2 multiplies, which means nothing there; judgement, no source
    with pytest.raises(InputError, match="not below 0 degC") as refused:
        en.shade_air_for_return_period(low_c, 33.0, 120.0)
    assert refused.value.field == "shade_air_min_c"
    with pytest.raises(InputError, match="not below 0 degC"):
        en.design_extremes(CONCRETE, low_c, 33.0, return_period_years=120.0)


def test_a_minimum_of_zero_is_taken_as_it_is_for_fifty_years():
    assert float(en.design_extremes(CONCRETE, 0.0, 33.0).min_c) == pytest.approx(8.0)
    of_fifty = en.design_extremes(CONCRETE, -20.0, 33.0, return_period_years=50.0)
    assert float(of_fifty.min_c) == pytest.approx(-12.0, rel=1e-12)


def test_a_maximum_that_is_not_above_zero_and_a_period_of_a_year_are_refused():
    with pytest.raises(InputError, match="not above 0 degC"):
        en.shade_air_for_return_period(-20.0, -1.0, 120.0)
    with pytest.raises(InputError, match="1 is not above 1"):
        en.shade_air_for_return_period(-20.0, 30.0, 1.0)


def test_an_upland_composite_deck_for_120_years():
    # R5 + R6 + type 2; calc: sea level 33 / -17 at 300 m
    low, high = en.shade_air_at_altitude(-17.0, 33.0, 300.0)
    assert (float(low), float(high)) == pytest.approx((-18.5, 30.0))
    low, high = en.shade_air_for_return_period(low, high, 120.0)
    assert (float(low), float(high)) == pytest.approx((-21.08, 31.47), abs=ROUNDING_C)

    extremes = en.design_extremes(COMPOSITE, -17.0, 33.0, altitude_m=300.0, return_period_years=120)
    assert float(extremes.max_c) == pytest.approx(35.47, abs=ROUNDING_C)
    assert float(extremes.min_c) == pytest.approx(-17.08, abs=ROUNDING_C)
    assert "120-year" in extremes.source


@pytest.mark.parametrize(
    ("deck_type", "length_m", "low_c", "high_c", "allowance", "contraction_mm", "expansion_mm"),
    [
        # T0 = 10 degC; calc.  Concrete box 80 m, shade air 34 / -18: Te 36 / -10.
        (CONCRETE, 80.0, -10.0, 36.0, 0.0, 16.0, 20.8),
        (CONCRETE, 80.0, -10.0, 36.0, 20.0, 32.0, 36.8),
        (CONCRETE, 80.0, -10.0, 36.0, 10.0, 24.0, 28.8),
        # steel box 100 m: Te 50 / -21
        (STEEL, 100.0, -21.0, 50.0, 0.0, 37.2, 48.0),
        (STEEL, 100.0, -21.0, 50.0, 10.0, 49.2, 60.0),
    ],
)
def test_ranges_from_the_initial_temperature_with_and_without_allowance(
    deck_type, length_m, low_c, high_c, allowance, contraction_mm, expansion_mm
):
    # 6.1.3.3(3): dT,con = T0 - Te.min, dT,exp = Te.max - T0 (read), each plus S
    extremes = en.design_extremes(deck_type, -18.0, 34.0)
    assert (float(extremes.min_c), float(extremes.max_c)) == pytest.approx((low_c, high_c))
    demand = demand_from_setting(
        en.EXPANSION_PER_C[deck_type],
        length_m * 1000.0,
        extremes,
        en.DEFAULT_T0_C,
        allowance_k=allowance,
    )
    assert float(demand.contraction_mm) == pytest.approx(contraction_mm, abs=ROUNDING_MM)
    assert float(demand.expansion_mm) == pytest.approx(expansion_mm, abs=ROUNDING_MM)


def test_the_overall_range_does_not_depend_on_the_initial_temperature():
    # 6.1.3.3: overall dT = Te.max - Te.min (read): 36.8 and 85.2 mm; calc
    total = [
        demand_from_setting(alpha, length, extremes, np.array([0.0, 10.0, 30.0])).total_mm
        for alpha, length, extremes in (
            (10e-6, 80e3, BridgeExtremes(np.array(-10.0), np.array(36.0), "E3")),
            (12e-6, 100e3, BridgeExtremes(np.array(-21.0), np.array(50.0), "E1")),
        )
    ]
    assert total[0] == pytest.approx(36.8, abs=ROUNDING_MM)
    assert total[1] == pytest.approx(85.2, abs=ROUNDING_MM)
