"""All elements of a unit read together: what is named, what is raised, what is asked for."""

import datetime as dt
import math

import pytest

from inspections.models import ElementStatus, Explanation, UnitDiagnosis
from inspections.models.choices import CauseWord, DiagnosisWord, RaisedBy
from movement.whole_bridge import Missing
from tests.inspections.over_years import (
    WINTERS_AND_SUMMERS,
    dice,
    free_mm,
    make_bearing,
    make_joint,
    make_rocker,
    visit,
)
from tests.make import make_bridge, make_support, make_unit

pytestmark = pytest.mark.django_db


@pytest.fixture
def unit():
    """A unit of 100 m, held at its start, on a pier at 50 m and an abutment at its end."""
    bridge = make_bridge()
    unit = make_unit(bridge)
    make_bearing(unit, station_m=0.0, code="A1-B1", device="fixed_pin")
    make_support(bridge, "P1", 50.0)
    make_support(bridge, "A2", 100.0)
    return unit


def best(unit) -> Explanation:
    diagnosis = UnitDiagnosis.objects.get(unit=unit)
    assert diagnosis.outcome == DiagnosisWord.EXPLAINED
    return diagnosis.explanations.get(rank=0, beside=False)


def read_all(unit, bearings, joint, moved_mm=lambda date: 0.0, skip=()):
    """Read bearings {element: station} and the joint; an abutment may have moved to the deck."""
    error = dice()
    for date, temperature_c in WINTERS_AND_SUMMERS:
        rows = []
        for element, station_m in bearings.items():
            value = free_mm(station_m, temperature_c)
            if station_m == 100.0:
                value += moved_mm(date)
            if element in skip:
                value = 0.0
            rows.append((element, "offset_along", value + error.gauss(0.0, 0.6), ""))
        gap = 60.0 - free_mm(100.0, temperature_c) - moved_mm(date)
        rows += [
            (joint, "gap", gap + error.gauss(0.0, 0.6), point)
            for point in ("left", "centre", "right")
        ]
        visit(unit.bridge, date, temperature_c, rows)


def test_nothing_is_found_wrong_where_every_element_follows_the_deck(unit):
    bearings = {make_bearing(unit, station_m): station_m for station_m in (50.0, 50.0, 100.0)}
    read_all(unit, bearings, make_joint(unit))
    diagnosis = UnitDiagnosis.objects.get(unit=unit)
    assert diagnosis.outcome == DiagnosisWord.HEALTHY
    assert diagnosis.equal == 0
    assert diagnosis.visits == len(WINTERS_AND_SUMMERS)
    assert diagnosis.readings == len(WINTERS_AND_SUMMERS) * (3 + 3)
    assert diagnosis.spread_k == pytest.approx(47.0)
    assert (diagnosis.first_seen_on, diagnosis.last_seen_on) == (
        WINTERS_AND_SUMMERS[0][0],
        WINTERS_AND_SUMMERS[-1][0],
    )
    assert not ElementStatus.objects.exclude(raised_by="").exists()


def test_the_one_bearing_that_stands_still_is_named_as_frozen(unit):
    stuck = make_bearing(unit, 50.0, code="P1-B2")
    bearings = {make_bearing(unit, 50.0): 50.0, stuck: 50.0, make_bearing(unit): 100.0}
    read_all(unit, bearings, make_joint(unit), skip=(stuck,))
    found = best(unit)
    assert found.cause == CauseWord.FROZEN
    assert found.element == stuck
    assert found.quantity == "offset_along"
    assert found.size == pytest.approx(0.0, abs=0.1)
    assert found.low < 0.0 < found.high


