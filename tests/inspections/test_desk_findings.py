"""Histories, explanations and capacity on the engineer's pages."""

import datetime as dt
import math

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inspections.models import ElementStatus
from inspections.models.choices import CauseWord, DiagnosisWord, RaisedBy, ResponseWord, VerdictWord
from inspections.services.visits import submit
from movement.history.findings import Finding
from tests.inspections.desk_rows import JOINT, codes, words
from tests.inspections.finding_rows import (
    forget_findings,
    frozen,
    make_check,
    make_diagnosis,
    make_history,
    read_over_years,
)
from tests.make import make_bridge, make_element, make_inspection, make_unit

pytestmark = pytest.mark.django_db


@pytest.fixture
def unit():
    return make_unit(make_bridge("B-1"))


@pytest.fixture
def joint(unit):
    """A joint that stood at 70 mm in three visits at different temperatures."""
    joint = make_element(unit, "strip_seal", "J-1", **JOINT)
    visits = [make_inspection(unit.bridge, dt.date(2021 + n, 6, 1)) for n in range(3)]
    read_over_years(visits, joint, [(70.0, 12.0), (70.5, 16.0), (70.2, 18.0)])
    for visit in visits:
        submit(inspection=visit)
    forget_findings(unit.bridge)
    return joint


def page_of(client, element) -> str:
    return words(client.get(f"/elements/{element.pk}/")).replace("\u202f", " ")


def raise_by_history(joint, **fields) -> None:
    ElementStatus.objects.filter(element=joint).update(
        verdict=VerdictWord.WATCH,
        raised_by=RaisedBy.HISTORY,
        history=make_history(joint, **fields),
    )


def test_an_element_tells_its_history_above_the_charts_of_its_channel(as_role, joint):
    make_history(joint)
    response = as_role("inspector").get(f"/elements/{joint.pk}/")
    page = words(response).replace("\u202f", " ")
    assert (
        "Follows the temperature at 0.06 of what is expected (95 %: −0.08 to 0.19): frozen." in page
    )
    titles = response.content.decode()
    assert "against effective temperature</title>" in titles
    assert "carried to 12.0\u202f°C, over the years</title>" in titles


def test_an_element_without_a_history_shows_its_readings_all_the_same(as_role, joint):
    page = page_of(as_role("inspector"), joint)
    assert "History" in page
    assert "Follows the temperature" not in page


def test_a_raised_verdict_says_on_its_page_and_in_the_lists_what_raised_it(as_role, joint):
    client = as_role("engineer")
    raise_by_history(joint)
    assert "Watch because of its history." in page_of(client, joint)
    assert "Watch because of its history." in words(client.get("/elements/"))
    assert "Frozen (history)" in words(client.get("/bridges/B-1/"))


def test_lists_say_what_history_and_unit_show_even_where_the_reading_decides(as_role, unit, joint):
    client = as_role("engineer")
    ElementStatus.objects.filter(element=joint).update(verdict=VerdictWord.OUT_OF_RANGE)
    make_history(joint)
    make_diagnosis(unit, {"cause": CauseWord.SUPPORT_MOVED, "support": joint.support})
    told = f"History: frozen; whole unit: support {joint.support.code} moved."
    assert told in words(client.get("/elements/"))
    assert told in words(client.get("/bridges/B-1/"))


def test_capacity_as_found_is_a_table_with_clause_edition_and_use(as_role, joint):
    make_check(joint, use=1.3, demand=130.0)
    make_check(joint, family="en", name="Opening", clause="6.2", edition="EN X:2004", use=0.5)
    make_check(joint, use=None, demand=None, capacity=None, lacking="opening_max_mm")
    page = page_of(as_role("inspector"), joint)
    assert "3 checks of capacity as found: 1 exceeded, 1 met and 1 cannot be made." in page
    assert "Exceeded Gap along the road 14.5.3.2, AASHTO LRFD, 9th ed. (2020)" in page
    assert "as found 130.0 mm 100.0 mm 130 %" in page
    assert "6.2, EN X:2004" in page
    assert "cannot check: needs «Largest opening»" in page


def test_a_device_without_a_check_says_so(as_role, joint):
    assert "No capacity has been checked." in page_of(as_role("inspector"), joint)


def test_a_bridge_explains_each_unit_with_evidence_runner_up_and_what_is_next(as_role, unit, joint):
    make_diagnosis(
        unit,
        frozen(joint, log_ratio=math.log(2345), odds_log=math.log(120)),
        {"cause": CauseWord.SHORTENING, "odds_log": math.log(8), "size": 2e-4},
    )
    page = words(as_role("manager").get("/bridges/B-1/"))
    assert "Unit U1: J-1 does not move with the temperature: frozen" in page
    assert "2,300 times likelier with J-1 frozen than with nothing wrong" in page
    assert "Runner-up: the deck shorter than creep and shrinkage make it, 15 times less" in page
    assert "Next Look at J-1 for corrosion" in page
    assert "supports an engineer's judgement" in page


