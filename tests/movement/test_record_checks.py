"""Gross errors of an air record: planted ones are found, real weather is left alone.

The records are in tests/data: a typical year, a real year of hours, and a year of one station.
"""

import numpy as np
import pytest

from movement.errors import InputError
from movement.record_checks import DAYS, HOURS, Suspect, suspects
from tests.weather import air_2013, typical_year, year_2017


def station_2013():
    hours, air = air_2013()
    known = ~np.isnan(air)
    return hours[known], air[known]


def regular(air):
    return np.arange(float(air.size)), air


RECORDS = {
    "typical": lambda: regular(typical_year()[0]),
    "2017": lambda: regular(year_2017()[0]),
    "2013": station_2013,
}
MISREAD = {
    Suspect.SIGN: lambda air: -air,
    Suspect.FAHRENHEIT: lambda air: air * 1.8 + 32.0,
    Suspect.CELSIUS: lambda air: (air - 32.0) / 1.8,
}


def steady(count=72, air=12.0):
    """Return hours and air that swings by a kelvin or so."""
    hour = np.arange(float(count))
    return hour, air + np.sin(hour / 4.0)


@pytest.mark.parametrize("name", RECORDS)
def test_a_year_of_real_weather_has_nothing_suspect(name):
    assert not suspects(*RECORDS[name]()).any()


@pytest.mark.parametrize("name", RECORDS)
@pytest.mark.parametrize("extreme", [np.min, np.max])
def test_the_daily_extremes_of_a_real_year_have_nothing_suspect(name, extreme):
    at, air = RECORDS[name]()
    days = np.unique(at // 24)
    daily = np.array([extreme(air[at // 24 == day]) for day in days])
    assert not suspects(days * 24.0, daily, DAYS).any()


@pytest.mark.parametrize("name", RECORDS)
@pytest.mark.parametrize("kind", MISREAD)
def test_runs_misread_in_a_real_year_are_found_and_named_and_nothing_beside_them(name, kind):
    at, air = RECORDS[name]()
    rng = np.random.default_rng(20)
    tried = found = beside = 0
    for _ in range(120):
        start, length = rng.integers(300, air.size - 400), rng.integers(1, 48)
        run = slice(start, start + length)
        wrong = air.copy()
        wrong[run] = MISREAD[kind](air[run])
        if np.abs(wrong[run] - air[run])[[0, -1]].min() < 12.0:
            continue  # an error that small at an end is no gross one
        flags = suspects(at, wrong)
        tried += 1
        found += (flags[run] & kind > 0).all()
        beside += np.delete(flags, np.arange(run.start, run.stop)).any()
    assert tried > 50
    # degC read as degF and a lost sign look alike near -11 degC: either name may be given there
    assert found >= 0.95 * tried
    assert beside <= 0.02 * tried


def test_a_run_below_zero_between_warm_hours_has_lost_its_sign():
    at, air = steady()
    air[30:35] = -air[30:35]
    flags = suspects(at, air)
    assert np.flatnonzero(flags).tolist() == [30, 31, 32, 33, 34]
    assert set(flags[30:35]) == {Suspect.SIGN}


@pytest.mark.parametrize("run", [slice(0, 6), slice(66, 72)])
def test_a_run_at_an_end_of_the_record_is_found_by_its_other_end(run):
    at, air = steady()
    air[run] = -air[run]
    assert np.flatnonzero(suspects(at, air)).tolist() == [*range(run.start, run.stop)]


def test_a_whole_record_in_another_unit_cannot_be_told():
    at, air = steady()
    assert not suspects(at, air * 1.8 + 32.0).any()


@pytest.mark.parametrize("records", [1, 2, 3])
@pytest.mark.parametrize("jump_k", [16.0, -20.0])
def test_a_jump_away_and_back_within_hours_is_a_spike(records, jump_k):
    at, air = steady(air=20.0)
    air[40 : 40 + records] += jump_k
    flags = suspects(at, air)
    assert np.flatnonzero(flags).tolist() == [*range(40, 40 + records)]
    assert set(flags[flags > 0]) == {Suspect.SPIKE}


def test_a_front_that_stays_is_told_as_a_jump_and_no_more():
    at, air = steady(air=30.0)
    air[40:] -= 16.0
    flags = suspects(at, air)
    assert np.flatnonzero(flags).tolist() == [40]
    assert flags[40] == Suspect.JUMP


def test_a_swing_of_fourteen_kelvin_in_an_hour_is_weather():
    at, air = steady(air=20.0)
    air[40] += 14.0
    assert not suspects(at, air).any()


@pytest.mark.parametrize(("equal", "stuck"), [(24, False), (25, True)])
def test_the_same_value_for_a_day_is_a_stuck_sensor(equal, stuck):
    # 25 equal hours are 24 h from first to last
    at, air = steady()
    air[20 : 20 + equal] = 9.5
    flags = suspects(at, air)
    assert flags.any() == stuck
    if stuck:
        assert np.flatnonzero(flags & Suspect.STUCK).tolist() == [*range(20, 20 + equal)]


def test_values_on_both_sides_of_a_long_gap_say_nothing_of_each_other():
    at, air = steady()
    at[36:] += 24.0
    air[36:] = -air[36:]
    assert not suspects(at, air).any()


def test_one_value_or_none_is_never_suspect():
    assert suspects([5.0], [-40.0]).tolist() == [0]
    assert suspects([], []).size == 0


def test_many_small_steps_make_no_error_of_a_cold_night():
    at = np.arange(48.0)
    air = 8.0 - 16.0 * np.sin(at * np.pi / 24.0) ** 2  # from +8 to -8 and back in a day
    assert not suspects(at, air, HOURS).any()


@pytest.mark.parametrize(
    ("at", "air", "field"),
    [
        ([1.0, 1.0], [2.0, 2.0], "at_h"),
        ([1.0, 2.0], [2.0], "value_c"),
        ([1.0], [np.nan], "value_c"),
    ],
)
def test_a_record_is_sorted_and_whole(at, air, field):
    with pytest.raises(InputError) as refused:
        suspects(at, air)
    assert refused.value.field == field