def test_a_frozen_rocker_is_found_from_tilts_beside_the_gap(unit):
    stuck, free = make_rocker(unit, code="R-1"), make_rocker(unit, code="R-2")
    joint = make_joint(unit)
    error = dice()
    for date, temperature_c in WINTERS_AND_SUMMERS:
        move = free_mm(100.0, temperature_c)
        rows = [
            (stuck, "tilt", error.gauss(0.0, 0.08), ""),
            (free, "tilt", math.degrees(move / 400.0) + error.gauss(0.0, 0.08), ""),
            (joint, "gap", 60.0 - move + error.gauss(0.0, 0.6), "left"),
        ]
        visit(unit.bridge, date, temperature_c, rows)
    found = best(unit)
    assert (found.cause, found.element) == (CauseWord.FROZEN, stuck)


def test_a_support_that_moved_is_named_with_its_way_and_the_visits_between(unit):
    bearings = {make_bearing(unit, 50.0): 50.0}
    bearings |= {make_bearing(unit): 100.0, make_bearing(unit): 100.0}
    since = dt.date(2020, 6, 1)
    # 18 mm towards the deck: bearings there show the deck further ahead, the gap narrows
    read_all(unit, bearings, make_joint(unit), lambda date: 18.0 if date > since else 0.0)
    found = best(unit)
    assert found.cause == CauseWord.SUPPORT_MOVED
    assert found.support.code == "A2"
    assert found.size == pytest.approx(-18.0, abs=2.0)
    assert found.last_before.date == WINTERS_AND_SUMMERS[3][0]
    assert found.visit.date == WINTERS_AND_SUMMERS[4][0]


def test_an_element_on_a_support_that_moved_is_to_watch_though_nobody_reached_it(unit):
    unreached = make_bearing(unit, code="A2-B9")
    elsewhere = make_bearing(unit, 50.0, code="P1-B9")
    bearings = {make_bearing(unit, 50.0): 50.0}
    bearings |= {make_bearing(unit): 100.0, make_bearing(unit): 100.0}
    since = dt.date(2020, 6, 1)
    read_all(unit, bearings, make_joint(unit), lambda date: 18.0 if date > since else 0.0)
    status = ElementStatus.objects.get(element=unreached)
    assert status.get_verdict_display() == "Watch"
    assert status.raised_by == RaisedBy.UNIT
    assert status.explanation == best(unit)
    assert status.deciding is None
    other = ElementStatus.objects.get(element=elsewhere)
    assert other.get_verdict_display() == "Cannot judge"


def test_a_wrong_temperature_is_named_and_raises_no_element(unit):
    bearings = {make_bearing(unit, 50.0): 50.0, make_bearing(unit): 100.0}
    joint = make_joint(unit)
    error = dice()
    for number, (date, temperature_c) in enumerate(WINTERS_AND_SUMMERS):
        written_c = temperature_c + (22.0 if number == 4 else 0.0)
        move = {each: free_mm(station, temperature_c) for each, station in bearings.items()}
        rows = [
            (each, "offset_along", value + error.gauss(0.0, 0.6), "")
            for each, value in move.items()
        ]
        rows.append((joint, "gap", 60.0 - free_mm(100.0, temperature_c), "left"))
        visit(unit.bridge, date, written_c, rows)
    found = best(unit)
    assert found.cause == CauseWord.WRONG_TEMPERATURE
    assert found.visit.date == WINTERS_AND_SUMMERS[4][0]
    assert found.size == pytest.approx(22.0, abs=3.0)
    assert not ElementStatus.objects.filter(raised_by=RaisedBy.UNIT).exists()


def test_a_gap_between_two_units_counts_in_both_with_the_neighbours_part_taken_off():
    bridge = make_bridge()
    first = make_unit(bridge, "U1")
    second = make_unit(
        bridge, "U2", start_station_m=100.0, end_station_m=180.0, fixed_station_m=180.0
    )
    joint = make_joint(first, place={"unit_ahead": second})
    error = dice()
    for date, temperature_c in WINTERS_AND_SUMMERS:
        closes = free_mm(100.0, temperature_c) + free_mm(80.0, temperature_c)
        gap = 60.0 - closes + error.gauss(0.0, 0.6)
        visit(bridge, date, temperature_c, [(joint, "gap", gap, "left")])
    for unit in (first, second):
        diagnosis = UnitDiagnosis.objects.get(unit=unit)
        assert diagnosis.readings == len(WINTERS_AND_SUMMERS)
        assert diagnosis.outcome == DiagnosisWord.HEALTHY


