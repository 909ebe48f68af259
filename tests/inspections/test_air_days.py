"""Daily extremes, sun and wind of a station come in from a CSV file."""

import datetime as dt
import io

import pytest
from django.core.management import call_command

from inspections.exchange.air_csv import import_air_temperatures
from inspections.exchange.air_csv_columns import DAILY_SAMPLE
from inspections.models import AirDay, AirTemperature, Verdict
from inventory.exchange.problems import ImportRefused
from tests.make import make_bridge, make_element, make_inspection, make_section, make_unit, read

pytestmark = pytest.mark.django_db

HEADER = "station,date,temperature_min_c,temperature_max_c\n"


def refused(text):
    with pytest.raises(ImportRefused) as error:
        import_air_temperatures(text)
    return [(each.line, each.column, each.message) for each in error.value.problems]


def test_the_documented_daily_sample_comes_in():
    report = import_air_temperatures(DAILY_SAMPLE)
    assert (report.counted, report.added) == ("days", 2)
    first = AirDay.objects.first()
    assert (first.day, first.min_c, first.max_c) == (dt.date(2024, 6, 1), 9.4, 21.8)


def test_each_extreme_may_be_in_degf():
    import_air_temperatures("station,date,temp_min_F,temperature_max_f\nA,2024-06-01,50,68\n")
    day = AirDay.objects.get()
    assert (day.min_c, day.max_c) == (pytest.approx(10.0), pytest.approx(20.0))


def test_blank_and_missing_days_are_named_and_not_invented():
    report = import_air_temperatures(
        HEADER + "A,2024-06-01,9,20\nA,2024-06-02,,21\nA,2024-06-03,9,20\nA,2024-06-06,9,20\n"
    )
    assert report.blanks == [3]
    assert [str(gap) for gap in report.gaps] == ["A: 2024-06-04 to 2024-06-05, 2 days"]
    assert AirDay.objects.count() == 3


def test_the_same_day_twice_is_one_and_another_value_for_it_is_refused():
    import_air_temperatures(HEADER + "A,2024-06-01,9,20\nA,2024-06-01,9.0,20\n")
    report = import_air_temperatures(HEADER + "A,2024-06-01,9,20\n")
    assert (report.added, report.already_there) == (0, 1)
    [(line, column, message)] = refused(HEADER + "A,2024-06-01,9,23\n")
    assert (line, column) == (2, "temperature_max_c")
    assert "20.00 degC is on record as the highest of 2024-06-01" in message


@pytest.mark.parametrize(
    ("row", "column", "says"),
    [
        ("A,2024-06-31,9,20", "date", "no day of the calendar"),
        ("A,01/06/2024,9,20", "date", "no date"),
        ("A,2999-06-01,9,20", "date", "in the future"),
        ("A,2024-06-01,20,9", "temperature_min_c", "the columns may be swapped"),
        ("A,2024-06-01,9,68", "temperature_max_c", "Check the unit in the header"),
        (",2024-06-01,9,20", "station", "1 to 40 characters"),
    ],
)
def test_a_day_that_cannot_be_is_refused_at_its_cell(row, column, says):
    [(line, at, message)] = refused(f"{HEADER}{row}\n")
    assert (line, at) == (2, column)
    assert says in message


@pytest.mark.parametrize(
    ("header", "says"),
    [
        ("station,date,temperature_min_c\n", "«temperature_max_c» or «temperature_max_f»"),
        ("station,date,time_utc,temp_min_c,temp_max_c\n", "hours or days, not both"),
        ("station,temp_min_c,temp_max_c\n", "a daily file has «date»"),
    ],
)
def test_a_daily_header_that_lacks_something_says_what(header, says):
    assert any(says in message for _, _, message in refused(header + "A,1,2,3\n"))


