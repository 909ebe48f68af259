"""Gross errors of a station's file are refused with what they look like, or kept if asked."""

import datetime as dt
import io
from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import CommandError, call_command
from django.urls import reverse

from inspections.exchange.air_csv import import_air_temperatures
from inspections.models import AirDay, AirTemperature
from inventory.exchange.problems import ImportRefused

pytestmark = pytest.mark.django_db

REAL = Path(__file__).parents[1] / "data" / "air_one_gross_error.csv"
START = dt.datetime(2024, 4, 1, tzinfo=dt.UTC)


def hours(*changes, count=72, station="A", start=START):
    """Return a file of 11 to 13 degC, some of its hours changed: (first, end, value)."""
    air = [12.0 + (hour % 24 - 12) / 12.0 for hour in range(count)]
    for first, end, change in changes:
        air[first:end] = [change(each) for each in air[first:end]]
    rows = "".join(
        f"{station},{(start + dt.timedelta(hours=hour)).isoformat()},{each:.2f}\n"
        for hour, each in enumerate(air)
    )
    return f"station,time_utc,temp_c\n{rows}"


def days(*changes, count=20):
    """Return a daily file of 5 to 15 degC and so, some of its days changed."""
    rows = [[5.0 + day % 3, 15.0 + day % 4] for day in range(count)]
    for day, low, high in changes:
        rows[day] = [low, high]
    lines = "".join(
        f"A,{START.date() + dt.timedelta(days=day)},{low:.1f},{high:.1f}\n"
        for day, (low, high) in enumerate(rows)
    )
    return f"station,date,temperature_min_c,temperature_max_c\n{lines}"


def refused(text, **options):
    with pytest.raises(ImportRefused) as error:
        import_air_temperatures(text, **options)
    return [(each.line, each.column, each.message) for each in error.value.problems]


def minus(value):
    return -value


def test_a_real_value_in_another_unit_is_refused_with_what_it_would_be():
    [(line, column, message)] = refused(REAL.read_bytes())
    assert (line, column) == (28, "temp_F")
    assert message.startswith("-10.5 degC at JFK, 2013-05-09 02:00 UTC, looks like degC among degF")
    assert "13.1 taken as degC would go on from what stands beside it, 13.9 and 14.0" in message
    assert "--keep-suspects" in message
    assert not AirTemperature.objects.exists()


def test_what_looks_wrong_is_kept_if_asked_and_told():
    report = import_air_temperatures(REAL.read_bytes(), keep_suspects=True)
    assert report.added == AirTemperature.objects.count() == 72
    [notice] = report.notices
    assert notice.line == 28
    assert "looks like degC among degF" in notice.message


def test_a_run_with_its_sign_lost_is_told_once_with_its_hours():
    [(line, column, message)] = refused(hours((30, 35, minus)))
    # line 1 is the header, so hour 30 stands in line 32
    assert (line, column) == (32, "temp_c")
    assert "2024-04-02 06:00 UTC to 2024-04-02 10:00 UTC (5 hours)" in message
    assert "a sign lost or added" in message
    assert "Correct the sign" in message


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ((30, 42, lambda c: c * 1.8 + 32.0), "degF among degC"),
        ((30, 32, lambda c: c + 18.0), "jumps by 15 K or more"),
        ((30, 60, lambda c: 9.7), "stays the same for 30 hours"),
    ],
)
def test_units_mixed_up_spikes_and_stuck_sensors_are_refused(change, says):
    [(line, _column, message)] = refused(hours(change))
    assert line == 32
    assert says in message


def test_every_suspect_is_told_at_once_beside_what_is_impossible():
    text = hours((10, 12, minus), (40, 41, lambda c: c + 20.0)) + "A,2024-05-01T00:00Z,99\n"
    assert [line for line, *_ in refused(text)] == [12, 42, 74]


def test_a_jump_that_stays_is_weather_and_only_told():
    report = import_air_temperatures(hours((30, 72, lambda c: c - 16.0)))
    [notice] = report.notices
    assert notice.line == 32
    assert "15 K or more from the" in notice.message
    assert AirTemperature.objects.count() == 72


def test_new_hours_are_looked_at_beside_those_on_record():
    import_air_temperatures(hours(count=48))
    later = START + dt.timedelta(hours=48)
    [(line, _column, message)] = refused(hours((0, 5, minus), count=5, start=later))
    assert line == 2
    assert "a sign lost or added" in message


def test_an_error_kept_before_does_not_stand_in_the_way_of_the_same_file():
    text = hours((30, 35, minus))
    import_air_temperatures(text, keep_suspects=True)
    report = import_air_temperatures(text)
    assert (report.added, report.already_there, report.notices) == (0, 72, [])


def test_stations_are_looked_at_one_by_one():
    cold = hours(station="B").replace("station,time_utc,temp_c\n", "").replace(",1", ",-1")
    assert import_air_temperatures(hours() + cold).notices == []
    assert AirTemperature.objects.count() == 144


@pytest.mark.parametrize(
    ("change", "column", "says"),
    [
        ((9, -12.0, 15.0), "temperature_min_c", "degC among degF"),
        ((9, -6.0, 16.0), None, ""),
        ((9, 5.0, 58.0), "temperature_max_c", "among degC"),
        ((9, 12.0, 9.0), "temperature_min_c", "above the highest of the day"),
        ((9, -18.5, 28.5), "temperature_max_c", "more than 45 K above the lowest"),
    ],
)
def test_daily_extremes_are_looked_at_as_well(change, column, says):
    if column is None:
        assert import_air_temperatures(days(change)).notices == []
        return
    found = [problem for problem in refused(days(change)) if problem[1] == column]
    assert [line for line, *_ in found] == [11]
    assert says in found[0][2]
    assert not AirDay.objects.exists()


def test_a_lost_sign_of_one_extreme_in_summer_is_found():
    rows = [(day, 20.0 + day % 3, 30.0 + day % 4) for day in range(20)]
    rows[9] = (9, -20.0, 31.0)
    [(line, column, message)] = refused(days(*rows))
    assert (line, column) == (11, "temperature_min_c")
    assert "a sign lost or added" in message


def test_both_extremes_the_same_for_five_days_are_a_stuck_sensor_and_one_alone_is_not():
    [(line, _column, message)] = refused(days(*((day, 6.5, 14.5) for day in range(5, 10))))
    assert line == 7
    assert "stays the same for 5 days" in message
    warm_sea = days(*((day, 6.5, 14.5 + day % 2) for day in range(5, 10)))
    assert import_air_temperatures(warm_sea).notices == []


def test_the_command_refuses_and_takes_the_option_to_keep(tmp_path):
    with pytest.raises(CommandError, match=r"line 28, column temp_F: -10\.5 degC at JFK"):
        call_command("import_air_temperatures", str(REAL))
    out = io.StringIO()
    call_command("import_air_temperatures", str(REAL), "--keep-suspects", stdout=out)
    assert "72 hours added" in out.getvalue()
    assert "1 to look at, taken as they are:\n  line 28, column temp_F: -10.5" in out.getvalue()


def test_the_page_refuses_and_offers_to_keep(as_role, settings, tmp_path):
    settings.LOCAL_DIR = tmp_path
    client = as_role("engineer")

    def check(**options):
        file = SimpleUploadedFile("air.csv", REAL.read_bytes())
        return client.post(reverse("import-air"), {"file": file, **options}).content.decode()

    assert "looks like degC among degF" in check()
    assert "Keep values that look wrong" in check()
    kept = check(keep_suspects="on")
    assert "Look at line 28" in kept
    assert "Import this file" in kept
