"""Readings over the years: what a history finds, what it asks for, and what it leaves alone."""

import datetime as dt
import math

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from inspections.models import ElementHistory, ElementStatus
from inspections.models.choices import RaisedBy, ResponseWord
from inspections.services.judge import judge_bridges
from inspections.wording_history import history_sentence
from inventory.services.installations import reset_installation
from inventory.units import System
from movement.history.findings import Finding, Missing
from tests.inspections.over_years import (
    DRAWINGS,
    WINTERS_AND_SUMMERS,
    dice,
    free_mm,
    make_bearing,
    make_joint,
    make_rocker,
    visit,
)
from tests.make import SET_AT_20_C, make_bridge, make_unit

pytestmark = pytest.mark.django_db


def history_of(element, **channel) -> ElementHistory:
    return ElementHistory.objects.get(
        element=element, installation=element.current_installation, **channel
    )


def status_of(element) -> ElementStatus:
    return ElementStatus.objects.get(element=element)


def test_a_rocker_that_stands_still_is_frozen_and_its_neighbour_is_free():
    unit = make_unit(make_bridge())
    frozen, free = make_rocker(unit, code="R-1"), make_rocker(unit, code="R-2")
    error = dice()
    for date, temperature_c in WINTERS_AND_SUMMERS:
        tilt = math.degrees(free_mm(100.0, temperature_c) / 400.0)
        rows = [
            (frozen, "tilt", error.gauss(0.0, 0.08), ""),
            (free, "tilt", tilt + error.gauss(0.0, 0.08), ""),
        ]
        visit(unit.bridge, date, temperature_c, rows)
    stuck, healthy = history_of(frozen), history_of(free)
    assert stuck.response == ResponseWord.FROZEN
    assert healthy.response == ResponseWord.FREE
    assert healthy.ratio == pytest.approx(1.0, abs=0.1)
    assert healthy.readings == healthy.visits == len(WINTERS_AND_SUMMERS)
    assert healthy.spread_k == pytest.approx(35.0 + 12.0)
    # 1.17 mm a degree over a radius of 400 mm: 0.1676 deg (hand calculation)
    assert healthy.expected_slope_per_c == pytest.approx(0.1676, abs=0.0001)


def test_a_frozen_bearing_is_to_watch_though_no_reading_of_it_is_beyond_its_band():
    unit = make_unit(make_bridge())
    # 25 m from the fixed point, with a setting known from drawings alone
    bearing = make_bearing(unit, station_m=25.0, known=DRAWINGS)
    error = dice()
    for date, temperature_c in WINTERS_AND_SUMMERS:
        milder = 20.0 + 0.6 * (temperature_c - 20.0)
        visit(unit.bridge, date, milder, [(bearing, "offset_along", error.gauss(0.0, 0.4), "")])
    status = status_of(bearing)
    assert history_of(bearing).response == ResponseWord.FROZEN
    assert status.deciding.get_verdict_display() == "In range"
    assert status.get_verdict_display() == "Watch"
    assert status.raised_by == RaisedBy.HISTORY
    assert status.history == history_of(bearing)


def test_a_gap_that_closes_year_by_year_is_to_watch_with_the_year_of_its_limit():
    unit = make_unit(make_bridge())
    joint = make_joint(unit, known=DRAWINGS, gap_mm=62.0)
    error = dice()
    today = timezone.now().date()
    for half_years in range(16, 0, -1):
        date = today - dt.timedelta(days=round(half_years * 182.625))
        temperature_c = 8.0 if half_years % 2 else 32.0
        gap = 54.0 + half_years - free_mm(100.0, temperature_c) + error.gauss(0.0, 0.5)
        visit(unit.bridge, date, temperature_c, [(joint, "gap", gap, "left")])
    status, history = status_of(joint), history_of(joint, point="left")
    assert history.drift_per_year == pytest.approx(-2.0, abs=0.4)
    assert history.findings & Finding.REACHES_LIMIT
    # Hottest design temperature 48.9 degC (120 degF, AASHTO LRFD Table 3.12.2.1-1): there
    # 54 - 1.17 * 28.9 = 20.2 mm are left, 15.2 above the limit: 7.6 years at 2 mm a year.
    assert history.limit_in_years == pytest.approx(7.6, abs=2.0)
    year = int(timezone.now().year + history.limit_in_years)
    assert any(str(each) in history_sentence(history, System.SI) for each in (year, year + 1))
    assert status.deciding.get_verdict_display() == "In range"
    assert status.get_verdict_display() == "Watch"
    assert status.history == history


