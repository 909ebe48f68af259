"""Impossible input is refused with the field, the value, the rule and a remedy."""

import numpy as np
import pytest

from movement.errors import InputError
from movement.inputs import DesignExtremes, Limits, Measured, Setting, Sides, Thresholds
from movement.standards import aashto_lrfd_9_temperature as aashto
from movement.thermal_range import BridgeExtremes, demand_from_setting, length_change

COLD = BridgeExtremes(np.array(-30.0), np.array(50.0), "invented")
INF = np.inf
NAN = np.nan


@pytest.mark.parametrize(
    ("call", "field", "message", "remedy"),
    [
        (lambda: Sides.of(1.0, 0.0), "expansion_per_c", "0 is not above zero", "1e-5"),
        (lambda: Sides.of(1.0, [1e-5, -1.2e-5]), "expansion_per_c", "-1.2e-05", "1e-5"),
        (lambda: Sides.of(1.0, 1e-5, u_lever=-3.0), "u_lever", "-3 is below zero", "zero or more"),
        (lambda: Setting.of(0.0, 10.0, -1.0), "u_setting_value", "-1 is below", "zero or more"),
        (lambda: Measured.of(0.0, 10.0, [1.0, -2.0]), "u_value", "-2 is below", "zero or more"),
        (lambda: Limits.of(5.0, 5.0, 0.0), "limit_lower", "5 is not below 5", "Exchange"),
        (
            lambda: Limits.of([-1.0, 9.0], 4.0, 0.0),
            "limit_lower",
            "9 is not below 4, the upper limit",
            "Exchange",
        ),
        (
            lambda: DesignExtremes.of(40.0, [50.0, -20.0]),
            "design_min_c",
            "40 is not below -20",
            "Exchange",
        ),
        (lambda: Thresholds(watch_k=3.0), "watch_k", "3 is not between 0 and out_k, 3", "2 and 3"),
        (lambda: Thresholds(watch_k=0.0), "watch_k", "0 is not between", "2 and 3"),
        (lambda: Thresholds(out_k=NAN), "watch_k", "out_k, nan", "2 and 3"),
        (lambda: Thresholds(watch_use=0.0), "watch_use", "0 is not in (0, 1]", "0.9"),
        (lambda: Thresholds(watch_use=1.1), "watch_use", "1.1 is not in", "0.9"),
        (lambda: length_change(0.0, 1.0, 1.0), "expansion_per_c", "0 is not above", "positive"),
        (lambda: length_change(1e-5, NAN, 1.0), "length_mm", "missing", "finite value"),
        (
            lambda: demand_from_setting(1e-5, 1e5, COLD, [10.0, 55.0]),
            "setting_temperature_c",
            "55 degC lies outside the design extremes, -30 to 50 degC",
            "basis",
        ),
        (
            lambda: demand_from_setting(1e-5, 1e5, COLD, -31.0),
            "setting_temperature_c",
            "-31 degC lies outside",
            "basis",
        ),
        (
            lambda: demand_from_setting(1e-5, 1e5, COLD, 10.0, allowance_k=-5.0),
            "allowance_k",
            "-5 is below zero",
            "zero or more",
        ),
        (
            lambda: demand_from_setting(1e-5, 1e5, COLD, 10.0, factor=0.0),
            "factor",
            "0 is not above zero",
            "positive",
        ),
        (
            lambda: demand_from_setting(
                1e-5, 1e5, BridgeExtremes(np.array(NAN), np.array(50.0), "unknown"), 10.0
            ),
            "design_min_c",
            "missing",
            "finite",
        ),
        (lambda: aashto.celsius(NAN), "temperature_f", "missing", "finite"),
        (
            lambda: aashto.climate_from_freezing_days([10.0, 367.0]),
            "freezing_days_per_year",
            "367 is more than a year has",
            "0 to 366",
        ),
        (
            lambda: aashto.climate_from_freezing_days(-1.0),
            "freezing_days_per_year",
            "-1 is below zero",
            "zero or more",
        ),
        (
            lambda: aashto.climate_from_freezing_days(NAN),
            "freezing_days_per_year",
            "missing",
            "finite",
        ),
    ],
)
def test_the_error_names_field_value_rule_and_remedy(call, field, message, remedy):
    with pytest.raises(InputError) as refused:
        call()
    error = refused.value
    assert error.field == field
    assert message in error.message
    assert remedy in error.remedy
    assert str(error) == f"{field}: {error.message}. {error.remedy}"


@pytest.mark.parametrize("sign", [1.0, -1.0])
@pytest.mark.parametrize(
    ("make", "fields"),
    [
        (
            Sides.of,
            ("lever", "expansion_per_c", "shortening", "u_lever", "u_expansion_per_c",
             "u_shortening"),
        ),
        (
            Setting.of,
            ("setting_value", "setting_temperature_c", "u_setting_value",
             "u_setting_temperature_k"),
        ),
        (Measured.of, ("value", "temperature_c", "u_value", "u_temperature_k")),
        (Limits.of, ("limit_lower", "limit_upper", "limit_neutral")),
        (DesignExtremes.of, ("design_min_c", "design_max_c")),
    ],
)  # fmt: skip
def test_infinity_is_refused_at_every_door_and_unknown_is_let_through(make, fields, sign):
    for position, field in enumerate(fields):
        arguments = [NAN] * len(fields)
        make(*arguments)
        arguments[position] = sign * INF
        with pytest.raises(InputError, match="is infinite") as refused:
            make(*arguments)
        assert refused.value.field == field
        assert refused.value.remedy == "Give a finite value, or leave it out."


def test_edges_of_the_thresholds_are_allowed():
    assert Thresholds(watch_use=1.0).watch_use == 1.0
    assert Thresholds(watch_k=0.5, out_k=0.6).out_k == 0.6


def test_setting_at_a_design_extreme_leaves_no_movement_that_way():
    demand = demand_from_setting(1e-5, 1e5, COLD, [-30.0, 50.0])
    assert demand.contraction_mm.tolist() == [0.0, 80.0]
    assert demand.expansion_mm.tolist() == [80.0, 0.0]


def test_a_bearing_on_the_other_side_of_the_fixed_point_needs_the_same_movement():
    ahead = demand_from_setting(1e-5, 1e5, COLD, 10.0)
    back = demand_from_setting(1e-5, -1e5, COLD, 10.0)
    assert back.total_mm == ahead.total_mm
    assert float(length_change(1e-5, -1e5, 10.0)) == pytest.approx(-10.0)
