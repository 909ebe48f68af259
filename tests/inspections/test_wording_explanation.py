"""The explanation of a unit as its reader finds it in words."""

import datetime as dt
import math

import pytest

from inspections.models.choices import CauseWord, DiagnosisWord
from inspections.selectors.findings import diagnoses, diagnoses_naming
from inspections.wording_explanation import diagnosis_in_short, tell_unit
from inspections.wording_figures import odds, times
from inventory.models import Support
from inventory.units import System
from movement.whole_bridge.results import Missing
from tests.inspections.finding_rows import frozen, make_diagnosis
from tests.make import make_bridge, make_element, make_inspection, make_unit

pytestmark = pytest.mark.django_db


@pytest.fixture
def unit():
    return make_unit(make_bridge("B-1"))


@pytest.fixture
def bearing(unit):
    return make_element(unit, "pot", "B3")


def told(diagnosis, system=System.SI):
    return tell_unit(diagnoses().get(pk=diagnosis.pk), system)


def plain(text: str) -> str:
    return text.replace("\u202f", " ")


@pytest.mark.parametrize(
    ("ratio", "words"),
    [
        (2.34, "2.3"),
        (47.4, "47"),
        (2345, "2,300"),
        (987_654, "990,000"),
        (2e6, "more than a million"),
        (1e300, "more than a million"),
    ],
)
def test_odds_are_told_with_two_figures_and_never_above_a_million(ratio, words):
    assert times(math.log(ratio)) == words
    assert odds(math.log(ratio)) == f"{words} to 1"


def test_odds_against_are_told_the_other_way_round():
    assert odds(math.log(1 / 40)) == "1 to 40"


def test_a_frozen_bearing_is_told_with_its_evidence_and_the_runner_up(unit, bearing):
    diagnosis = make_diagnosis(
        unit,
        frozen(bearing, log_ratio=math.log(2345), odds_log=math.log(120)),
        {
            "cause": CauseWord.SLUGGISH,
            "element": bearing,
            "odds_log": math.log(8),
            "log_ratio": math.log(150),
        },
    )
    unit_told = told(diagnosis)
    assert unit_told.headline == "B3 does not move with the temperature: frozen"
    evidence = plain(unit_told.explanations[0].evidence)
    assert evidence == (
        "The readings of 7 visits are 2,300 times likelier with B3 frozen than with nothing wrong;"
        " response 0.04 (−0.10 to 0.17), since the setting. Weighing how rare it is: 120 to 1"
        " against nothing wrong."
    )
    assert unit_told.runner_up == "Runner-up: B3 sluggish, 15 times less likely."
    assert "measure it once more when it is much warmer or colder" in unit_told.next[0]
    assert diagnosis_in_short(diagnosis) == "B3 frozen"


def test_where_nothing_else_comes_near_it_is_said(unit, bearing):
    assert told(make_diagnosis(unit, frozen(bearing))).runner_up == (
        "No other single cause comes near."
    )


def test_what_cannot_be_told_apart_is_told_with_both_and_how_to_tell_them_apart(unit, bearing):
    before, after = (make_inspection(unit.bridge, dt.date(year, 5, 2)) for year in (2022, 2024))
    diagnosis = make_diagnosis(
        unit,
        {
            "cause": CauseWord.STEP,
            "element": bearing,
            "quantity": "offset_along",
            "visit": after,
            "last_before": before,
            "size": -21.0,
            "low": -27.0,
            "high": -15.0,
        },
        {
            "cause": CauseWord.BLUNDER,
            "element": bearing,
            "quantity": "offset_along",
            "visit": after,
            "size": -21.0,
            "low": -27.0,
            "high": -15.0,
            "odds_log": 4.8,
        },
        outcome=DiagnosisWord.CANNOT_TELL,
        equal=2,
    )
    unit_told = told(diagnosis)
    assert unit_told.headline == "Cannot tell: two explanations fit about equally well"
    step, blunder = unit_told.explanations
    assert step.headline == "B3 was shifted at one time"
    assert (
        "21.0 mm towards decreasing station (15.0 to 27.0), between 2022-05-02 and 2024-05-02"
        in plain(step.evidence)
    )
    assert blunder.headline == "A blunder in the offset along of B3 on 2024-05-02"
    assert "21.0 mm too little (15.0 to 27.0)" in plain(blunder.evidence)
    assert any("that tells these apart" in each for each in unit_told.next)
    assert diagnosis_in_short(diagnosis) == ("cannot tell: B3 stepped or B3 blunder in one reading")
    assert "0.83 in towards decreasing station (0.59 to 1.06)" in plain(
        told(diagnosis, System.US).explanations[0].evidence
    )