def test_a_history_that_shows_nothing_leaves_the_verdict_of_the_reading_alone():
    unit = make_unit(make_bridge())
    bearing, joint = make_bearing(unit), make_joint(unit)
    error = dice()
    for date, temperature_c in WINTERS_AND_SUMMERS:
        move = free_mm(100.0, temperature_c)
        rows = [(bearing, "offset_along", move + error.gauss(0.0, 0.7), "")]
        rows += [
            (joint, "gap", 60.0 - move + error.gauss(0.0, 0.7), point)
            for point in ("left", "centre", "right")
        ]
        visit(unit.bridge, date, temperature_c, rows)
    for element in (bearing, joint):
        assert status_of(element).get_verdict_display() == "In range"
        assert status_of(element).raised_by == RaisedBy.READING
        assert status_of(element).history is None
    assert set(ElementHistory.objects.values_list("response", "findings")) == {
        (ResponseWord.FREE, 0)
    }


def test_a_reading_that_is_already_out_of_range_is_not_said_to_be_raised():
    unit = make_unit(make_bridge())
    bearing = make_bearing(unit)
    for date, temperature_c in WINTERS_AND_SUMMERS:
        visit(unit.bridge, date, temperature_c, [(bearing, "offset_along", 0.2, "")])
    assert history_of(bearing).response == ResponseWord.FROZEN
    assert status_of(bearing).get_verdict_display() == "Out of range"
    assert status_of(bearing).raised_by == RaisedBy.READING


def test_a_wild_reading_is_named_for_a_repeat_and_does_not_flag_by_itself():
    unit = make_unit(make_bridge())
    joint = make_joint(unit)
    error = dice()
    for number, (date, temperature_c) in enumerate(WINTERS_AND_SUMMERS):
        gap = 60.0 - free_mm(100.0, temperature_c) + error.gauss(0.0, 0.5)
        wild = 25.4 if number == 4 else 0.0
        visit(unit.bridge, date, temperature_c, [(joint, "gap", gap + wild, "left")])
    history = history_of(joint, point="left")
    assert history.findings == Finding.BLUNDER
    assert history.blunder_reading.taken_at.date() == WINTERS_AND_SUMMERS[4][0]
    assert history.blunder_size == pytest.approx(25.4, abs=3.0)
    assert history.readings == len(WINTERS_AND_SUMMERS) - 1
    assert status_of(joint).raised_by == RaisedBy.READING


def test_a_bearing_knocked_aside_is_to_watch_and_the_days_around_it_are_told():
    unit = make_unit(make_bridge())
    bearing = make_bearing(unit, station_m=30.0, known=DRAWINGS)
    error = dice()
    for number, (date, temperature_c) in enumerate(WINTERS_AND_SUMMERS):
        shift = 7.0 if number >= 4 else 0.0
        value = free_mm(30.0, temperature_c) + shift - 3.5 + error.gauss(0.0, 0.4)
        visit(unit.bridge, date, temperature_c, [(bearing, "offset_along", value, "")])
    history = history_of(bearing)
    assert history.step_size == pytest.approx(7.0, abs=2.5)
    assert (history.step_after, history.step_before) == (
        WINTERS_AND_SUMMERS[3][0],
        WINTERS_AND_SUMMERS[4][0],
    )
    assert status_of(bearing).get_verdict_display() == "Watch"
    assert status_of(bearing).history == history


def test_two_visits_are_not_enough_and_the_history_says_what_is_missing():
    unit = make_unit(make_bridge())
    bearing = make_bearing(unit)
    for date, temperature_c in WINTERS_AND_SUMMERS[:2]:
        value = free_mm(100.0, temperature_c)
        visit(unit.bridge, date, temperature_c, [(bearing, "offset_along", value, "")])
    history = history_of(bearing)
    assert history.response == ResponseWord.NOT_ENOUGH_INFORMATION
    assert history.missing & Missing.TOO_FEW_VISITS
    assert history.visits == 2
    assert history.visits_needed >= 1


def test_visits_in_mild_weather_alone_ask_for_a_wider_range_of_temperature():
    unit = make_unit(make_bridge())
    bearing = make_bearing(unit, station_m=20.0)
    error = dice()
    for date, temperature_c in WINTERS_AND_SUMMERS[:5]:
        mild = 15.0 + temperature_c / 20.0
        value = free_mm(20.0, mild) + error.gauss(0.0, 0.8)
        visit(unit.bridge, date, mild, [(bearing, "offset_along", value, "")])
    history = history_of(bearing)
    assert history.response == ResponseWord.NOT_ENOUGH_INFORMATION
    assert history.spread_needed_k > history.spread_k


def test_what_no_temperature_moves_has_no_response_but_may_drift():
    unit = make_unit(make_bridge())
    bearing = make_bearing(unit)
    for number, (date, temperature_c) in enumerate(WINTERS_AND_SUMMERS):
        visit(unit.bridge, date, temperature_c, [(bearing, "rotation", 1.0 + 2.0 * number, "")])
    history = history_of(bearing, quantity="rotation")
    assert history.expected_slope_per_c == 0
    assert history.missing & Missing.NO_EXPECTED_SLOPE
    assert history.findings & (Finding.DRIFT | Finding.STEP)


