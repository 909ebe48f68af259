"""A station's hourly air record comes in whole, with its blanks and gaps named."""

import datetime as dt
import io
import time
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from inspections.exchange.air_csv import import_air_temperatures
from inspections.exchange.air_csv_columns import SAMPLE
from inspections.models import AirTemperature, Verdict
from inventory.exchange.problems import ImportRefused
from tests.make import make_bridge, make_element, make_inspection, make_unit, read

pytestmark = pytest.mark.django_db

REAL = Path(__file__).parents[1] / "data" / "air_sample.csv"


def refused(text: str, **options) -> list[tuple[int, str, str]]:
    with pytest.raises(ImportRefused) as error:
        import_air_temperatures(text, **options)
    assert not AirTemperature.objects.exists()
    return [(each.line, each.column, each.message) for each in error.value.problems]


def test_a_real_record_comes_in_with_its_blank_and_its_gaps_named():
    report = import_air_temperatures(REAL.read_bytes())
    assert report.added == AirTemperature.objects.count() == 235
    assert report.blanks == [134]
    assert [str(gap) for gap in report.gaps] == [
        "EWR: 2013-08-19 21:00 UTC, 1 hour",
        "EWR: 2013-08-22 22:00 UTC, 1 hour",
        "EWR: 2013-08-23 00:00 to 01:00 UTC, 2 hours",
    ]
    # line 133 of the file: 75.2 degF is 24 degC
    row = AirTemperature.objects.get(time_utc=dt.datetime(2013, 8, 22, 12, tzinfo=dt.UTC))
    assert row.temperature_c == pytest.approx(24.0)


def test_a_blank_hour_is_not_invented():
    import_air_temperatures(REAL.read_bytes())
    for hour in (13, 22):
        assert not AirTemperature.objects.filter(
            time_utc=dt.datetime(2013, 8, 22, hour, tzinfo=dt.UTC)
        ).exists()


def test_the_same_file_again_changes_nothing():
    import_air_temperatures(REAL.read_bytes())
    before = list(AirTemperature.objects.order_by("pk").values())
    report = import_air_temperatures(REAL.read_bytes())
    assert (report.added, report.already_there) == (0, 235)
    assert list(AirTemperature.objects.order_by("pk").values()) == before


def test_a_dry_run_tells_the_same_and_writes_nothing():
    report = import_air_temperatures(REAL.read_bytes(), dry_run=True)
    assert report.added == 235
    assert not AirTemperature.objects.exists()


def test_the_documented_sample_comes_in():
    assert import_air_temperatures(SAMPLE).added == 2


@pytest.mark.parametrize(
    ("header", "cell", "temperature_c"),
    [
        ("temp_F", "50", 10.0),
        ("temperature_f", "-40", -40.0),
        ("temp_C", "21.5", 21.5),
        ("temperature_c", "68 F", 20.0),
    ],
)
def test_the_header_says_the_unit_and_a_cell_may_say_its_own(header, cell, temperature_c):
    import_air_temperatures(f"station,time_utc,{header}\nA,2024-01-01T00:00Z,{cell}\n")
    assert AirTemperature.objects.get().temperature_c == pytest.approx(temperature_c)


def test_a_time_with_an_offset_is_kept_as_the_same_instant():
    import_air_temperatures("station,time,temp_c\nA,2024-07-01T10:00+02:00,20\n")
    assert AirTemperature.objects.get().time_utc == dt.datetime(2024, 7, 1, 8, tzinfo=dt.UTC)


def test_a_time_of_day_that_could_be_of_any_zone_is_refused():
    [(line, column, message)] = refused("station,time,temp_c\nA,2024-07-01 10:00,20\n")
    assert (line, column) == (2, "time")
    assert "does not tell its offset" in message


def test_a_station_may_be_named_for_the_whole_file():
    import_air_temperatures("time_utc,temp_c\n2024-07-01T10:00Z,20\n", station="HILL")
    assert AirTemperature.objects.get().station == "HILL"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("time_utc,temp_c\n2024-07-01T10:00Z,20\n", "no column «station»"),
        ("station,temp_c\nA,20\n", "«time_utc» or «time»"),
        ("station,time_utc,dewpoint_c\nA,2024-07-01T10:00Z,20\n", "«temperature_c»"),
        ("station,time_utc,temp_c,temp_f\nA,2024-07-01T10:00Z,20,68\n", "one column"),
    ],
)
def test_a_header_that_lacks_something_says_what_to_add(text, says):
    [(line, _column, message)] = refused(text)
    assert line == 1
    assert says in message