def test_a_wrong_register_is_to_be_checked_before_the_bridge(unit, bearing):
    pier = Support.objects.create(bridge=unit.bridge, code="P2", kind="pier", station_m=42.0)
    unit_told = told(
        make_diagnosis(
            unit,
            {"cause": CauseWord.FIXED_POINT, "support": pier, "size": 42.0, "low": 39.0,
             "high": 45.0},
        )
    )  # fmt: skip
    assert unit_told.headline == (
        "Check the register first: the thermal fixed point seems to be at pier P2"
    )
    assert unit_told.explanations[0].check_register
    assert "42.00 m further along (39.00 to 45.00)" in plain(unit_told.explanations[0].evidence)
    assert unit_told.next[0].startswith("Look up the articulation plan")


@pytest.mark.parametrize(
    ("cause", "look_up"),
    [
        (CauseWord.SIGN, "which way is plus"),
        (CauseWord.COEFFICIENT, "check the coefficient of expansion in the register"),
        (CauseWord.SETTING_OFF, "at which position and temperature B3 was set"),
    ],
)
def test_each_cause_in_the_register_says_what_to_look_up(unit, bearing, cause, look_up):
    place = {} if cause == CauseWord.COEFFICIENT else {"element": bearing}
    unit_told = told(make_diagnosis(unit, {"cause": cause, "size": 1.4} | place))
    assert unit_told.headline.startswith("Check the register first")
    assert look_up in unit_told.next[0]


def test_a_wrong_temperature_names_its_visit(unit):
    visit = make_inspection(unit.bridge, dt.date(2023, 7, 12))
    unit_told = told(
        make_diagnosis(
            unit,
            {"cause": CauseWord.WRONG_TEMPERATURE, "visit": visit, "size": 14.0, "low": 11.0,
             "high": 17.0},
        )
    )  # fmt: skip
    assert unit_told.headline == "The temperature recorded in the visit of 2023-07-12 is wrong"
    assert "14.0 K too high (11.0 to 17.0)" in plain(unit_told.explanations[0].evidence)
    assert "correct it in the ledger if it is wrong" in unit_told.next[0]


def test_a_support_that_moved_and_a_deck_that_shortened_have_their_sizes(unit):
    pier = Support.objects.create(bridge=unit.bridge, code="P2", kind="pier", station_m=42.0)
    diagnosis = make_diagnosis(
        unit,
        {"cause": CauseWord.SUPPORT_MOVED, "support": pier, "size": 24.0, "low": 18.0,
         "high": 30.0},
        {"cause": CauseWord.SHORTENING, "size": 3.1e-4, "low": 2e-4, "high": 4.2e-4},
        outcome=DiagnosisWord.CANNOT_TELL,
        equal=2,
    )  # fmt: skip
    moved, shorter = told(diagnosis).explanations
    assert moved.headline == "Pier P2 has moved"
    assert "24.0 mm towards increasing station" in plain(moved.evidence)
    assert "strain 310 × 10⁻⁶ (200 to 420)" in plain(shorter.evidence)


def test_a_second_cause_stands_beside_the_first(unit, bearing):
    other = make_element(unit, "pot", "B7", station_m=60.0)
    unit_told = told(
        make_diagnosis(unit, frozen(bearing), frozen(other, beside=True, cause=CauseWord.SLUGGISH))
    )
    assert "Beside it: B7 moves too little" in unit_told.headline
    assert "than without it" in unit_told.explanations[1].evidence


def test_too_little_information_says_how_far_apart_to_measure(unit):
    unit_told = told(
        make_diagnosis(
            unit,
            outcome=DiagnosisWord.NOT_ENOUGH,
            missing=Missing.TEMPERATURE_RANGE,
            spread_k=6.0,
            range_needed_k=22.0,
        )
    )
    assert unit_told.headline == "Not enough information"
    assert "lie too close together to show a frozen bearing" in unit_told.reason
    assert "span 22 K of effective temperature; they span 6 K now" in plain(unit_told.next[0])
    us = told(unit.diagnosis, System.US)
    assert "span 40 °F of effective temperature; they span 11 °F now" in plain(us.next[0])


def test_a_healthy_unit_is_told_with_what_came_nearest(unit, bearing):
    diagnosis = make_diagnosis(
        unit, frozen(bearing, odds_log=math.log(1 / 12)), outcome=DiagnosisWord.HEALTHY
    )
    unit_told = told(diagnosis)
    assert unit_told.headline == "Nothing wrong"
    assert unit_told.runner_up == "Nearest to it: B3 frozen, at odds of 1 to 12."
    assert unit_told.next == []


def test_an_element_is_shown_the_explanations_that_concern_it(unit, bearing):
    other = make_element(unit, "pot", "B7", station_m=60.0)
    make_diagnosis(unit, frozen(bearing), frozen(other))
    assert [each.unit for each in diagnoses_naming(bearing)] == [unit]
    assert diagnoses_naming(other) == []
