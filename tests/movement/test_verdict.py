"""Verdicts and their reasons, thresholds at their edges, and the numbers behind them."""

from dataclasses import fields

import numpy as np
import pytest

from movement.blockwise import BLOCK
from movement.inputs import DesignExtremes, Limits, Measured, Setting, Sides, Thresholds
from movement.results import Reason, Verdict
from movement.verdict import judge
from tests.movement.one_bearing import AS_SET_C, NAN, judge_bearing, verdict_and_reasons

CANNOT, IN_RANGE, WATCH, OUT = (
    Verdict.CANNOT_JUDGE,
    Verdict.IN_RANGE,
    Verdict.WATCH,
    Verdict.OUT_OF_RANGE,
)


def test_a_bearing_where_it_should_be_with_room_to_both_extremes_is_in_range():
    assert verdict_and_reasons(judge_bearing()) == (IN_RANGE, Reason.NONE)


@pytest.mark.parametrize("sign", [1.0, -1.0])
@pytest.mark.parametrize(
    ("off_mm", "verdict", "reason"),
    [
        # u = 1 mm: watch is above 2, out is above 3; on the edge the milder one holds
        (2.0, IN_RANGE, Reason.NONE),
        (2.0000001, WATCH, Reason.RESIDUAL_WATCH),
        (3.0, WATCH, Reason.RESIDUAL_WATCH),
        (3.0000001, OUT, Reason.RESIDUAL_OUT),
    ],
)
def test_a_residual_turns_the_verdict_above_two_and_above_three_uncertainties(
    sign, off_mm, verdict, reason
):
    found = judge_bearing(value=sign * off_mm)
    assert verdict_and_reasons(found) == (verdict, reason)
    assert found.residual == sign * off_mm
    assert found.residual_in_u == sign * off_mm


@pytest.mark.parametrize(
    ("upper", "verdict", "reason"),
    [
        # 50 mm, as expected at 66 degC, against an upper limit
        (50.1, WATCH, Reason.NEAR_LIMIT_NOW),
        (50.0 / 0.9, WATCH, Reason.NEAR_LIMIT_NOW),  # exactly 90 %
        (55.6, IN_RANGE, Reason.NONE),
        (50.0, OUT, Reason.PAST_LIMIT_NOW),  # reached is past: a closed gap stands at 0
        (49.9, OUT, Reason.PAST_LIMIT_NOW),
    ],
)
def test_a_limit_used_now_turns_the_verdict_at_nine_tenths_and_at_the_whole(upper, verdict, reason):
    found = judge_bearing(
        value=50.0, temperature_c=66.0, upper=upper, design_min_c=0.0, design_max_c=20.0
    )
    assert verdict_and_reasons(found) == (verdict, reason)
    assert float(found.use_now) == pytest.approx(50.0 / upper)


@pytest.mark.parametrize(
    ("limit", "verdict", "at_min", "at_max"),
    [
        # carried to either extreme it stands at 40 mm on that side
        (44.5, IN_RANGE, Reason.NONE, Reason.NONE),
        (44.0, WATCH, Reason.NEAR_LIMIT_AT_MIN, Reason.NEAR_LIMIT_AT_MAX),
        (40.0, OUT, Reason.PAST_LIMIT_AT_MIN, Reason.PAST_LIMIT_AT_MAX),
        (39.0, OUT, Reason.PAST_LIMIT_AT_MIN, Reason.PAST_LIMIT_AT_MAX),
    ],
)
def test_a_limit_used_at_a_design_extreme_turns_the_verdict_on_its_side(
    limit, verdict, at_min, at_max
):
    assert verdict_and_reasons(judge_bearing(lower=-limit)) == (verdict, at_min)
    assert verdict_and_reasons(judge_bearing(upper=limit)) == (verdict, at_max)


def test_carried_positions_start_from_the_reading_and_not_from_the_expected_value():
    found = judge_bearing(value=5.0, temperature_c=26.0)
    assert (found.carried_to_min, found.carried_to_max) == (-45.0, 35.0)
    assert (found.use_at_min, found.use_at_max) == (0.45, 0.35)
    # 1 mm per degC: 105 mm short of the lower limit, 95 mm short of the upper one
    assert (found.lower_at_c, found.upper_at_c) == (26.0 - 105.0, 26.0 + 95.0)


