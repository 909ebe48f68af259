"""The server's side of the table of cases that tablet and server share.

The tablet's side is tests/browser/test_tablet_core.py.  Made by ``python -m fixtures.make_golden``.
"""

import datetime as dt
import json
import math
from pathlib import Path

import pytest

import fixtures
from fixtures import make_golden
from inspections.models import AgencySettings, TemperatureReading
from inspections.services.temperatures import Hour, effective_temperatures
from inventory.units import Dimension, System, parse, shown
from movement.errors import InputError
from tests.make import make_bridge, make_inspection, make_unit

GOLDEN = Path(fixtures.__file__).parent / "golden"
VALUES = json.loads((GOLDEN / "tablet_values.json").read_text(encoding="utf-8"))
EXPECTED = json.loads((GOLDEN / "tablet_expected.json").read_text(encoding="utf-8"))
ROUNDING = 1e-12
PENCIL = 5e-4  # figures worked by hand are given to this, in the stored unit


def named(rows: list[dict], key: str) -> list:
    return [pytest.param(row, id=f"{row[key]!r} {row.get('dimension', '')}") for row in rows]


@pytest.mark.parametrize("case", named(VALUES["parsed"], "text"))
def test_a_typed_text_means_on_the_server_what_the_table_says(case):
    found = parse("typed", case["text"], Dimension(case["dimension"]), case["unit"]).value
    assert found == pytest.approx(case["value"], rel=ROUNDING, abs=0.0)
    if case["by_hand"] is not None:
        assert found == pytest.approx(case["by_hand"], rel=ROUNDING, abs=ROUNDING)


@pytest.mark.parametrize("case", named(VALUES["refused"], "text"))
def test_what_is_no_value_is_refused_with_the_words_of_the_table(case):
    with pytest.raises(InputError) as error:
        parse("typed", case["text"], Dimension(case["dimension"]), case["unit"])
    assert (error.value.message, error.value.remedy) == (case["message"], case["remedy"])


@pytest.mark.parametrize("case", named(VALUES["shown"], "value"))
def test_a_value_is_shown_as_the_table_says(case):
    dimension, system = Dimension(case["dimension"]), System(case["system"])
    found = shown(case["value"], dimension, system, case["sign"])
    assert found == case["text"] == case["by_hand"]


@pytest.mark.parametrize("place", named(EXPECTED["readings"], "name"))
def test_the_server_expects_of_a_reading_what_the_table_says(place):
    assert_close(make_golden.channel_of(place), place["channel"])
    found = make_golden.result_of(place)
    assert_close(found, place["result"])
    for name, by_hand in place["by_hand"].items():
        close = pytest.approx(by_hand, abs=PENCIL) if isinstance(by_hand, float) else by_hand
        assert found[name] == close, name


def test_the_five_numbers_give_what_the_server_finds_for_each_side_by_itself():
    # Two units at their own temperatures: the sums that the tablet makes, made here.
    joint = next(each for each in EXPECTED["readings"] if len(each["sides"]) == 2)
    channel, result = joint["channel"], joint["result"]
    pairs = list(zip(channel["sides"], joint["warmths"], strict=True))
    value = channel["a"] + sum(side["b"] * at["temperature_c"] for side, at in pairs)
    assert value == pytest.approx(result["expected"])
    variance = (
        channel["c0"]
        + sum(
            (side["c1"] + side["c2"] * at["temperature_c"]) * at["temperature_c"]
            for side, at in pairs
        )
        + sum(side["b"] * at["u_temperature_k"] for side, at in pairs) ** 2
        + joint["accuracy"] ** 2 / 3
    )
    assert math.sqrt(variance) == pytest.approx(result["u_residual"])


@pytest.mark.django_db
@pytest.mark.parametrize("visit", named(EXPECTED["temperatures"], "name"))
def test_the_server_takes_the_temperature_of_a_visit_that_a_pencil_gives(visit):
    bridge = make_bridge()
    units = {
        number: make_unit(bridge, f"U{number}", deck_share=share)
        for number, share in ((1, 0.6), (2, None))
    }
    inspection = make_inspection(bridge)
    for row in visit["taken"]:
        TemperatureReading.objects.create(
            inspection=inspection,
            unit=units.get(row["unit"]),
            place=row["place"],
            sunlit=row["sunlit"],
            temperature_c=row["temperature_c"],
            typed=f"{row['temperature_c']}",
            taken_at=dt.datetime.fromisoformat(row["taken_at"]),
        )
    hour = Hour(
        inspection.pk, units[visit["unit"]].pk, dt.datetime.fromisoformat(visit["taken_at"])
    )
    found = effective_temperatures([hour], AgencySettings.current())
    if visit["by_hand"] is None:
        assert int(found.way[0]) == 0
        assert math.isnan(found.temperature_c[0])
        return
    for name, by_hand in visit["by_hand"].items():
        assert float(getattr(found, name)[0]) == pytest.approx(by_hand, abs=1e-9), name


def test_the_agency_s_defaults_are_those_of_the_visits():
    agency = AgencySettings()
    settings = EXPECTED["temperatures"][0]["settings"]
    assert agency.temperature_window_h == settings["window_h"]
    for name in ("u_surfaces_k", "u_shaded_surface_k", "u_shade_air_k"):
        assert getattr(agency, name) == settings[name]


def assert_close(found: dict, table: dict) -> None:
    assert found.keys() == table.keys()
    for name, value in table.items():
        if isinstance(value, list):
            for one, other in zip(found[name], value, strict=True):
                assert_close(one, other)
        elif isinstance(value, float):
            assert found[name] == pytest.approx(value, rel=1e-9, abs=1e-9), name
        else:
            assert found[name] == value, name