def test_every_bad_row_is_told_at_once_with_its_line_and_nothing_is_written():
    problems = refused(
        "station,time_utc,temp_c\n"
        "A,2024-07-01T00:00Z,20\n"
        "A,2024-07-01,20\n"
        "A,2024-07-01T02:00Z,warm\n"
        "A,2024-07-01T03:00Z,68\n"
        ",2024-07-01T04:00Z,20\n"
        "A,2024-07-01T05:00Z,-9999\n"
    )
    assert [line for line, *_ in problems] == [3, 4, 5, 6, 7]
    assert "is no time" in problems[0][2]
    assert "is not a value" in problems[1][2]
    assert problems[2][1] == "temp_c"
    assert "Check the unit in the header" in problems[2][2]


@pytest.mark.parametrize(
    "time_utc", ["2999-01-01T00:00Z", "0013-07-01T00:00Z", "0001-01-01T00:00+14:00"]
)
def test_an_hour_of_an_impossible_year_is_refused_at_its_cell(time_utc):
    [(line, column, message)] = refused(f"station,time_utc,temp_c\nA,{time_utc},20\n")
    assert (line, column) == (2, "time_utc")
    assert "Check the" in message


def test_the_same_hour_twice_is_one_and_a_different_value_for_it_is_refused():
    same = "station,time_utc,temp_c\nA,2024-07-01T00:00Z,20\nA,2024-07-01T00:00Z,20.0\n"
    assert import_air_temperatures(same).already_there == 1
    with pytest.raises(ImportRefused, match=r"line 2.*20\.00 degC is on record.*not 25\.00"):
        import_air_temperatures("station,time_utc,temp_c\nA,2024-07-01T00:00Z,25\n")
    assert AirTemperature.objects.get().temperature_c == 20.0


def test_columns_that_are_not_read_are_named():
    report = import_air_temperatures("station,time_utc,temp_c,humid\nA,2024-07-01T00:00Z,20,55\n")
    assert report.columns_passed_over == ["humid"]


def test_a_station_that_no_bridge_names_is_told():
    make_bridge(air_station="USED")
    report = import_air_temperatures(
        "station,time_utc,temp_c\nUSED,2024-07-01T00:00Z,20\nNONE,2024-07-01T00:00Z,20\n"
    )
    assert report.stations_without_bridge == ["NONE"]


def test_readings_of_the_hours_that_came_in_are_judged_again_and_no_others():
    bearings = [
        make_element(make_unit(make_bridge(air_station=station)), installation={
            "setting_source": "measured", "setting_temperature_c": 10.0,
            "setting_offset_along_mm": 0.0,
        })
        for station in ("EWR", "EWR", "")
    ]  # fmt: skip
    days = (dt.date(2013, 8, 20), dt.date(2020, 1, 1), dt.date(2013, 8, 20))
    for bearing, day in zip(bearings, days, strict=True):
        read(make_inspection(bearing.bridge, day), bearing, "offset_along", 1.0, hour=12)
    assert set(Verdict.objects.values_list("temperature_way", flat=True)) == {0}
    report = import_air_temperatures(REAL.read_bytes())
    assert report.bridges_judged == 1
    assert [Verdict.objects.get(element=bearing).temperature_way for bearing in bearings] == [
        4,
        0,
        0,
    ]


def test_a_year_of_three_stations_comes_in_within_seconds():
    start = dt.datetime(2013, 1, 1, tzinfo=dt.UTC)
    rows = "".join(
        f"{station},{(start + dt.timedelta(hours=hour)).isoformat()},{hour % 90}.02\n"
        for station in "ABC"
        for hour in range(8760)
    )
    began = time.perf_counter()
    assert import_air_temperatures(f"station,time_utc,temp_F\n{rows}").added == 26_280
    # 1.2 s on two slow cores; the bound leaves room for a busy machine
    assert time.perf_counter() - began < 15


def test_the_command_tells_what_it_did(tmp_path):
    out = io.StringIO()
    call_command("import_air_temperatures", str(REAL), stdout=out)
    text = out.getvalue()
    assert "235 hours added, 0 were there already." in text
    assert "1 blank, left out: line 134." in text
    assert "4 hours missing" in text


def test_the_command_tells_each_bad_line_and_fails(tmp_path):
    path = tmp_path / "bad.csv"
    path.write_text("station,time_utc,temp_c\nA,2024-07-01T00:00Z,warm\n", encoding="utf-8")
    with pytest.raises(CommandError, match=r"1 problem:\n  line 2, column temp_c: ") as failed:
        call_command("import_air_temperatures", str(path))
    assert failed.value.returncode == 1


def test_a_file_that_is_not_there_is_a_wrong_argument(tmp_path):
    with pytest.raises(CommandError, match="cannot be read") as failed:
        call_command("import_air_temperatures", str(tmp_path / "none.csv"))
    assert failed.value.returncode == 2


def test_the_printed_template_comes_in(tmp_path):
    path = tmp_path / "sample.csv"
    call_command("import_air_temperatures", "--template", str(path))
    call_command("import_air_temperatures", str(path), stdout=io.StringIO())
    assert AirTemperature.objects.count() == 2