def test_a_unit_that_cannot_be_told_shows_both(as_role, unit, joint):
    visit = unit.bridge.inspections.last()
    make_diagnosis(
        unit,
        {"cause": CauseWord.STEP, "element": joint, "visit": visit, "size": 12.0},
        {"cause": CauseWord.BLUNDER, "element": joint, "visit": visit, "size": 12.0},
        outcome=DiagnosisWord.CANNOT_TELL,
        equal=2,
    )
    page = words(as_role("manager").get("/bridges/B-1/"))
    assert "Cannot tell: two explanations fit about equally well" in page
    assert "J-1 was shifted at one time." in page
    assert "A blunder in the reading of J-1" in page


def test_an_element_shows_its_units_explanation_where_it_is_named(as_role, unit, joint):
    other = make_element(unit, "pot", "P-2", station_m=60.0)
    make_diagnosis(unit, frozen(joint))
    assert "Its unit as a whole" in page_of(as_role("inspector"), joint)
    assert "Its unit as a whole" not in page_of(as_role("inspector"), other)


@pytest.mark.parametrize(
    ("finding", "fields"),
    [
        ("by-history", {}),
        ("frozen", {}),
        ("sluggish", {"response": ResponseWord.SLUGGISH}),
        ("other-way", {"response": ResponseWord.WRONG_SIGN}),
        ("drift", {"findings": Finding.DRIFT}),
        ("step", {"findings": Finding.STEP | Finding.BLUNDER}),
        ("blunder", {"findings": Finding.STEP | Finding.BLUNDER}),
        ("limit", {"findings": Finding.DRIFT | Finding.REACHES_LIMIT}),
        ("unclear", {"response": ResponseWord.NOT_ENOUGH_INFORMATION}),
    ],
)
def test_the_list_is_narrowed_to_what_a_history_found(as_role, unit, joint, finding, fields):
    client = as_role("engineer")
    make_element(unit, "strip_seal", "J-2", **JOINT)
    forget_findings(unit.bridge)
    assert codes(client.get(f"/elements/?verdict=all&finding={finding}")) == []
    raise_by_history(joint, **fields)
    assert codes(client.get(f"/elements/?verdict=all&finding={finding}")) == ["J-1"]


def test_the_list_is_narrowed_to_what_a_unit_or_a_check_found(as_role, unit, joint):
    client = as_role("engineer")
    make_element(make_unit(make_bridge("B-2")), "strip_seal", "J-2", **JOINT)
    make_diagnosis(unit, {"cause": CauseWord.FIXED_POINT, "support": joint.support})
    make_check(joint, use=0.99)
    assert codes(client.get("/elements/?verdict=all&finding=register")) == ["J-1"]
    assert codes(client.get("/elements/?verdict=all&finding=frozen")) == []
    assert codes(client.get("/elements/?verdict=all&finding=capacity")) == []
    make_check(joint, use=1.01)
    assert codes(client.get("/elements/?verdict=all&finding=capacity")) == ["J-1"]
    make_diagnosis(unit, frozen(joint))
    assert codes(client.get("/elements/?verdict=all&finding=frozen")) == ["J-1"]
    ElementStatus.objects.filter(element=joint).update(
        raised_by=RaisedBy.UNIT, explanation=unit.diagnosis.explanations.get()
    )
    assert codes(client.get("/elements/?verdict=all&finding=by-unit")) == ["J-1"]


def test_the_findings_of_a_page_cost_the_same_queries_for_one_and_for_many(as_role, unit, joint):
    client = as_role("engineer")
    addresses = ["/elements/?verdict=all", "/bridges/B-1/", f"/elements/{joint.pk}/"]

    def queries() -> list[int]:
        counts = []
        for address in addresses:
            client.get(address)
            with CaptureQueriesContext(connection) as caught:
                client.get(address)
            counts.append(len(caught))
        return counts

    raise_by_history(joint)
    make_check(joint)
    make_diagnosis(unit, frozen(joint))
    one = queries()
    visit = unit.bridge.inspections.last()
    for number in range(12):
        other = make_element(unit, "strip_seal", f"J-{number + 10}", **JOINT)
        make_history(other)
        make_history(joint, point=f"p{number}")
        make_check(joint)
    make_diagnosis(
        unit,
        *(
            {"cause": CauseWord.STEP, "element": place, "visit": visit, "last_before": visit}
            for place in (joint, other, joint)
        ),
    )
    for number in range(8):
        make_diagnosis(make_unit(unit.bridge, f"V{number}"), frozen(joint))
    raise_by_history(joint)
    assert queries() == one
