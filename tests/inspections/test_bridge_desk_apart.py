"""What to measure next, as the bridge's page says it: foretold values, temperatures, refusals."""

import datetime as dt

import pytest

from inspections.lookups.explanation_pairs import pairs_of
from inspections.lookups.usual_temperatures import MayFind, Origin, may_find
from inspections.models import UnitDiagnosis
from inspections.models.choices import CauseWord, DiagnosisWord
from inspections.selectors.findings import diagnoses_of
from inspections.services.tell_apart import to_tell_apart
from inspections.wording_tell_apart import tell_pair
from inventory.units import System
from tests.inspections.desk_rows import words
from tests.inspections.finding_rows import frozen, make_diagnosis
from tests.inspections.over_years import dice, free_mm, make_bearing, make_joint, visit
from tests.make import make_bridge, make_unit

pytestmark = pytest.mark.django_db
EXTREMES_C = (-30.0, 45.0)
MILD = [
    (dt.date(2021, 4, 1), 16.0),
    (dt.date(2022, 5, 1), 24.0),
    (dt.date(2023, 4, 1), 18.0),
    (dt.date(2024, 5, 1), 25.0),
]


@pytest.fixture
def bearing():
    """A bearing that follows the deck, beside two more and a joint, read in mild weather."""
    unit = make_unit(make_bridge("B-1"))
    found = make_bearing(unit, code="A2-B2")
    others = [make_bearing(unit, code="A2-B1"), make_bearing(unit, 50.0, code="P1-B1")]
    joint = make_joint(unit, code="A2-J")
    error = dice()
    for date, temperature_c in MILD:
        rows = [
            (each, "offset_along", free_mm(each.station_m, temperature_c) + error.gauss(0, 0.5), "")
            for each in (found, *others)
        ]
        gap = 60.0 - free_mm(100.0, temperature_c)
        visit(unit.bridge, date, temperature_c, [*rows, (joint, "gap", gap, "left")])
    return found


def told(bearing, months=()):
    bridge = bearing.bridge
    units = list(bridge.units.all())
    found = to_tell_apart(
        bridge,
        list(diagnoses_of(bridge)),
        units,
        list(bridge.elements.select_related("support")),
        {units[0].pk: EXTREMES_C},
        list(months),
        dt.date(2026, 1, 1),
    )
    return found.get(units[0].pk, [])


def step(bearing, **fields):
    visit_row = bearing.bridge.inspections.order_by("date")[1]
    return {
        "cause": CauseWord.STEP, "element": bearing, "quantity": "offset_along",
        "visit": visit_row, "size": 9.0, "low": 7.0, "high": 11.0,
    } | fields  # fmt: skip


def blunder(bearing):
    return step(bearing, cause=CauseWord.BLUNDER)


def stuck(bearing):
    return frozen(bearing, quantity="offset_along")


def cannot_tell(bearing, *causes):
    make_diagnosis(bearing.unit, *causes, outcome=DiagnosisWord.CANNOT_TELL, equal=len(causes))


def test_a_frozen_bearing_is_foretold_still_and_the_rival_where_the_deck_takes_it(bearing):
    cannot_tell(bearing, stuck(bearing), blunder(bearing))
    (pair,) = told(bearing)
    first = pair.to_measure[0]
    assert first.element == bearing
    assert pair.separable
    expected = free_mm(100.0, first.at.temperature_c)
    # it followed the deck so far, which draws what a frozen one would show towards that
    assert abs(first.if_first) < 0.5 * abs(expected)
    assert first.if_second == pytest.approx(expected, abs=2.0 * first.u_second)


def test_where_the_month_tells_as_well_it_is_proposed_before_the_coldest_of_the_design(bearing):
    cannot_tell(bearing, stuck(bearing), blunder(bearing))
    january = MayFind(-12.0, Origin.MONTH, month=1)
    (pair,) = told(bearing, [january])
    assert pair.to_measure[0].at == january
    proposal = tell_pair(pair, System.SI).proposals[0]
    assert proposal.startswith(
        "Measure the offset along at A2-B2 near −12\u202f°C, as on a usual day in January:"
    )
    assert "with A2-B2 frozen" in proposal
    assert proposal.endswith("It names the right one in more than 99 of 100 cases.")


