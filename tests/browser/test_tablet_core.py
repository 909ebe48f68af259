"""The tablet's arithmetic in Chromium, held to the server's: values, expectations, temperatures.

The table of cases is shared with tests/inspections/test_golden.py; beside it thousands of
seeded random ones are put to both sides.
"""

import datetime as dt
import json
import random
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

import fixtures
from fixtures.make_golden import channel_of, parsed, refused, result_of
from inspections.models import AgencySettings, TemperatureReading
from inspections.models.choices import TemperaturePlace
from inspections.services.temperatures import Hour, effective_temperatures
from inventory.units import Dimension, System, shown
from movement.errors import InputError
from tests.browser.tablet_page import BARE, Scripts
from tests.make import make_bridge, make_inspection, make_unit

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
GOLDEN = Path(fixtures.__file__).parent / "golden"
VALUES = json.loads((GOLDEN / "tablet_values.json").read_text(encoding="utf-8"))
EXPECTED = json.loads((GOLDEN / "tablet_expected.json").read_text(encoding="utf-8"))
NEAR = {"mm": 0.01, "deg": 0.01, "mrad": 0.01}  # what tablet and server may differ by
NEAR_K = 0.01
ROUNDING = 1e-12


@pytest.fixture
def scripts(chromium, live_server) -> Iterator[Scripts]:
    context = chromium.new_context(base_url=live_server.url)
    page = context.new_page()
    wrong: list[str] = []
    page.on("pageerror", lambda error: wrong.append(str(error)))
    page.on("console", lambda message: message.type == "error" and wrong.append(message.text))
    page.goto(BARE)
    yield Scripts(page)
    context.close()
    assert wrong == []


PARSE = """
    return given.map(({ text, dimension, unit }) => {
      try {
        return units.parse(text, dimension, unit);
      } catch (error) {
        if (!(error instanceof units.Refused)) throw error;
        return { message: error.message, remedy: error.remedy };
      }
    });
"""


def test_the_tablet_reads_every_text_of_the_table_as_the_server_does(scripts):
    cases = [*VALUES["parsed"], *VALUES["refused"]]
    for case, found in zip(cases, scripts.run(PARSE, cases, modules="units"), strict=True):
        assert_same_reading(case, found)


def test_two_thousand_random_texts_mean_the_same_on_both_sides_or_are_refused_by_both(scripts):
    dice = random.Random(20240601)
    cases = [_typed(dice) for _ in range(2000)]
    for case, found in zip(cases, scripts.run(PARSE, cases, modules="units"), strict=True):
        assert_same_reading(case, found)
    # The texts reach values, fractions and feet as well as refusals.
    accepted = [case["text"] for case in cases if "value" in case]
    assert 600 < len(accepted) < 1600
    for mark in ("/", "½", "'", "″", "e", "−"):
        assert sum(mark in text for text in accepted) >= 10, mark


def test_values_are_shown_as_on_the_server(scripts):
    dice = random.Random(7)
    cases = VALUES["shown"] + [
        case | {"text": shown(case["value"], Dimension(case["dimension"]), System(case["system"]))}
        for case in (
            {
                # eighths make halves of the last digit, which go to the even neighbour
                "value": dice.choice([dice.uniform(-500, 500), dice.randint(-4000, 4000) / 8]),
                "dimension": dice.choice([*Dimension]).value,
                "system": dice.choice([*System]).value,
                "sign": False,
            }
            for _ in range(1000)
        )
    ]
    found = scripts.run(
        "return given.map((each) =>"
        " units.shown(each.value, each.dimension, each.system, each.sign));",
        cases,
        modules="units",
    )
    assert found == [case["text"] for case in cases]


@pytest.mark.parametrize(
    ("typed", "unit", "sent"),
    [
        ("2 3/16", "in", "2 3/16 in"),
        (" 2½ ", "in", "2½ in"),
        ("55.5 mm", "in", "55.5 mm"),
        ("1' 2", "mm", "1' 2"),
        ("68", "°F", "68 °F"),
        ("55.5", "", "55.5"),
    ],
)
def test_what_is_sent_says_its_unit_so_that_the_server_need_not_know_the_form_s(
    scripts, typed, unit, sent
):
    script = "return units.withUnit(given[0], given[1]);"
    assert scripts.run(script, [typed, unit], modules="units") == sent