@pytest.mark.parametrize(
    ("missing", "reason"),
    [
        ({"value": NAN}, Reason.NO_READING),
        ({"u_value": NAN}, Reason.NO_READING),
        ({"temperature_c": NAN}, Reason.NO_TEMPERATURE),
        ({"u_temperature_k": NAN}, Reason.NO_TEMPERATURE),
        ({"set_at": NAN}, Reason.NO_SETTING),
        ({"set_at_c": NAN}, Reason.NO_SETTING),
        ({"u_set_at": NAN}, Reason.NO_SETTING),
        ({"u_set_at_k": NAN}, Reason.NO_SETTING),
        ({"lever": NAN}, Reason.NO_EXPANSION),
        ({"expansion_per_c": NAN}, Reason.NO_EXPANSION),
        ({"shortening": NAN}, Reason.NO_EXPANSION),
        ({"u_lever": NAN}, Reason.NO_EXPANSION),
        ({"lower": NAN, "upper": NAN}, Reason.NO_LIMITS),
        ({"neutral": NAN}, Reason.NO_LIMITS),
        ({"design_min_c": NAN}, Reason.NO_EXTREMES),
        ({"design_max_c": NAN}, Reason.NO_EXTREMES),
        ({"is_baseline": True}, Reason.IS_BASELINE),
    ],
)
def test_what_is_missing_is_named_and_nothing_is_judged(missing, reason):
    assert verdict_and_reasons(judge_bearing(**missing)) == (CANNOT, reason)


def test_a_bearing_of_which_nothing_is_known_cannot_be_judged():
    nothing = judge_bearing(
        value=NAN, temperature_c=NAN, lever=NAN, set_at=NAN, lower=NAN, upper=NAN, neutral=NAN,
        design_min_c=NAN, design_max_c=NAN,
    )  # fmt: skip
    verdict, reasons = verdict_and_reasons(nothing)
    assert verdict == CANNOT
    assert reasons == (
        Reason.NO_READING
        | Reason.NO_TEMPERATURE
        | Reason.NO_SETTING
        | Reason.NO_EXPANSION
        | Reason.NO_LIMITS
        | Reason.NO_EXTREMES
    )


def test_a_tilt_without_a_radius_lacks_the_radius_and_not_its_setting():
    # The uncertainty of its setting, in degrees, cannot be had without the radius either.
    found = judge_bearing(lever=NAN, u_set_at=NAN)
    assert verdict_and_reasons(found) == (CANNOT, Reason.NO_EXPANSION)


@pytest.mark.parametrize("neutral", [-100.0, -120.0, 100.0, 120.0])
def test_a_neutral_position_on_or_beyond_a_limit_leaves_nothing_to_count_from(neutral):
    found = judge_bearing(neutral=neutral)
    assert verdict_and_reasons(found)[0] == CANNOT
    assert Reason.NO_LIMITS in verdict_and_reasons(found)[1]


def test_a_limit_passed_is_out_of_range_whatever_else_is_missing():
    found = judge_bearing(value=101.0, temperature_c=NAN, set_at=NAN, design_min_c=NAN)
    verdict, reasons = verdict_and_reasons(found)
    assert verdict == OUT
    assert Reason.PAST_LIMIT_NOW in reasons
    assert Reason.NO_TEMPERATURE in reasons


def test_a_limit_nearly_used_is_to_watch_even_without_a_temperature():
    found = judge_bearing(value=95.0, temperature_c=NAN)
    assert verdict_and_reasons(found) == (WATCH, Reason.NEAR_LIMIT_NOW | Reason.NO_TEMPERATURE)


def test_without_extremes_a_residual_still_counts():
    found = judge_bearing(value=4.0, design_min_c=NAN, design_max_c=NAN)
    assert verdict_and_reasons(found) == (OUT, Reason.RESIDUAL_OUT | Reason.NO_EXTREMES)


def test_a_baseline_says_nothing_of_its_residual_but_its_limits_count():
    assert verdict_and_reasons(judge_bearing(value=9.0, is_baseline=True)) == (
        CANNOT,
        Reason.IS_BASELINE,
    )
    found = judge_bearing(value=101.0, temperature_c=117.0, is_baseline=True)
    assert verdict_and_reasons(found)[0] == OUT


def test_out_of_range_outweighs_watch():
    found = judge_bearing(value=2.5, lower=-30.0)
    assert verdict_and_reasons(found) == (OUT, Reason.RESIDUAL_WATCH | Reason.PAST_LIMIT_AT_MIN)


@pytest.mark.parametrize(("side", "other"), [("lower", "upper"), ("upper", "lower")])
def test_a_device_with_a_limit_on_one_side_is_judged_by_that_one(side, other):
    limit = {"lower": -100.0, "upper": 100.0}[side]
    free = judge_bearing(**{side: limit, other: NAN})
    assert verdict_and_reasons(free) == (IN_RANGE, Reason.NONE)
    # far beyond where the missing limit would be, and as expected there
    beyond = judge_bearing(
        **{side: limit, other: NAN}, value=-limit * 2.0, temperature_c=AS_SET_C - limit * 2.0
    )
    assert Reason.PAST_LIMIT_NOW not in verdict_and_reasons(beyond)[1]
    assert np.isnan(getattr(beyond, f"{other}_at_c"))
    near = judge_bearing(
        **{side: limit, other: NAN}, value=0.95 * limit, temperature_c=AS_SET_C + 0.95 * limit
    )
    assert Reason.NEAR_LIMIT_NOW in verdict_and_reasons(near)[1]
    assert float(near.use_now) == pytest.approx(0.95)
    reached = judge_bearing(**{side: limit, other: NAN}, value=limit)
    assert Reason.PAST_LIMIT_NOW in verdict_and_reasons(reached)[1]