def test_two_causes_that_are_over_are_told_as_beyond_measuring(bearing):
    other = bearing.bridge.elements.get(code="A2-B1")
    cannot_tell(bearing, blunder(bearing), blunder(other))
    (pair,) = told(bearing)
    said = tell_pair(pair, System.SI)
    assert (pair.separable, said.proposals) == (False, [])
    assert said.not_separable.startswith("Nothing that can be measured tells these apart: they")
    assert "Look up the field notes" in said.not_separable


def test_the_rival_of_a_lone_explanation_is_that_nothing_is_wrong(bearing):
    make_diagnosis(bearing.unit, frozen(bearing, quantity="offset_along", odds_log=1.5))
    (pair,) = told(bearing)
    assert pair.second is None
    assert "A2-B2 frozen from nothing wrong" in tell_pair(pair, System.SI).heading


def test_of_three_equals_every_two_are_told_apart(bearing):
    cannot_tell(bearing, stuck(bearing), step(bearing), blunder(bearing))
    assert len(told(bearing)) == 3


def test_what_the_readings_have_decided_is_only_to_be_confirmed(bearing):
    make_diagnosis(
        bearing.unit,
        frozen(bearing, quantity="offset_along", odds_log=30.0),
        step(bearing, odds_log=2.0),
    )
    heading = tell_pair(told(bearing)[0], System.SI).heading
    assert heading.startswith("The readings so far fit A2-B2 frozen better than a step at A2-B2")


def test_a_second_cause_beside_stands_with_both_sides(bearing):
    diagnosis = make_diagnosis(
        bearing.unit, stuck(bearing), step(bearing), blunder(bearing) | {"beside": True, "rank": 0}
    )
    ((one, other),) = pairs_of(diagnosis)
    assert [each.cause for each in one] == [CauseWord.FROZEN, CauseWord.BLUNDER]
    assert [each.cause for each in other] == [CauseWord.STEP, CauseWord.BLUNDER]


def test_a_unit_in_good_order_has_nothing_to_tell_apart(bearing, as_role):
    assert UnitDiagnosis.objects.get(unit=bearing.unit).outcome != DiagnosisWord.EXPLAINED
    assert told(bearing) == []
    assert "What to measure next" not in words(as_role("engineer").get("/bridges/B-1/"))


def test_an_explanation_that_names_what_was_never_read_is_passed_over(bearing):
    unread = make_bearing(bearing.unit, code="A2-B9")
    cannot_tell(bearing, frozen(unread, quantity="offset_along"), blunder(bearing))
    assert told(bearing) == []


def test_the_page_says_what_to_measure_next_in_the_user_s_units(bearing, as_role):
    cannot_tell(bearing, stuck(bearing), blunder(bearing))
    client = as_role("engineer")
    page = words(client.get("/bridges/B-1/"))
    assert "To tell A2-B2 frozen from a blunder in the offset along of A2-B2" in page
    assert " mm (±" in page
    client.post("/preferences/units/", {"units": "us"})
    assert " in (±" in words(client.get("/bridges/B-1/"))


def test_of_nearly_equal_temperatures_the_usual_one_is_kept():
    months = [MayFind(-29.6, Origin.MONTH, month=1), MayFind(20.0, Origin.MONTH, month=7)]
    seen = [(5.0, dt.date(2020, 1, 1)), (12.0, dt.date(2021, 1, 1)), (31.0, dt.date(2022, 7, 1))]
    found = may_find(EXTREMES_C, months, seen)
    assert [each.temperature_c for each in found] == [-29.6, 5.0, 20.0, 31.0, 45.0]
    assert [each.rare for each in found] == [False, False, False, False, True]
