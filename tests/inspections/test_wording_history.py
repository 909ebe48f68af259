"""The history of a channel as its reader finds it in words."""

import datetime as dt

import pytest

from inspections.models.choices import ResponseWord
from inspections.selectors.findings import histories
from inspections.services.visits import submit
from inspections.wording_history import history_in_short, history_sentence
from inventory.units import System
from movement.history.findings import Finding, Missing
from tests.inspections.desk_rows import JOINT
from tests.inspections.finding_rows import make_history, read_over_years, unclear
from tests.make import UTC, make_bridge, make_element, make_inspection, make_unit

pytestmark = pytest.mark.django_db


@pytest.fixture
def joint():
    return make_element(make_unit(make_bridge("B-1")), "strip_seal", "J-1", **JOINT)


def told(history, system=System.SI) -> str:
    """Return the sentence of a history as a page shows it, with ordinary spaces."""
    found = histories().get(pk=history.pk)
    return history_sentence(found, system).replace("\u202f", " ")


def test_a_frozen_element_is_told_with_its_response_and_its_interval(joint):
    assert told(make_history(joint)) == (
        "Follows the temperature at 0.06 of what is expected (95 %: −0.08 to 0.19): frozen."
    )


@pytest.mark.parametrize(
    ("response", "words"),
    [
        (ResponseWord.FREE, "moves freely"),
        (ResponseWord.SLUGGISH, "sluggish"),
        (ResponseWord.SLUGGISH_OR_FROZEN, "sluggish or frozen, the readings cannot tell which"),
        (ResponseWord.WRONG_SIGN, "moves the wrong way; check the register first"),
        (ResponseWord.MORE_THAN_FREE, "moves more than expected; check the register first"),
    ],
)
def test_every_word_on_the_response_is_told(joint, response, words):
    assert words in told(make_history(joint, response=response))


def test_what_is_missing_is_told_with_the_temperatures_to_measure_at(joint):
    visits = [make_inspection(joint.bridge, dt.date(2022 + n, 4, 1)) for n in range(3)]
    read_over_years(visits, joint, [(70.0, 8.0), (66.0, 12.0), (63.0, 15.0)])
    for visit in visits:
        submit(inspection=visit)
    row = unclear(
        joint, missing=Missing.INTERVAL_TOO_WIDE, spread_k=7.0, spread_needed_k=19.0,
        ratio=0.7, ratio_low=-0.4, ratio_high=1.8,
    )  # fmt: skip
    # 8 + 19 and 15 - 19
    assert told(row) == (
        "Not enough information: visits between 8.0 °C and 15.0 °C; measure once at or above"
        " 27.0 °C, or at or below −4.0 °C; so far it follows the temperature at 0.70 of what is"
        " expected (95 %: −0.40 to 1.80)."
    )
    assert "at or above 80.6 °F, or at or below 24.8 °F" in told(row, System.US)


def test_no_visit_is_asked_for_at_a_temperature_that_no_bridge_sees(joint):
    visits = [make_inspection(joint.bridge, dt.date(2022 + n, 4, 1)) for n in range(3)]
    read_over_years(visits, joint, [(70.0, 8.0), (66.0, 12.0), (63.0, 15.0)])
    row = unclear(
        joint, missing=Missing.INTERVAL_TOO_WIDE, spread_k=7.0, spread_needed_k=2.6e5,
        visits_needed=2e8, ratio=-1082.0, ratio_low=-3002.0, ratio_high=837.0,
    )  # fmt: skip
    assert told(row) == (
        "Not enough information: visits between 8.0 °C and 15.0 °C; so little movement is expected"
        " here that its response cannot be told."
    )


def test_a_step_or_a_drift_asks_for_no_reading_to_be_repeated(joint):
    row = make_history(
        joint,
        findings=Finding.STEP | Finding.DRIFT,
        alternatives=Finding.STEP | Finding.DRIFT,
        step_size=12.0,
        drift_per_year=3.2,
    )
    words = told(row)
    assert words.endswith("The next visit tells them apart.")
    assert "epeat" not in words


def test_too_few_visits_are_counted(joint):
    words = told(unclear(joint, missing=Missing.TOO_FEW_VISITS, visits=2))
    assert words == (
        "Not enough information: two visits with a temperature, where three are the least."
    )


def test_an_element_at_the_fixed_point_is_not_blamed_for_standing_still(joint):
    words = told(unclear(joint, missing=Missing.NO_EXPECTED_SLOPE, expected_slope_per_c=0.0))
    assert "the temperature does not move it here" in words
    words_unknown = told(
        unclear(joint, missing=Missing.NO_EXPECTED_SLOPE, expected_slope_per_c=None, point="right")
    )
    assert "enter the unit's thermal fixed point" in words_unknown