def test_what_does_not_move_with_temperature_needs_none():
    rotation = judge_bearing(
        value=1.5, lever=0.0, temperature_c=NAN, u_temperature_k=NAN, set_at_c=NAN,
        u_set_at_k=NAN, design_min_c=NAN, design_max_c=NAN,
    )  # fmt: skip
    assert verdict_and_reasons(rotation) == (IN_RANGE, Reason.NONE)
    assert (rotation.prediction.expected, rotation.residual) == (0.0, 1.5)
    assert np.isnan(rotation.lower_at_c)
    assert np.isnan(rotation.upper_at_c)


def test_a_lever_that_is_nought_give_or_take_still_needs_a_temperature():
    found = judge_bearing(lever=0.0, u_lever=500.0, temperature_c=NAN)
    assert verdict_and_reasons(found) == (CANNOT, Reason.NO_TEMPERATURE)


def test_a_side_that_is_not_there_needs_no_temperature():
    joint = judge_bearing(
        lever=[131_072.0, 0.0], temperature_c=[AS_SET_C, NAN], u_temperature_k=[0.0, NAN]
    )
    assert verdict_and_reasons(joint) == (IN_RANGE, Reason.NONE)


def test_without_any_uncertainty_the_smallest_residual_counts():
    assert verdict_and_reasons(judge_bearing(u_value=0.0)) == (IN_RANGE, Reason.NONE)
    below = judge_bearing(value=-1e-6, u_value=0.0)
    assert verdict_and_reasons(below) == (OUT, Reason.RESIDUAL_OUT)
    assert below.residual_in_u == -np.inf


def test_an_agency_may_move_the_thresholds():
    strict = Thresholds(watch_k=1.0, out_k=1.5, watch_use=0.4)
    assert verdict_and_reasons(judge_bearing(value=1.25, thresholds=strict)) == (
        WATCH,
        # carried to the hottest: 41.25 of 100 mm
        Reason.RESIDUAL_WATCH | Reason.NEAR_LIMIT_AT_MAX,
    )
    assert verdict_and_reasons(judge_bearing(value=-1.75, thresholds=strict))[0] == OUT


def test_readings_are_judged_each_on_its_own():
    found = judge_bearing(value=[0.0, 2.5, 101.0, NAN], temperature_c=[16.0, 16.0, 16.0, 16.0])
    assert found.verdict.tolist() == [IN_RANGE, WATCH, OUT, CANNOT]


def test_one_reading_is_judged_against_many_extremes():
    found = judge_bearing(design_min_c=[-24.0, -80.0, NAN], design_max_c=[56.0, 56.0, 56.0])
    assert found.verdict.tolist() == [IN_RANGE, WATCH, CANNOT]


def test_a_table_of_any_length_is_judged_as_its_parts_are():
    dice = np.random.default_rng(20261127)
    rows = 2 * BLOCK + 1
    value, at_c = dice.normal(0.0, 40.0, rows), dice.uniform(-20.0, 40.0, (rows, 2))
    lever = dice.uniform(-1e5, 1e5, (rows, 2))
    set_at = dice.uniform(-20.0, 20.0, rows)
    for each in (value, at_c, lever, set_at):
        each[dice.random(each.shape) < 0.05] = NAN

    def judged(part):
        return judge(
            Sides.of(lever[part], 1.2e-5, 0.0, 50.0, 1e-6),
            Setting.of(set_at[part], 12.0, 1.0, 2.0),
            Measured.of(value[part], at_c[part], 1.0, 2.0),
            Limits.of(-80.0, 80.0, 0.0),
            DesignExtremes.of(-25.0, 45.0),
            Thresholds(),
            is_baseline=np.arange(rows)[part] % 7 == 0,
        )

    whole = judged(slice(None))
    parts = [judged(slice(first, first + 1000)) for first in range(0, rows, 1000)]
    for name in (each.name for each in fields(whole) if each.name != "prediction"):
        pieces = [getattr(each, name) for each in parts]
        np.testing.assert_array_equal(getattr(whole, name), np.concatenate(pieces), name)
    assert {*np.unique(whole.verdict)} == {*Verdict}
    for name in ("expected", "standard_uncertainty"):
        pieces = [getattr(each.prediction, name) for each in parts]
        np.testing.assert_array_equal(getattr(whole.prediction, name), np.concatenate(pieces))
