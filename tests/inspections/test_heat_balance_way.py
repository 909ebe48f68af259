"""A unit with a section takes its temperature from a heat balance of the air before a reading."""

import datetime as dt

import numpy as np
import pytest
from django.urls import reverse

from inspections.models import AgencySettings, AirDay, AirTemperature, Verdict
from inspections.services.judge import judge_bridges
from inspections.services.temperatures import Hour, effective_temperatures
from inspections.wording import way_words
from movement.heat_balance.effective import effective_temperature
from movement.heat_balance.sections import composite_girders, cut
from movement.temperature import Way
from tests.make import make_bridge, make_element, make_inspection, make_section, make_unit, read
from tests.weather import year_2017

pytestmark = pytest.mark.django_db

START = dt.datetime(2017, 1, 1, tzinfo=dt.UTC)
AIR, SUN, WIND = year_2017()
JULY = slice(24 * 190, 24 * 215)
READ_AT = START + dt.timedelta(hours=24 * 212 + 15)
MINUTES_PAST = dt.timedelta(minutes=24)


def record(station="HILL", hours=JULY, *, sun=True, wind=False, lacking=()):
    """Put the hours of the real year on record."""
    AirTemperature.objects.bulk_create(
        AirTemperature(
            station=station,
            time_utc=START + dt.timedelta(hours=hour),
            temperature_c=AIR[hour],
            sun_w_per_m2=SUN[hour] if sun else None,
            wind_m_per_s=WIND[hour] if wind else None,
        )
        for hour in range(hours.start, hours.stop)
        if hour not in lacking
    )


def record_days(station="HILL", hours=JULY):
    by_day = AIR[hours].reshape(-1, 24)
    AirDay.objects.bulk_create(
        AirDay(
            station=station,
            day=(START + dt.timedelta(hours=hours.start)).date() + dt.timedelta(days=index),
            min_c=each.min(),
            max_c=each.max(),
        )
        for index, each in enumerate(by_day)
    )


def unit_with_section(deck_type="composite", station="HILL", section=None, **bridge):
    unit = make_unit(make_bridge(air_station=station, **bridge), deck_type=deck_type)
    if section is not False:
        make_section(unit, **(section or {}))
    return unit


def found(unit, *times):
    visit = make_inspection(unit.bridge, READ_AT.date())
    rows = [Hour(visit.pk, unit.pk, each) for each in times or (READ_AT,)]
    return effective_temperatures(rows, AgencySettings.current())


def by_hand(layers, at=READ_AT, **weather):
    """The balance of the whole record, without the register, at a whole hour."""
    history = effective_temperature(cut([layers]), AIR[JULY], **weather)
    place = round((at - START) / dt.timedelta(hours=1)) - JULY.start
    return history.temperature_c[0, place], history.u_temperature_k[0, place]


def test_with_the_sun_on_record_it_is_the_balance_of_air_and_sun():
    record()
    result = found(unit_with_section(section={"depth_mm": 1750.0}))
    wanted, u = by_hand(composite_girders(1.5), sun_w_per_m2=SUN[JULY])
    assert result.way.tolist() == [Way.HEAT_BALANCE]
    # the register looks back a warm-up, not to the start of the record: 2 % of a wrong start
    assert result.temperature_c == pytest.approx([wanted], abs=0.3)
    assert result.u_temperature_k == pytest.approx([u], abs=0.1)


def test_without_the_sun_it_says_so_and_is_less_sure():
    record(sun=False)
    result = found(unit_with_section())
    record("SUNNY")
    sunny = found(unit_with_section(station="SUNNY"))
    assert result.way.tolist() == [Way.HEAT_BALANCE_AIR]
    assert result.u_temperature_k[0] > sunny.u_temperature_k[0]
    # within its band of what the sun makes of it
    assert abs(result.temperature_c[0] - sunny.temperature_c[0]) < 2.5 * result.u_temperature_k[0]


