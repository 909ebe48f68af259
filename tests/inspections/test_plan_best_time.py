"""When to visit next, from the station's record or a rule of thumb."""

import datetime as dt

import numpy as np
import pytest
from django.core.cache import cache
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inspections.lookups.plan_climate import climates_of
from inspections.models import AirTemperature, ElementHistory
from inspections.selectors.plan_best_time import not_enough, time_of_bridge, times_of_channels
from inspections.services.visits import submit
from inspections.wording_plan import cautions, narrowing_words, time_words, window_words
from inventory.models import Bridge
from inventory.units import System
from movement.best_time import Window
from tests.inspections.desk_rows import words
from tests.make import UTC, judged_once, make_bridge, make_element, make_inspection, make_unit, read

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def no_cache():
    cache.clear()
    yield
    cache.clear()


def record(station: str = "ST", year: int = 2023) -> None:
    """Six days of each month: coldest in January at 05 UTC, hottest in July at 17 UTC."""
    rows = []
    for month in range(1, 13):
        for day in range(10, 16):
            for hour in range(24):
                yearly = -12 * np.cos(2 * np.pi * (month - 1) / 12)
                daily = -5 * np.cos(2 * np.pi * (hour - 5) / 24)
                at = dt.datetime(year, month, day, hour, tzinfo=UTC)
                rows.append(
                    AirTemperature(station=station, time_utc=at, temperature_c=10 + yearly + daily)
                )
    AirTemperature.objects.bulk_create(rows)


@judged_once()
def summer_bridge(code: str = "S-1", **fields) -> Bridge:
    """Return a bridge whose joint was read on summer days only."""
    bridge = make_bridge(code, **fields)
    joint = make_element(make_unit(bridge), "strip_seal", "J1")
    for year, temperature_c in ((2019, 23.0), (2021, 25.0), (2023, 26.0), (2024, 22.0)):
        visit = make_inspection(bridge, dt.date(year, 7, 1))
        gap_mm = 70.0 - 1.17 * (temperature_c - 15)
        read(visit, joint, "gap", gap_mm, temperature_c, point="left", axis="square")
        submit(inspection=visit)
    return bridge


def with_joins(bridge: Bridge) -> Bridge:
    return Bridge.objects.select_related("temperature_basis").get(pk=bridge.pk)


def test_summer_visits_ask_for_a_january_morning_by_the_record():
    record()
    bridge = summer_bridge(air_station="ST")
    found = time_of_bridge(bridge)
    assert (found.times.best.month, found.times.best.best_hour) == (1, 5)
    # 10 - 12 - 5 = -7 degC against a mean of 24.
    assert found.times.best.delta_k == pytest.approx(-31.0, abs=0.1)
    said = time_words(found.times, System.SI)
    assert said.startswith("Visit next in January, 0")
    assert "31\u202fK colder than the mean of the 4 visits so far" in said
    assert "about sunrise" in said
    assert "station ST" in found.climate.source
    assert "56\u202f°F colder" in time_words(found.times, System.US)


def test_the_hours_are_those_of_the_bridges_clock():
    record()
    bridge = with_joins(make_bridge(time_zone="America/Denver", air_station="ST"))
    table = climates_of([bridge])[bridge.pk].table_c
    # 05 UTC is 22 there in winter and 23 in summer.
    assert table[0].argmin() == 22
    assert table[6].argmin() == 23


def test_an_hour_with_few_records_is_not_known():
    record()
    AirTemperature.objects.filter(time_utc__month=1, time_utc__day__gt=13).delete()
    bridge = with_joins(make_bridge(air_station="ST"))
    table = climates_of([bridge])[bridge.pk].table_c
    assert np.isnan(table[0]).all()
    assert np.isfinite(table[1]).all()


def test_only_the_last_years_of_a_record_count():
    record(year=2023)
    AirTemperature.objects.create(
        station="ST", time_utc=dt.datetime(2010, 1, 10, 5, tzinfo=UTC), temperature_c=-60
    )
    bridge = with_joins(make_bridge(air_station="ST"))
    assert climates_of([bridge])[bridge.pk].table_c[0, 5] == pytest.approx(-7.0)


@pytest.mark.parametrize(("latitude_deg", "month"), [(47.0, 1), (-35.0, 7)])
def test_without_a_record_a_rule_of_thumb_says_that_it_is_one(latitude_deg, month):
    bridge = summer_bridge(latitude_deg=latitude_deg, air_station="NONE")
    found = time_of_bridge(bridge)
    assert found.climate.rule_of_thumb
    assert "rule of thumb" in found.climate.source
    assert found.times.cold[0].month in (month, month + 1)


