"""Expected values of bearings and joints, and temperatures that differ between the sides."""

import numpy as np
import pytest

from movement.errors import InputError
from movement.expected import common_temperature, expected_line, predict
from movement.inputs import Measured, Setting, Sides
from movement.results import Reason, Verdict
from tests.movement.one_bearing import judge_bearing, verdict_and_reasons

# A joint between 80 m of steel behind and 50 m of concrete ahead: both close it.
JOINT = Sides.of([-80e3, -50e3], [12e-6, 10e-6], u_lever=[100.0, 50.0], u_expansion_per_c=1e-6)
SET = Setting.of(60.0, 15.0, 1.0, 2.0)


def test_a_gap_closes_by_what_each_side_lengthens():
    # by hand: 20 K x 0.96 mm/K + 10 K x 0.50 mm/K = 24.2 mm
    found = predict(JOINT, SET, Measured.of(np.nan, [35.0, 25.0]))
    assert float(found.expected) == pytest.approx(60.0 - 24.2)


def test_shortening_since_the_setting_opens_the_gap():
    # by hand: 2e-4 of 50 m is 10 mm
    shrunk = Sides.of([-80e3, -50e3], [12e-6, 10e-6], [0.0, 2e-4])
    found = predict(shrunk, SET, Measured.of(np.nan, 15.0))
    assert float(found.expected) == pytest.approx(70.0)


@pytest.mark.parametrize("temperature_c", [-20.0, 15.0, 41.0])
def test_equal_temperatures_of_the_sides_are_one_temperature(temperature_c):
    each = predict(JOINT, SET, Measured.of(50.0, [temperature_c] * 2, 1.0, [2.5, 2.5]))
    common = predict(JOINT, SET, Measured.of(50.0, temperature_c, 1.0, 2.5))
    assert float(each.expected) == pytest.approx(float(common.expected), rel=1e-12)
    assert float(each.standard_uncertainty) == pytest.approx(
        float(common.standard_uncertainty), rel=1e-12
    )


def test_temperatures_got_in_the_same_way_widen_the_band_of_a_joint():
    measured = Measured.of(50.0, [20.0, 25.0], 1.0, [3.0, 3.0])
    together = predict(JOINT, SET, measured, temperature_correlation=1.0)
    apart = predict(JOINT, SET, measured, temperature_correlation=0.0)
    opposed = predict(JOINT, SET, measured, temperature_correlation=-1.0)
    assert together.standard_uncertainty > apart.standard_uncertainty
    assert apart.standard_uncertainty > opposed.standard_uncertainty


def test_the_common_temperature_of_a_joint_gives_the_same_expected_value():
    temperatures = np.array([[35.0, 25.0], [-5.0, 3.0]])
    sides = Sides.of(np.broadcast_to(JOINT.lever, (2, 2)), JOINT.expansion_per_c)
    line = expected_line(sides, SET)
    by_side = predict(sides, SET, Measured.of([np.nan] * 2, temperatures))
    one = line.value(common_temperature(sides, temperatures))
    assert one == pytest.approx(by_side.expected)


def test_the_common_temperature_of_what_does_not_move_is_the_plain_mean():
    still = Sides.of([[0.0, 0.0]], 1e-5)
    assert common_temperature(still, np.array([[10.0, 20.0]])).tolist() == [15.0]
    assert common_temperature(still, np.array([12.0])).tolist() == [12.0]


def test_sides_that_pull_opposite_ways_are_each_carried_from_their_own_temperature():
    # +1 mm/K at 16 and -0.5 mm/K at 26 degC.  To -24: -40 + 25 = -15; to 56: 40 - 15 = 25.
    found = judge_bearing(
        value=0.0, lever=[131_072.0, -65_536.0], temperature_c=[16.0, 26.0], u_value=10.0
    )
    assert float(found.carried_to_min) == pytest.approx(-15.0)
    assert float(found.carried_to_max) == pytest.approx(25.0)
    # 0.5 mm/K in all from -3 mm at 0 degC: +100 mm where both stand at 206 degC
    assert float(found.upper_at_c) == pytest.approx(206.0)
    assert verdict_and_reasons(found) == (Verdict.IN_RANGE, Reason.NONE)


def test_one_set_of_sides_serves_many_readings():
    bearing = Sides.of(100e3, 12e-6)
    found = predict(bearing, Setting.of(0.0, 10.0), Measured.of([np.nan] * 3, [10.0, 20.0, 0.0]))
    assert found.expected == pytest.approx([0.0, 12.0, -12.0])
    two_readings = predict(JOINT, SET, Measured.of([np.nan] * 2, [15.0, 25.0]))
    assert two_readings.expected == pytest.approx([60.0, 60.0 - 14.6])


@pytest.mark.parametrize("temperature_c", [[10.0, 20.0, 30.0], [[10.0], [20.0]]])
def test_temperatures_that_fit_neither_readings_nor_sides_are_refused(temperature_c):
    with pytest.raises(InputError, match="where the element has 2 sides") as refused:
        predict(JOINT, SET, Measured.of(50.0, temperature_c))
    assert refused.value.field == "temperature_c"


@pytest.mark.parametrize("correlation", [1.01, -2.0, np.nan, np.inf])
def test_a_correlation_is_between_minus_one_and_one(correlation):
    with pytest.raises(InputError, match="not between -1 and 1"):
        predict(JOINT, SET, Measured.of(50.0, 20.0), correlation)


def test_an_uncertainty_that_cancels_to_nothing_is_nought_and_not_undefined():
    # at the setting temperature only the setting's own uncertainties count: here none
    sides = Sides.of(98_765.4, 11.7e-6, u_expansion_per_c=1.3e-6)
    for t_s in (-17.3, 3.1, 26.7, 41.9):
        line = expected_line(sides, Setting.of(0.0, t_s))
        assert float(line.standard_uncertainty(t_s)) == pytest.approx(0.0, abs=1e-6)