def test_where_the_bridge_lies_stands_for_much_of_a_sun_that_is_not_on_record():
    record(sun=False)
    record("SUNNY")
    where = {"latitude_deg": 40.0, "longitude_deg": 0.0}
    placed, nowhere = found(unit_with_section(**where)), found(unit_with_section())
    sunny = found(unit_with_section(station="SUNNY"))
    assert placed.way.tolist() == nowhere.way.tolist() == [Way.HEAT_BALANCE_AIR]
    lost = np.abs([each.temperature_c - sunny.temperature_c for each in (placed, nowhere)])
    assert lost[0] < 0.6 * lost[1]


def test_wind_on_record_brings_a_sunny_deck_nearer_to_the_air():
    record("CALM")
    record("WINDY", wind=True)
    assert WIND[JULY.start : JULY.stop].mean() > 0
    calm, windy = (found(unit_with_section(station=each)) for each in ("CALM", "WINDY"))
    assert windy.way.tolist() == [Way.HEAT_BALANCE]
    assert windy.temperature_c[0] != pytest.approx(calm.temperature_c[0], abs=0.05)


def test_a_unit_without_a_section_takes_the_plain_mean_which_runs_cold_in_summer():
    record()
    plain = found(unit_with_section(section=False))
    balance = found(unit_with_section())
    assert plain.way.tolist() == [Way.AIR_HISTORY]
    assert plain.u_temperature_k.tolist() == [5.0]
    assert plain.temperature_c[0] < balance.temperature_c[0] - 3.0


def test_a_record_too_short_to_warm_up_a_section_still_gives_the_plain_mean():
    record(hours=slice(24 * 210 + 22, 24 * 212 + 18))
    slab = unit_with_section("concrete", section={"section_form": "slab", "depth_mm": 800.0})
    assert found(slab).way.tolist() == [Way.AIR_HISTORY]


def test_the_first_hours_of_a_deeper_section_reach_further_back():
    four_days = slice(24 * 208 + 10, 24 * 212 + 18)
    record(hours=four_days)
    thin = unit_with_section("concrete", section={"section_form": "slab", "depth_mm": 500.0})
    thick = unit_with_section("concrete", section={"section_form": "slab", "depth_mm": 1300.0})
    assert found(thin).way.tolist() == [Way.HEAT_BALANCE]
    assert found(thick).way.tolist() == [Way.AIR_HISTORY]


def test_from_daily_extremes_alone_it_is_near_the_balance_of_the_hours():
    record_days()
    record("HOURS", sun=False)
    days = found(unit_with_section(longitude_deg=0.0))
    hours = found(unit_with_section(station="HOURS"))
    assert days.way.tolist() == [Way.HEAT_BALANCE_DAYS]
    assert days.temperature_c == pytest.approx(hours.temperature_c, abs=2.8)
    assert days.u_temperature_k[0] > hours.u_temperature_k[0]


def test_from_daily_extremes_alone_a_unit_without_section_has_their_mean():
    record_days()
    result = found(unit_with_section(section=False))
    assert result.way.tolist() == [Way.AIR_HISTORY]
    recorded = AIR[24 * 211 + 16 : 24 * 212 + 16].mean()
    assert result.temperature_c == pytest.approx([recorded], abs=1.5)


def test_the_longitude_of_a_bridge_says_when_its_day_is_warmest():
    record_days()
    here = found(unit_with_section("steel", longitude_deg=0.0), READ_AT)
    # 90 degrees west the sun is six hours behind: at 15 UTC it is morning
    there = found(unit_with_section("steel", longitude_deg=-90.0), READ_AT)
    assert there.temperature_c[0] < here.temperature_c[0] - 5.0


def test_a_time_zone_stands_in_where_the_longitude_is_not_known():
    record_days()
    zone, longitude = (
        found(unit_with_section("steel", **where))
        for where in ({"time_zone": "America/Denver"}, {"longitude_deg": -105.0})
    )
    assert zone.temperature_c == pytest.approx(longitude.temperature_c)


def test_extremes_fill_a_hole_of_the_record_and_that_is_told():
    hole = range(24 * 211, 24 * 211 + 20)
    record(sun=False, lacking=hole)
    record_days()
    assert found(unit_with_section()).way.tolist() == [Way.HEAT_BALANCE_DAYS]