def test_sun_and_wind_come_in_where_the_file_has_them():
    import_air_temperatures(
        "station,time_utc,temp_c,sun_w_per_m2,wind_m_per_s\n"
        "A,2024-06-01T10:00Z,20,640,2.5\nA,2024-06-01T11:00Z,21,,NA\n"
    )
    rows = AirTemperature.objects.order_by("time_utc").values_list("sun_w_per_m2", "wind_m_per_s")
    assert list(rows) == [(640.0, 2.5), (None, None)]


def test_sun_may_follow_later_for_hours_on_record_but_may_not_contradict():
    import_air_temperatures("station,time_utc,temp_c\nA,2024-06-01T10:00Z,20\n")
    with_sun = "station,time_utc,temp_c,sun_w_per_m2\nA,2024-06-01T10:00Z,20,640\n"
    report = import_air_temperatures(with_sun)
    assert (report.added, report.completed, report.already_there) == (0, 1, 0)
    assert AirTemperature.objects.get().sun_w_per_m2 == 640.0
    assert import_air_temperatures(with_sun).already_there == 1
    [(_line, column, message)] = refused(with_sun.replace("640", "100"))
    assert column == "sun_w_per_m2"
    assert "640 W/m2 is on record" in message


@pytest.mark.parametrize(
    ("sun", "wind", "column", "says"),
    [
        ("-5", "", "sun_w_per_m2", "outside 0 to 1600"),
        ("nan", "400", "wind_m_per_s", "outside 0 to 120"),
        ("bright", "", "sun_w_per_m2", "is not a value"),
        ("inf", "", "sun_w_per_m2", "outside 0 to 1600"),
    ],
)
def test_sun_and_wind_that_cannot_be_are_refused(sun, wind, column, says):
    text = "station,time_utc,temp_c,sun_w_per_m2,wind_m_per_s\nA,2024-06-01T10:00Z,20,"
    [(line, at, message)] = refused(f"{text}{sun},{wind}\n")
    assert (line, at) == (2, column)
    assert says in message


def bearing_read(days_later: int, **section):
    """A bearing whose unit has a section, read some days after the first of June."""
    unit = make_unit(make_bridge(air_station="A"), deck_type="concrete")
    if section:
        make_section(unit, section_form="slab", **section)
    bearing = make_element(unit)
    day = dt.date(2024, 6, 1) + dt.timedelta(days=days_later)
    read(make_inspection(unit.bridge, day), bearing, "offset_along", 1.0, hour=12)
    return bearing


def test_hours_touch_the_readings_that_the_section_still_remembers_them_in():
    bearing_read(4, depth_mm=1200.0)
    bearing_read(4)
    bearing_read(40, depth_mm=1200.0)
    report = import_air_temperatures("station,time_utc,temp_c\nA,2024-06-01T10:00Z,20\n")
    assert report.bridges_judged == 1


def test_the_hour_after_a_reading_touches_it():
    bearing_read(0)
    for hour, judged in (("14", 0), ("13", 1)):
        text = f"station,time_utc,temp_c\nA,2024-06-01T{hour}:00Z,20\n"
        assert import_air_temperatures(text).bridges_judged == judged


def test_daily_extremes_judge_again_what_they_bear_on():
    bearing = bearing_read(20, depth_mm=500.0)
    assert Verdict.objects.get(element=bearing).temperature_way == 0
    rows = "".join(f"A,2024-06-{day:02d},{10 + day % 3},{20 + day % 4}\n" for day in range(1, 29))
    report = import_air_temperatures(HEADER + rows)
    assert report.bridges_judged == 1
    verdict = Verdict.objects.get(element=bearing)
    assert verdict.get_temperature_way_display() == (
        "Heat balance of the section, from daily extremes of the station"
    )
    assert 12.0 < verdict.temperature_c < 25.0


def test_the_command_tells_of_days(tmp_path):
    path = tmp_path / "days.csv"
    call_command("import_air_temperatures", "--template", str(path), "--daily")
    out = io.StringIO()
    call_command("import_air_temperatures", str(path), stdout=out)
    assert "2 days added, 0 were there already." in out.getvalue()
    assert "ST-1: 2 days" in out.getvalue()
