"""Histories, explanations and capacity in the printed report, as its reader finds them."""

import datetime as dt
import math

import pytest

from inspections.models import AgencySettings, ElementStatus
from inspections.models.choices import CauseWord, DiagnosisWord, RaisedBy, ResponseWord, VerdictWord
from inspections.services.visits import submit
from inventory.units import System
from movement.history.findings import Finding
from tests.inspections.desk_rows import JOINT
from tests.inspections.finding_rows import (
    forget_findings,
    frozen,
    make_check,
    make_diagnosis,
    make_history,
    read_over_years,
)
from tests.inspections.test_condition_report import outline_of, page_of, printed, text_of
from tests.make import make_bridge, make_element, make_inspection, make_unit

pytestmark = pytest.mark.django_db


@pytest.fixture
def joint():
    """A joint as expected in three visits: in range whatever its history says."""
    unit = make_unit(make_bridge("B-1"))
    joint = make_element(unit, "strip_seal", "J-1", **JOINT)
    visits = [make_inspection(unit.bridge, dt.date(2021 + n, 6, 1)) for n in range(3)]
    read_over_years(visits, joint, [(73.5, 12.0), (68.8, 16.0), (66.5, 18.0)])
    for visit in visits:
        submit(inspection=visit)
    forget_findings(unit.bridge)
    return joint


def report_of(joint, **more) -> str:
    return text_of(printed(joint.bridge, **more)).replace("\u202f", " ")


def test_an_element_prints_its_history_with_its_interval(joint):
    make_history(joint, response=ResponseWord.FREE, ratio=1.02, ratio_low=0.9, ratio_high=1.14)
    assert (
        "History, joint gap, left, square: follows the temperature at 1.02 of what is expected"
        " (95 %: 0.90 to 1.14): moves freely."
    ) in report_of(joint)


def test_a_status_raised_by_its_history_says_so_and_what_to_do(joint):
    history = make_history(joint, findings=Finding.STEP, step_size=12.0)
    ElementStatus.objects.filter(element=joint).update(
        verdict=VerdictWord.WATCH, raised_by=RaisedBy.HISTORY, history=history
    )
    text = report_of(joint)
    assert "Watch because of its history." in text
    assert "frozen, stepped (history)" in text
    assert "Next: Measure again at the same marks" in text


def test_checks_are_one_line_where_all_are_met_and_a_table_where_one_is_not(joint):
    make_check(joint)
    text = report_of(joint)
    assert "1 check of capacity as found: 1 met." in text
    assert "What is limited, by which rule" not in text
    make_check(joint, name="Smallest opening", when="at_max", use=1.21, demand=10.0, capacity=8.3)
    make_check(joint, use=None, lacking="skew_deg", name="Skew")
    text = report_of(joint)
    assert "3 checks of capacity as found: 1 exceeded, 1 met and 1 cannot be made." in text
    assert "What is limited, by which rule" in text
    assert "exceeded Smallest opening: 14.5.3.2, AASHTO LRFD, 9th ed. (2020)" in text
    assert "10.0 mm 8.3 mm hottest" in text
    assert "121 %" in text
    assert "Not made for want of figures: Skew." in text


def test_the_agency_says_from_which_use_on_a_check_is_near(joint):
    make_check(joint, use=0.85)
    assert "1 met" in report_of(joint)
    AgencySettings(watch_use=0.8).save()
    assert "1 near capacity" in report_of(joint)


def test_each_unit_has_its_explanation_with_evidence_and_runner_up(joint):
    make_diagnosis(
        joint.unit,
        frozen(joint, log_ratio=math.log(2345), odds_log=math.log(120)),
        {"cause": CauseWord.SHORTENING, "odds_log": math.log(8), "size": 2e-4},
    )
    reader = printed(joint.bridge)
    text = text_of(reader).replace("\u202f", " ")
    assert "Units as a whole" in outline_of(reader)
    assert "Unit U1: J-1 does not move with the temperature: frozen" in text
    assert "2,300 times likelier with J-1 frozen than with nothing wrong" in text
    assert "Runner-up: the deck shorter than creep and shrinkage make it, 15 times less" in text
    first = " ".join(page_of(reader, "Summary").split())
    assert "Unit U1 as a whole: J-1 frozen" in first


def test_a_flagged_element_is_told_what_explains_its_unit_and_what_to_do_about_that(joint):
    ElementStatus.objects.filter(element=joint).update(verdict=VerdictWord.WATCH)
    make_diagnosis(joint.unit, {"cause": CauseWord.SUPPORT_MOVED, "support": joint.support})
    first = " ".join(page_of(printed(joint.bridge), "Summary").split())
    assert f"whole unit: support {joint.support.code} moved" in first
    assert f"Survey pier {joint.support.code}" in first


def test_what_cannot_be_told_is_printed_with_both(joint):
    visit = joint.bridge.inspections.last()
    make_diagnosis(
        joint.unit,
        {"cause": CauseWord.STEP, "element": joint, "visit": visit, "size": 12.0},
        {"cause": CauseWord.BLUNDER, "element": joint, "visit": visit, "size": 12.0},
        outcome=DiagnosisWord.CANNOT_TELL,
        equal=2,
    )
    text = report_of(joint)
    assert "Cannot tell: two explanations fit about equally well" in text
    assert "1. J-1 was shifted at one time." in text
    assert "2. A blunder in the reading of J-1" in text


def test_the_method_tells_how_findings_are_computed_with_thresholds_and_editions(joint):
    make_check(joint, family="en", edition="EN 1337-3:2005", provenance="from memory")
    text = report_of(joint)
    for heading in (
        "Effective temperature by heat balance",
        "Creep and shrinkage",
        "Histories",
        "Explanations of a whole unit",
        "Capacity as found",
        "Rules and editions used",
    ):
        assert heading in text
    assert "frozen below 0.3, sluggish below 0.8" in text
    assert "EN 1337-3:2005 from memory 1" in text
    assert "evidence for an engineer's judgement, not a finding on the bridge" in text


def test_a_history_is_printed_in_us_units(joint):
    make_history(
        joint, response=ResponseWord.FREE, findings=Finding.DRIFT, drift_per_year=-2.54,
        drift_low_per_year=-5.08, drift_high_per_year=-1.27,
    )  # fmt: skip
    assert "Drifts 0.10 in a year narrower (0.05 to 0.20)" in report_of(joint, system=System.US)