def test_extremes_do_not_replace_hours_that_are_on_record():
    record(sun=False)
    record_days()
    assert found(unit_with_section()).way.tolist() == [Way.HEAT_BALANCE_AIR]


def test_between_two_hours_the_temperature_is_between_theirs():
    record()
    hour = dt.timedelta(hours=1)
    result = found(unit_with_section(), READ_AT, READ_AT + MINUTES_PAST, READ_AT + hour)
    first, between, last = result.temperature_c
    assert between == pytest.approx(first + 0.4 * (last - first), abs=0.05)


def test_the_hour_that_is_not_over_yet_does_not_spoil_a_reading_in_it():
    until = 24 * 212 + 16  # the hour of the reading is the last on record
    record(hours=slice(JULY.start, until))
    result = found(unit_with_section(), READ_AT, READ_AT + MINUTES_PAST)
    assert result.way.tolist() == [Way.HEAT_BALANCE] * 2
    assert result.temperature_c[1] == pytest.approx(result.temperature_c[0])


def test_many_readings_together_are_each_as_alone():
    record()
    unit = unit_with_section()
    other = make_unit(unit.bridge, code="U2", deck_type="concrete")
    make_section(other)
    visit = make_inspection(unit.bridge, READ_AT.date())
    rows = [
        Hour(visit.pk, each.pk, READ_AT - dt.timedelta(hours=back, minutes=7 * back))
        for each in (unit, other)
        for back in (0, 1, 30, 90)
    ]
    agency = AgencySettings.current()
    together = effective_temperatures(rows, agency)
    alone = np.array([effective_temperatures([row], agency).temperature_c[0] for row in rows])
    # what was before the warm-up of the one may lie within that of the other
    assert together.temperature_c == pytest.approx(alone, abs=0.3)
    assert set(together.way) == {Way.HEAT_BALANCE}


def test_a_temperature_of_the_crew_goes_before_the_station():
    record()
    unit = unit_with_section()
    setting = {"setting_temperature_c": 10.0, "setting_offset_along_mm": 0.0}
    bearing = make_element(unit, installation={"setting_source": "measured"} | setting)
    visit = make_inspection(unit.bridge, READ_AT.date())
    read(visit, bearing, "offset_along", 12.0, hour=15)
    verdict = Verdict.objects.get()
    assert verdict.temperature_way == Way.HEAT_BALANCE
    assert way_words(verdict) == "Heat balance of the section, from air and sun of the station"
    assert way_words(verdict, "HILL") == "Heat balance of the section, from air and sun of HILL"
    verdict.temperature_way = Way.AIR_HISTORY
    assert way_words(verdict, "HILL") == "Mean shade air of the preceding 24 or 48 hours at HILL"
    read(visit, bearing, "offset_across", 1.0, 31.0, hour=15)
    judge_bridges([unit.bridge_id])
    assert set(Verdict.objects.values_list("temperature_way", flat=True)) == {Way.SHADED_SURFACE}


def test_the_number_of_queries_does_not_grow_with_readings(django_assert_num_queries):
    record()
    unit = unit_with_section()
    visit = make_inspection(unit.bridge, READ_AT.date())
    agency = AgencySettings.current()
    for count in (1, 50):
        rows = [Hour(visit.pk, unit.pk, READ_AT - dt.timedelta(hours=n)) for n in range(count)]
        with django_assert_num_queries(4):
            effective_temperatures(rows, agency)


def test_sizes_that_make_no_section_leave_the_plain_mean():
    record()
    more_steel_than_room = {"girder_spacing_mm": 300.0, "girder_steel_mm2": 2e6}
    unit = unit_with_section(section=more_steel_than_room)
    assert found(unit).way.tolist() == [Way.AIR_HISTORY]


def test_the_page_of_an_element_names_the_station_and_the_way(as_role):
    record()
    unit = unit_with_section()
    bearing = make_element(unit)
    read(make_inspection(unit.bridge, READ_AT.date()), bearing, "offset_along", 12.0, hour=15)
    page = as_role("engineer").get(reverse("element", args=[bearing.pk]))
    assert "from air and sun of HILL" in page.content.decode()