def test_the_rule_of_thumb_stays_within_the_design_temperatures_and_has_no_season_at_the_equator():
    bridges = [with_joins(make_bridge(latitude_deg=latitude_deg)) for latitude_deg in (60.0, 0.0)]
    for bridge in bridges:
        make_unit(bridge)
    north, equator = (climates_of(bridges)[bridge.pk].table_c for bridge in bridges)
    # AASHTO LRFD 3.12.2.1, procedure A, cold: concrete and steel both lie within -34 to 49 degC.
    assert north.min() > -34
    assert north.max() < 49
    assert np.ptp(equator, axis=0).max() == pytest.approx(0, abs=1e-9)
    assert np.ptp(north.mean(axis=1)) > 20


def test_where_nothing_is_known_no_season_is_proposed(as_role):
    bridge = summer_bridge(basis={})
    found = time_of_bridge(bridge)
    assert found.climate is None
    assert time_words(found.times, System.SI) == ""
    page = words(as_role("manager").get("/plan/not-enough/"))
    assert "Read between 22.0 °C and 26.0 °C so far: a visit that is much colder" in page


def test_a_history_with_too_little_spread_is_listed_with_what_a_visit_would_narrow(as_role):
    record()
    bridge = summer_bridge(air_station="ST")
    history = ElementHistory.objects.get(element__bridge=bridge)
    assert history.get_response_display() == "Not enough information"
    (channel,) = times_of_channels(not_enough())
    assert channel.times.visits == 4
    now = (history.ratio_high - history.ratio_low) / 2
    # Temperatures 23, 25, 26, 22: S = 10; a visit at -7 adds 4/5 of 31 squared.
    after = now * (10 / (10 + 0.8 * 31**2)) ** 0.5
    assert narrowing_words(channel) == (
        f"A reading then would narrow the response of J1 from ±{now:.2f} to about ±{after:.2f}."
    )
    page = words(as_role("engineer").get("/plan/not-enough/"))
    assert "S-1 J1" in page
    assert "in January" in page
    assert "never alone" in page
    planning = words(as_role("engineer").get("/plan/visits/new/?bridge=S-1"))
    assert "would narrow the response of J1" in planning


def test_what_moves_by_no_temperature_is_not_listed():
    bridge = summer_bridge()
    ElementHistory.objects.filter(element__bridge=bridge).update(expected_slope_per_c=0)
    assert not not_enough().exists()


def test_the_list_costs_the_same_with_many_bridges_and_stations(as_role):
    client = as_role("engineer")
    record()
    summer_bridge("S-00", air_station="ST")

    def cost(address):
        client.get(address)
        with CaptureQueriesContext(connection) as captured:
            assert client.get(address).status_code == 200
        return len(captured)

    one = cost("/plan/not-enough/")
    for number in range(1, 25):
        summer_bridge(f"S-{number:02}", air_station=f"X{number}" if number % 2 else "ST")
    assert len(client.get("/plan/not-enough/").context["channels"]) == 25
    assert cost("/plan/not-enough/") == one
    assert one <= 30
    assert cost("/plan/visits/new/?bridge=S-01") <= 30


def window(**fields) -> Window:
    values = {
        "month": 1,
        "first_hour": 4,
        "last_hour": 7,
        "best_hour": 5,
        "temperature_c": -7.0,
        "delta_k": -30.0,
        "gain_k2": 700.0,
        "error_ratio": 0.3,
    }
    return Window(**values | fields)


@pytest.mark.parametrize(
    ("fields", "expected"),
    [
        ({}, "in January, 04:00 to 08:00, about sunrise"),
        ({"first_hour": 22, "last_hour": 1, "best_hour": 23},
         "in January, 22:00 to 02:00, at night"),
        ({"month": 7, "first_hour": 14, "last_hour": 16, "best_hour": 15},
         "in July, 14:00 to 17:00, in the afternoon"),
    ],
)  # fmt: skip
def test_windows_are_told_by_month_and_clock(fields, expected):
    assert window_words(window(**fields)) == expected


def test_cautions_fit_the_hour():
    assert [each.split(":")[0] for each in cautions(window())] == [
        "Before daylight",
        "Frost is likely",
    ]
    hot = window(month=7, best_hour=15, temperature_c=34.0, delta_k=20.0)
    assert [each.split(":")[0] for each in cautions(hot)] == ["Heat is likely"]
    assert cautions(window(best_hour=11, temperature_c=12.0)) == []