JUDGE = """
    return given.places.map((place) => {
      const found = verdict.judgeTyped(
        place.channel, place.values, place.warmths, given.thresholds, given.system ?? "si");
      return { ...found, word_shown: verdict.WORDS[found.word] };
    });
"""
NUMBERS = ("expected", "u_residual", "half_width", "residual", "carried_to_min", "carried_to_max")


def test_the_tablet_expects_of_every_reading_of_the_table_what_the_server_does(scripts):
    places = EXPECTED["readings"]
    for place, found in zip(places, _judge(scripts, places), strict=True):
        assert_same_judgement(place, found)


def test_five_hundred_random_places_are_judged_alike_on_both_sides(scripts):
    dice = np.random.default_rng(5)
    places = [_place(dice) for _ in range(500)]
    for place in places:
        place |= {"channel": channel_of(place), "result": result_of(place)}
    for place, found in zip(places, _judge(scripts, places), strict=True):
        assert_same_judgement(place, found)
    words = [place["result"]["word"] for place in places]
    for word in ("impossible", "past_limit", "outside_band", "within_band", "not_compared"):
        assert words.count(word) >= 10, word


def test_what_is_out_of_band_is_told_with_its_numbers_and_asks_for_a_second_measurement(scripts):
    place = next(each for each in EXPECTED["readings"] if each["name"].startswith("one mm"))
    (found,) = _judge(scripts, [place])
    assert found["word_shown"] == "Outside the band"
    assert found["sentence"] == (
        "5.0\u202fmm ahead of the 20.0\u202fmm expected, outside the band of ±4.0\u202fmm;"
        " measure a second time, both are kept."
    )
    assert found["asks_again"] is True
    twice = next(each for each in EXPECTED["readings"] if each["name"].startswith("the same, meas"))
    assert _judge(scripts, [twice])[0]["asks_again"] is False


def test_an_impossible_value_is_told_with_its_bound_in_the_user_s_units(scripts):
    place = next(each for each in EXPECTED["readings"] if each["result"]["word"] == "impossible")
    (found,) = _judge(scripts, [place], system="us")
    assert found["sentence"] == (
        "−1.57\u202fin is below 0.00\u202fin, the least it can be."
        " Check the unit and the sign, or measure again."
    )


def test_a_limit_met_at_a_design_extreme_is_told_with_its_temperature(scripts):
    place = next(each for each in EXPECTED["readings"] if each["name"].startswith("joint between"))
    (found,) = _judge(scripts, [place])
    assert "carried to the lowest design temperature of −30.0\u202f°C" in found["sentence"]
    assert "it would reach its limit of 110.0\u202fmm" in found["sentence"]


WARMTH = """
    return given.map(({ unit, taken_at, taken, settings }) =>
      temperature.effectiveTemperature(unit, taken_at, taken, settings));
"""


def test_the_temperature_of_every_visit_of_the_table_is_that_of_a_pencil(scripts):
    visits = EXPECTED["temperatures"]
    for visit, found in zip(
        visits, scripts.run(WARMTH, visits, modules="temperature"), strict=True
    ):
        assert_same_temperature(found, visit["by_hand"], visit["name"])