def test_a_deck_that_shortens_is_named_and_the_one_beyond_its_joint_is_left_in_peace():
    bridge = make_bridge()
    stays = make_unit(bridge, "U1")
    shortens = make_unit(
        bridge, "U2", start_station_m=100.0, end_station_m=200.0, fixed_station_m=200.0
    )
    joint = make_joint(stays, place={"unit_ahead": shortens})
    of_first = {make_bearing(stays, station): station for station in (50.0, 50.0, 100.0)}
    of_second = {
        make_bearing(shortens, station, code=f"S{station:g}"): station - 200.0
        for station in (100.0, 120.0, 150.0)
    }
    error = dice()
    for number, (date, temperature_c) in enumerate(WINTERS_AND_SUMMERS):
        strain = 1e-4 * (3.0 + number / 4.0)
        move = {each: free_mm(arm, temperature_c) for each, arm in of_first.items()}
        move |= {
            each: free_mm(arm, temperature_c) - strain * arm * 1000.0
            for each, arm in of_second.items()
        }
        rows = [
            (each, "offset_along", value + error.gauss(0.0, 0.6), "")
            for each, value in move.items()
        ]
        closes = 2.0 * free_mm(100.0, temperature_c) - strain * 100_000.0
        rows.append((joint, "gap", 60.0 - closes + error.gauss(0.0, 0.6), "left"))
        visit(bridge, date, temperature_c, rows)
    assert best(shortens).cause == CauseWord.SHORTENING
    assert best(shortens).size == pytest.approx(4.75e-4, rel=0.15)
    assert UnitDiagnosis.objects.get(unit=stays).outcome == DiagnosisWord.HEALTHY


def test_one_visit_without_a_setting_is_not_enough_and_a_second_is_asked_for():
    unit = make_unit(make_bridge())
    bearing = make_bearing(unit, known={"setting_source": "unknown"})
    visit(unit.bridge, dt.date(2024, 2, 1), -3.0, [(bearing, "offset_along", 4.0, "")])
    diagnosis = UnitDiagnosis.objects.get(unit=unit)
    assert diagnosis.outcome == DiagnosisWord.NOT_ENOUGH
    assert diagnosis.missing & Missing.VISITS


def test_visits_at_one_temperature_ask_for_the_range_that_would_show_a_frozen_bearing():
    unit = make_unit(make_bridge())
    bearing = make_bearing(unit, 20.0, known={"setting_source": "unknown"})
    for date, temperature_c in WINTERS_AND_SUMMERS[:4]:
        mild = 15.0 + temperature_c / 20.0
        rows = [(bearing, "offset_along", free_mm(20.0, mild), "")]
        visit(unit.bridge, date, mild, rows)
    diagnosis = UnitDiagnosis.objects.get(unit=unit)
    assert diagnosis.outcome == DiagnosisWord.NOT_ENOUGH
    assert diagnosis.missing & Missing.TEMPERATURE_RANGE
    assert diagnosis.range_needed_k > diagnosis.spread_k


def test_a_unit_that_was_never_read_says_so_and_an_open_visit_does_not_change_that(unit):
    bearing = make_bearing(unit)
    rows = [(bearing, "offset_along", 0.0, "")]
    visit(unit.bridge, dt.date(2024, 2, 1), -3.0, rows, state="open")
    diagnosis = UnitDiagnosis.objects.get(unit=unit)
    assert diagnosis.outcome == DiagnosisWord.NOT_ENOUGH
    assert diagnosis.missing == Missing.READINGS
    assert (diagnosis.visits, diagnosis.readings) == (0, 0)