def test_a_bearing_that_hardly_moves_gets_no_ratio_to_that_little():
    # 0.5 m from the fixed point: 0.3 mm over 50 K, read to 1 or 2 mm
    unit = make_unit(make_bridge(), fixed_station_m=99.5)
    bearing, error = make_bearing(unit), dice()
    for date, temperature_c in WINTERS_AND_SUMMERS:
        visit(unit.bridge, date, temperature_c, [(bearing, "offset_along", error.gauss(0, 1), "")])
    history = history_of(bearing, quantity="offset_along")
    assert history.ratio is None
    assert history.missing & Missing.NO_EXPECTED_SLOPE
    assert history.response == ResponseWord.NOT_ENOUGH_INFORMATION


def test_readings_of_an_open_visit_do_not_count_until_it_is_handed_in():
    unit = make_unit(make_bridge())
    bearing = make_bearing(unit)
    date, temperature_c = WINTERS_AND_SUMMERS[0]
    row = (bearing, "offset_along", free_mm(100.0, temperature_c), "")
    visit(unit.bridge, date, temperature_c, [row], state="open")
    assert not ElementHistory.objects.exists()
    date, temperature_c = WINTERS_AND_SUMMERS[1]
    row = (bearing, "offset_along", free_mm(100.0, temperature_c), "")
    visit(unit.bridge, date, temperature_c, [row], state="submitted")
    assert history_of(bearing).readings == 1


def test_points_read_twice_in_one_visit_count_once():
    unit = make_unit(make_bridge())
    joint = make_joint(unit)
    date, temperature_c = WINTERS_AND_SUMMERS[0]
    rows = [(joint, "gap", 94.0, "left"), (joint, "gap", 96.0, "right")]
    visit(unit.bridge, date, temperature_c, rows)
    assert list(ElementHistory.objects.values_list("visits", "readings")) == [(1, 1), (1, 1)]


def test_a_reset_starts_a_new_history_and_leaves_the_old_one_as_it_was():
    unit = make_unit(make_bridge())
    bearing = make_bearing(unit)
    for date, temperature_c in WINTERS_AND_SUMMERS[:4]:
        visit(unit.bridge, date, temperature_c, [(bearing, "offset_along", 0.3, "")])
    old = bearing.current_installation
    assert history_of(bearing).response == ResponseWord.FROZEN
    reset_installation(
        element=bearing,
        reset_on=dt.date(2020, 5, 1),
        setting=SET_AT_20_C,
    )
    for date, temperature_c in WINTERS_AND_SUMMERS[4:]:
        value = free_mm(100.0, temperature_c)
        visit(unit.bridge, date, temperature_c, [(bearing, "offset_along", value, "")])
    before = ElementHistory.objects.get(installation=old)
    assert (before.response, before.readings) == (ResponseWord.FROZEN, 4)
    after = history_of(bearing)
    assert (after.response, after.readings) == (ResponseWord.FREE, 4)
    assert status_of(bearing).get_verdict_display() == "In range"
    assert status_of(bearing).raised_by == RaisedBy.READING


def test_a_sliding_bearing_that_moves_travels_and_a_frozen_one_hardly_does():
    unit = make_unit(make_bridge())
    free, frozen = make_bearing(unit), make_bearing(unit)
    for date, temperature_c in WINTERS_AND_SUMMERS:
        rows = [
            (free, "offset_along", free_mm(100.0, temperature_c), ""),
            (frozen, "offset_along", 0.0, ""),
        ]
        visit(unit.bridge, date, temperature_c, rows)
    # 1.17 mm a degree, a daily range of 8 K there and back on 365 days: 6.8 m a year at
    # least; the yearly cycle adds little (hand calculation)
    assert 6500.0 < history_of(free).travel_mm_per_year < 7500.0
    years = (timezone.now().date() - dt.date(2010, 1, 1)).days / 365.25
    assert history_of(free).travelled_m == pytest.approx(
        years * history_of(free).travel_mm_per_year / 1000.0, rel=0.01
    )
    assert history_of(frozen).travel_mm_per_year < 300.0


def test_judging_asks_the_database_as_often_for_twelve_elements_as_for_two():
    counts = []
    for elements in (2, 12):
        unit = make_unit(make_bridge())
        bearings = [make_bearing(unit) for _ in range(elements)]
        for date, temperature_c in WINTERS_AND_SUMMERS[:4]:
            value = free_mm(100.0, temperature_c)
            rows = [(each, "offset_along", value, "") for each in bearings]
            visit(unit.bridge, date, temperature_c, rows)
        with CaptureQueriesContext(connection) as asked:
            judge_bridges([unit.bridge_id])
        # What is written goes in batches of rows, so that alone may take more.
        counts.append(sum(each["sql"].startswith("SELECT") for each in asked.captured_queries))
    assert counts[0] == counts[1]