def test_a_drift_tells_its_rate_and_the_year_in_which_it_meets_a_limit(joint):
    row = make_history(
        joint,
        response=ResponseWord.FREE,
        findings=Finding.DRIFT | Finding.REACHES_LIMIT,
        drift_per_year=-1.8,
        drift_low_per_year=-2.4,
        drift_high_per_year=-1.2,
        limit_in_years=5.5,
        limit_in_years_low=3.2,
        limit_in_years_high=9.7,
    )
    # judged on 1 January 2026
    assert (
        "Drifts 1.8 mm a year narrower (1.2 to 2.4): reaches its limit in 2031 (2029 to 2035)."
        in told(row)
    )
    assert "0.07 in a year narrower (0.05 to 0.09)" in told(row, System.US)
    assert "unexplained" not in told(row)


def test_a_drift_beside_a_reckoned_shortening_is_called_unexplained(joint):
    visit = make_inspection(joint.bridge)
    reading = read_over_years([visit], joint, [(70.0, 8.0)])[0]
    type(reading.verdict).objects.update(shortening=2.5)
    row = make_history(joint, findings=Finding.DRIFT, drift_per_year=1.8)
    assert "wider, unexplained by creep and shrinkage" in told(row)


def test_a_limit_that_the_trend_has_met_already_is_said_so(joint):
    row = make_history(joint, findings=Finding.DRIFT, drift_per_year=1.8, limit_in_years=-0.5)
    assert "it has met its limit at a design extreme already" in told(row)


def test_a_step_tells_its_size_and_between_which_days(joint):
    row = make_history(
        joint,
        response=ResponseWord.FREE,
        findings=Finding.STEP,
        step_size=12.0,
        step_low=8.0,
        step_high=16.0,
        step_after=dt.date(2021, 5, 4),
        step_before=dt.date(2022, 3, 2),
    )
    assert "Stepped 12.0 mm wider (8.0 to 16.0) between 2021-05-04 and 2022-03-02" in told(row)
    assert history_in_short(row) == "stepped"


def test_a_blunder_names_the_reading_to_repeat(joint):
    reading = read_over_years([make_inspection(joint.bridge)], joint, [(45.0, 8.0)])[0]
    row = make_history(joint, findings=Finding.BLUNDER, blunder_reading=reading, blunder_size=-20.0)
    assert (
        "The reading of 2024-06-01, 45.0 mm, lies 20.0 mm below the line through the others:"
        " repeat that reading."
    ) in told(row)


def test_two_findings_that_fit_equally_well_are_one_of_the_two(joint):
    reading = read_over_years([make_inspection(joint.bridge)], joint, [(45.0, 8.0)])[0]
    row = make_history(
        joint,
        response=ResponseWord.FREE,
        findings=Finding.BLUNDER | Finding.STEP,
        alternatives=Finding.BLUNDER | Finding.STEP,
        blunder_reading=reading,
        blunder_size=-20.0,
        step_size=-19.0,
        step_after=dt.date(2023, 6, 1),
        step_before=dt.date(2024, 6, 1),
    )
    words = told(row)
    assert "One of the two, which fit equally well: stepped 19.0 mm narrower" in words
    assert "; or the reading of 2024-06-01" in words
    assert "Repeat that reading; the next visit tells them apart." in words
    assert history_in_short(row) == "stepped or a reading to repeat"


def test_the_travel_of_a_sliding_surface_is_told(joint):
    row = make_history(joint, travel_mm_per_year=5230.0, travelled_m=128.4)
    assert "travels 5.2 m a year, 128 m since it was installed" in told(row)
    assert "travels 17.2 ft a year, 421 ft since" in told(row, System.US)


def test_a_temperature_that_was_never_measured_spans_nothing(joint):
    row = unclear(joint, missing=Missing.NO_READING, visits=0)
    assert told(row) == (
        "Not enough information: no reading with a temperature is on record; measure it at the"
        " next visit, with one."
    )
    assert history_in_short(row) == ""


def test_years_are_counted_from_the_day_of_the_judgement(joint):
    row = make_history(
        joint,
        judged_at=dt.datetime(2026, 12, 1, tzinfo=UTC),
        findings=Finding.DRIFT,
        drift_per_year=1.0,
        limit_in_years=0.5,
    )
    assert "reaches its limit in 2027." in told(row)