def test_two_hundred_random_hours_have_the_same_temperature_on_both_sides(scripts):
    dice = random.Random(11)
    bridge = make_bridge()
    units = [make_unit(bridge, f"U{n}", deck_share=share) for n, share in ((1, 0.7), (2, None))]
    inspection = make_inspection(bridge)
    start = dt.datetime(2024, 6, 1, 6, tzinfo=dt.UTC)
    minutes = dice.sample(range(1200), 45)  # few enough that every way comes up
    rows = TemperatureReading.objects.bulk_create(
        TemperatureReading(
            inspection=inspection,
            unit=dice.choice([None, None, *units]),
            place=dice.choice([place for place in TemperaturePlace if place != "embedded"]),
            sunlit=dice.random() < 0.4,
            temperature_c=round(dice.uniform(-20, 40), 1),
            typed="typed",
            taken_at=start + dt.timedelta(minutes=minute),
        )
        for minute in minutes
    )
    agency = AgencySettings.current()
    hours = [
        Hour(inspection.pk, unit.pk, start + dt.timedelta(minutes=dice.randrange(1200)))
        for unit in units
        for _ in range(100)
    ]
    server = effective_temperatures(hours, agency)
    settings = EXPECTED["temperatures"][0]["settings"] | {
        "units": [{"id": unit.pk, "deck_share": unit.deck_share} for unit in units]
    }
    taken = [
        {
            "unit": row.unit_id,
            "place": str(row.place),
            "sunlit": row.sunlit,
            "temperature_c": row.temperature_c,
            "taken_at": row.taken_at.isoformat(),
        }
        for row in rows
    ]
    visits = [
        {
            "unit": hour.unit_id,
            "taken_at": hour.taken_at.isoformat(),
            "taken": taken,
            "settings": settings,
        }
        for hour in hours
    ]
    for row, found in enumerate(scripts.run(WARMTH, visits, modules="temperature")):
        known = int(server.way[row]) and {
            name: float(getattr(server, name)[row])
            for name in ("temperature_c", "u_temperature_k", "way")
        }
        assert_same_temperature(found, known or None, str(visits[row]["taken_at"]))
    assert {int(way) for way in server.way} == {0, 2, 3, 5}


def test_two_units_without_figures_of_their_own_are_met_with_their_mean_temperature(scripts):
    taken = [
        {
            "unit": unit,
            "place": "girder_web",
            "sunlit": False,
            "temperature_c": warmth,
            "taken_at": "2024-06-01T10:00:00Z",
        }
        for unit, warmth in ((1, 10.0), (2, 16.0))
    ]
    settings = EXPECTED["temperatures"][0]["settings"]
    found = scripts.run(
        "return temperature.warmthsOf({}, [1, 2], '2024-06-01T10:05:00Z', ...given);",
        [taken, settings],
        modules="temperature",
    )
    assert found == {
        "warmths": [{"temperature_c": 13.0, "u_temperature_k": 2.0, "way": 3}],
        "is_mean": True,
    }


def _judge(scripts: Scripts, places: list[dict], system: str = "si") -> list[dict]:
    given = {"places": places, "thresholds": EXPECTED["thresholds"], "system": system}
    return scripts.run(JUDGE, given, modules="verdict")


def assert_same_reading(case: dict, found: dict) -> None:
    if "value" in case:
        assert found["value"] == pytest.approx(case["value"], rel=ROUNDING, abs=0.0), case
    else:
        assert found == {"message": case["message"], "remedy": case["remedy"]}, case


def assert_same_judgement(place: dict, found: dict) -> None:
    result = place["result"]
    assert found["word"] == result["word"], (place, found)
    if result["word"] == "impossible":
        return
    for name in NUMBERS:
        assert_near(found[name], result[name], NEAR[place["dimension"]], f"{place}: {name}")
    for name in ("residual_in_u", "use_now"):
        assert_near(found[name], result[name], 1e-6, f"{place}: {name}")


def assert_near(found: float | None, wanted: float | None, tolerance: float, where: str) -> None:
    if wanted is None:
        assert found is None, where
    else:
        assert found == pytest.approx(wanted, abs=tolerance), where


def assert_same_temperature(found: dict | None, wanted: dict | None, where: str) -> None:
    if wanted is None:
        assert found is None, where
        return
    assert found["way"] == wanted["way"], where
    assert found["temperature_c"] == pytest.approx(wanted["temperature_c"], abs=NEAR_K), where
    assert found["u_temperature_k"] == pytest.approx(wanted["u_temperature_k"], abs=NEAR_K), where


