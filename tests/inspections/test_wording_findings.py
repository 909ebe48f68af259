"""Checks of capacity, shortening and what raised a status, as their reader finds them."""

import math

import pytest

from inspections.models.choices import CauseWord, RaisedBy, VerdictWord
from inspections.selectors.statuses import element_statuses
from inspections.wording_capacity import (
    State,
    check_sentence,
    checks_in_words,
    tell_check,
    tell_checks,
    worst_of,
)
from inspections.wording_status import shortening_words, status_in_short, status_sentence
from inventory.units import System
from movement.concrete import ShorteningNote
from tests.inspections.desk_rows import JOINT, LEFT
from tests.inspections.finding_rows import (
    forget_findings,
    frozen,
    make_check,
    make_diagnosis,
    make_history,
)
from tests.make import make_bridge, make_element, make_inspection, make_unit, read

pytestmark = pytest.mark.django_db


@pytest.fixture
def joint():
    """A joint read once, in range."""
    joint = make_element(make_unit(make_bridge("B-1")), "strip_seal", "J-1", **JOINT)
    read(make_inspection(joint.bridge), joint, "gap", 70.0, 15.0, accept=True, **LEFT)
    forget_findings(joint.bridge)
    joint.refresh_from_db()
    return joint


def plain(text: str) -> str:
    return text.replace("\u202f", " ")


def test_a_check_is_told_with_demand_capacity_use_clause_and_edition(joint):
    told = tell_check(make_check(joint), System.SI)
    assert plain(check_sentence(told)) == (
        "Gap along the road, as found: 80.0 mm against 100.0 mm, 80 % used: met"
        " (14.5.3.2, AASHTO LRFD, 9th ed. (2020))."
    )
    assert plain(tell_check(told.check, System.US).demand) == "3.15 in"


def test_a_check_from_memory_says_so(joint):
    told = tell_check(make_check(joint, provenance="from memory"), System.SI)
    assert told.rule.endswith("figures from memory")


@pytest.mark.parametrize(
    ("fields", "state", "use"),
    [
        ({"use": 0.8}, State.MET, "80 %"),
        ({"use": 0.95}, State.NEAR, "95 %"),
        ({"use": 1.0}, State.NEAR, "100 %"),
        ({"use": 1.2}, State.EXCEEDED, "120 %"),
        ({"use": 1.2, "counts": False}, State.NOT_NEEDED, "120 %"),
        ({"use": None, "nothing_left": True}, State.EXCEEDED, "nothing left"),
        ({"use": None, "lacking": "opening_max_mm"}, State.CANNOT_CHECK, "–"),
    ],
)
def test_the_state_of_a_check_follows_its_use(joint, fields, state, use):
    told = tell_check(make_check(joint, **fields), System.SI)
    assert told.state == state
    assert plain(told.use) == use


@pytest.mark.parametrize(
    ("lacking", "words"),
    [
        ("opening_max_mm", "needs «Largest opening»"),
        ("gap_mm", "needs a reading of the gap"),
        ("gap_mm_at_min", "needs a reading of the gap, carried to a design temperature"),
        (
            "vertical_service_max_kn, grade",
            "needs «Vertical load, service, greatest» and the hardness grade of the elastomer",
        ),
        ("rotation_mrad_found", "needs a reading: rotation, either way"),
        ("ptfe_area_mm2 within range", "needs «PTFE area» within the range of the rule"),
    ],
)
def test_what_a_check_lacks_is_told_in_words(joint, lacking, words):
    told = tell_check(make_check(joint, use=None, lacking=lacking), System.SI)
    assert told.needs == f"cannot check: {words}"


def test_a_clause_without_a_limit_says_so(joint):
    assert tell_check(make_check(joint, capacity=None, use=0.0), System.SI).capacity == "no limit"


def test_checks_are_summed_up_and_the_worst_of_them_found(joint):
    for fields in ({}, {"use": 1.3}, {"use": 0.97}, {"use": None, "lacking": "skew_deg"}):
        make_check(joint, **fields)
    told = tell_checks(joint.capacity_checks.all(), System.SI)
    assert checks_in_words(told) == (
        "4 checks of capacity as found: 1 exceeded, 1 near capacity, 1 met and 1 cannot be made."
    )
    assert worst_of(told).check.use == 1.3


def raised(joint, **fields):
    joint.status.verdict = VerdictWord.WATCH
    for name, value in fields.items():
        setattr(joint.status, name, value)
    joint.status.save()
    return element_statuses().get(element=joint)


def test_a_status_raised_by_its_history_says_so_before_its_reading(joint):
    status = raised(joint, raised_by=RaisedBy.HISTORY, history=make_history(joint))
    words = plain(status_sentence(status, System.SI))
    assert words.startswith(
        "Watch because of its history. Joint gap, left, square: follows the temperature at 0.06"
    )
    assert "Its reading by itself: Joint gap, left, square 70.0 mm" in words
    assert status_in_short(status) == "frozen (history)"


def test_a_status_raised_by_its_unit_says_so_with_the_evidence(joint):
    make_diagnosis(joint.unit, frozen(joint, log_ratio=math.log(2345)))
    status = raised(
        joint, raised_by=RaisedBy.UNIT, explanation=joint.unit.diagnosis.explanations.get()
    )
    words = status_sentence(status, System.SI)
    assert "Watch because of the readings of its whole unit." in words
    assert "2,300 times likelier with J-1 frozen than with nothing wrong" in words
    assert status_in_short(status) == "J-1 frozen (whole unit)"


def test_a_status_that_its_reading_decides_alone_is_told_as_before(joint):
    status = element_statuses().get(element=joint)
    assert plain(status_sentence(status, System.SI)).startswith("Joint gap, left, square 70.0 mm")
    assert status_in_short(status) == "as expected"


def test_an_element_whose_support_moved_says_which_support(joint):
    make_diagnosis(joint.unit, {"cause": CauseWord.SUPPORT_MOVED, "support": joint.support})
    status = raised(
        joint, raised_by=RaisedBy.UNIT, explanation=joint.unit.diagnosis.explanations.get()
    )
    assert status_in_short(status) == f"support {joint.support.code} moved (whole unit)"


def test_the_part_of_creep_and_shrinkage_is_told_with_what_was_assumed(joint):
    verdict = joint.status.deciding
    verdict.shortening, verdict.u_shortening = 4.2, 1.3
    verdict.shortening_notes = ShorteningNote.MODULUS_FROM_RULE
    assert plain(shortening_words(verdict, System.SI)) == (
        "+4.2 mm of it creep and shrinkage (standard uncertainty 1.3 mm); modulus by the rule"
    )
    assert plain(shortening_words(verdict, System.US)).startswith("+0.17 in of it")


def test_a_shortening_that_cannot_be_reckoned_says_what_it_needs(joint):
    verdict = joint.status.deciding
    verdict.shortening_notes = ShorteningNote.NO_AGE | ShorteningNote.NO_STRENGTH
    assert shortening_words(verdict, System.SI) == (
        "creep and shrinkage not reckoned: needs the strength of the concrete, the age of the"
        " concrete at setting and reading"
    )
    verdict.shortening_notes = 0
    assert shortening_words(verdict, System.SI) == ""
