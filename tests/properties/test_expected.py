"""What must hold of every expected value and band."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from movement.expected import expected_line, predict
from movement.geometry import gap_levers, path_from_fixed_point
from movement.inputs import Measured, Setting, Sides
from movement.thermal_range import length_change
from tests.properties.strategies import (
    Case,
    between,
    cases,
    judge_cases,
    skews_deg,
    steady,
    temperatures_c,
)

UNCERTAINTIES = (
    "u_lever",
    "u_expansion",
    "u_shortening",
    "u_set_at",
    "u_set_temperature",
    "u_value",
    "u_temperature",
)


@steady
@given(between(1.0, 400.0), skews_deg, between(8e-6, 13e-6), temperatures_c, between(0.1, 60.0))
def test_a_gap_falls_as_a_unit_that_lengthens_into_it_warms(
    length_m, skew_deg, expansion_per_c, cool_c, warming_k
):
    deck, wall = path_from_fixed_point(length_m, 0.0), path_from_fixed_point(0.0, 0.0)
    for levers in (
        gap_levers(deck, wall, skew_deg, True),
        gap_levers(wall, path_from_fixed_point(0.0, length_m), skew_deg, True),
    ):
        line = expected_line(Sides.of(levers, expansion_per_c), Setting.of(50.0, 10.0))
        assert float(line.value(cool_c + warming_k)) < float(line.value(cool_c))


@steady
@given(cases(), st.sampled_from(UNCERTAINTIES), between(0.01, 10.0))
def test_more_uncertainty_of_anything_never_narrows_the_band(case: Case, which: str, times: float):
    less = getattr(case, which)
    scale = {"u_expansion": 1e-6, "u_shortening": 1e-5, "u_lever": 100.0}.get(which, 1.0)
    wider = replace(case, **{which: less + scale * times})
    narrow, wide = (each.prediction for each in (judge_cases([case]), judge_cases([wider])))
    # at the setting temperature it may count for nothing: then rounding is all there is
    assert wide.standard_uncertainty >= narrow.standard_uncertainty * (1.0 - 1e-9)
    assert wide.expected == narrow.expected


@steady
@given(cases(), between(-30.0, 30.0))
def test_the_band_depends_on_how_far_it_is_from_the_setting_and_not_on_the_side(case, away_k):
    # Without shortening a reading as much colder is as uncertain as one as much warmer.
    sides = Sides.of(case.lever, case.expansion, 0.0, case.u_lever, case.u_expansion)
    line = expected_line(sides, Setting.of(case.set_at, case.set_temperature, 1.0, 2.0))
    colder, warmer = line.standard_uncertainty(
        [case.set_temperature - away_k, case.set_temperature + away_k], 1.0, 1.0
    )
    assert colder == pytest.approx(warmer, rel=1e-9)


@steady
@given(cases(), temperatures_c)
def test_temperatures_of_the_sides_that_are_equal_are_one_temperature(case: Case, now_c: float):
    sides = Sides.of(case.lever, case.expansion, case.shortening, case.u_lever, case.u_expansion)
    setting = Setting.of(case.set_at, case.set_temperature, case.u_set_at, case.u_set_temperature)
    one = predict(sides, setting, Measured.of(0.0, now_c, 1.0, case.u_temperature))
    each = predict(sides, setting, Measured.of(0.0, [now_c] * 2, 1.0, [case.u_temperature] * 2))
    assert float(each.expected) == pytest.approx(float(one.expected), rel=1e-9, abs=1e-9)
    assert float(each.standard_uncertainty) == pytest.approx(
        float(one.standard_uncertainty), rel=1e-9
    )


@steady
@given(
    st.lists(between(1e-6, 2e-5), min_size=1, max_size=4),
    st.lists(between(-4e5, 4e5), min_size=1, max_size=4),
    between(-80.0, 80.0),
)
def test_a_table_of_length_changes_is_made_of_single_ones(alphas, lengths, delta_k):
    table = length_change(np.array(alphas)[:, np.newaxis], lengths, delta_k)
    assert table.shape == (len(alphas), len(lengths))
    for row, alpha in enumerate(alphas):
        for column, length in enumerate(lengths):
            assert table[row, column] == length_change(alpha, length, delta_k)