def _typed(dice: random.Random) -> dict:
    """Return one random text: a value, a value gone wrong by a key or two, or any keys at all."""
    whole, bottom = dice.randint(0, 60), dice.choice([2, 4, 8, 16, 32, 64])
    number = dice.choice(
        [
            f"{dice.uniform(0, 3000):.{dice.randint(0, 4)}f}",
            f"{whole}",
            f"{whole} {dice.randint(0, bottom)}/{bottom}",
            f"{whole}-{dice.randint(1, bottom)}/{bottom}",
            f"{dice.randint(1, bottom)}/{bottom}",
            f"{whole}{dice.choice('½¼¾⅛⅜⅝⅞')}",
            f"{dice.randint(0, 9)}' {whole}",
            f"{dice.randint(0, 9)} ft {whole} {dice.randint(0, bottom)}/{bottom}",
            f"{whole}e{dice.randint(-3, 3)}",
        ]
    )
    dimension = dice.choice(["mm", "mm", "mm", "degC", *(each.value for each in Dimension)])
    of_dimension = {
        "mm": [" mm", "mm", " in", '"', "″", " cm", " m", "'", " INCH"],
        "degC": [" F", "°C", " ° F", " deg f", "℃"],
    }.get(dimension, ["", " mrad", " deg", "°", " kN", " kip", " psi", " in²", " per C", " K"])
    foreign = [" mm", " F", " kN", " furlong", " mm²"]
    unit = dice.choice([dice.choice(of_dimension)] * 3 + [""] * 2 + [dice.choice(foreign)])
    text = dice.choice(["", "", "", "-", "−", "+", " "]) + number + unit
    keys = "0123456789 .,/-+'\"°½¾²eE−–infamtkFCNd٣\u00a0\u202f"
    spoiled = dice.random()
    if spoiled < 0.25:
        at = dice.randint(0, len(text))
        text = text[:at] + dice.choice(keys) + text[at + dice.randint(0, 1) :]
    elif spoiled < 0.35:
        text = "".join(dice.choice(keys) for _ in range(dice.randint(0, 12)))
    form_unit = {"mm": ["", "in", "mm", "°F"], "degC": ["", "°F", "mm"]}.get(dimension, [""])
    row = (text, dimension, dice.choice(form_unit))
    try:
        return parsed(*row, by_hand=None)
    except InputError:
        return refused(*row)


def _place(dice: np.random.Generator) -> dict:
    """Return one random place of one or two sides, with a reading near what is expected."""
    sides = [
        {
            "lever": float(dice.uniform(-150e3, 150e3)),
            "expansion_per_c": float(dice.uniform(8e-6, 13e-6)),
            "shortening": float(dice.uniform(0, 3e-4)),
            "u_lever": float(dice.uniform(0, 2000)),
            "u_expansion_per_c": float(dice.uniform(0, 1e-6)),
        }
        for _ in range(dice.integers(1, 3))
    ]
    set_c = float(dice.uniform(0, 30))
    warmths = [
        {"temperature_c": float(dice.uniform(-35, 50)), "u_temperature_k": float(each)}
        for each in dice.choice([1.5, 2.0, 4.0], len(sides))
    ]
    value = sum(
        side["lever"]
        * (side["expansion_per_c"] * (warmth["temperature_c"] - set_c) - side["shortening"])
        for side, warmth in zip(sides, warmths, strict=True)
    )
    values = [float(value + dice.normal(0, 8)) for _ in range(dice.integers(1, 4))]
    half = float(dice.uniform(40, 250))
    known = dice.random() > 0.1
    setting = {"value": 0.0, "temperature_c": set_c, "u_value": 1.5, "u_temperature_k": 2.0}
    return {
        "quantity": "offset_along",
        "dimension": "mm",
        "low": -60 if dice.random() < 0.3 else -2000,
        "high": 2000,
        "accuracy": 1.5,
        "sides": sides,
        "setting": setting if known else dict.fromkeys(setting),
        "warmths": warmths if dice.random() > 0.1 else [],
        "values": values,
        "limits": [-half, half, 0.0],
        "extremes_c": [-30.0, 45.0],
        "by_hand": {},
    }
