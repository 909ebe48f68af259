"""Histories, explanations and checks of capacity in a browser: accessible, legible, touchable."""

import datetime as dt

import pytest
from playwright.sync_api import expect

from inspections.models import ElementStatus
from inspections.models.choices import CauseWord, DiagnosisWord, RaisedBy, VerdictWord
from inspections.services.visits import submit
from inventory.models import Element
from movement.history.findings import Finding
from tests.browser.conftest import PHONE
from tests.inspections.desk_rows import JOINT
from tests.inspections.finding_rows import (
    forget_findings,
    make_check,
    make_diagnosis,
    make_history,
    read_over_years,
)
from tests.make import make_bridge, make_element, make_inspection, make_unit

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

LARGE_ENOUGH_PX = 44


@pytest.fixture
def joint() -> Element:
    """A joint raised by its history, whose unit cannot be told and whose capacity is exceeded."""
    unit = make_unit(make_bridge("HV-104"))
    joint = make_element(unit, "strip_seal", "J-1", **JOINT)
    visits = [make_inspection(unit.bridge, dt.date(2020 + n, 6, 1)) for n in range(4)]
    readings = read_over_years(
        visits, joint, [(73.5, 12.0), (68.8, 16.0), (66.5, 18.0), (79.0, 19.0)]
    )
    for visit in visits:
        submit(inspection=visit)
    forget_findings(unit.bridge)
    either = Finding.STEP | Finding.BLUNDER
    history = make_history(
        joint,
        findings=either,
        alternatives=either,
        step_size=13.0,
        step_low=9.0,
        step_high=17.0,
        step_after=dt.date(2022, 6, 1),
        step_before=dt.date(2023, 6, 1),
        blunder_reading=readings[-1],
        blunder_size=13.0,
    )
    ElementStatus.objects.filter(element=joint).update(
        verdict=VerdictWord.WATCH, raised_by=RaisedBy.HISTORY, history=history
    )
    make_diagnosis(
        unit,
        {"cause": CauseWord.STEP, "element": joint, "visit": visits[-1], "size": 13.0},
        {"cause": CauseWord.BLUNDER, "element": joint, "visit": visits[-1], "size": 13.0},
        outcome=DiagnosisWord.CANNOT_TELL,
        equal=2,
    )
    make_check(joint, use=1.3, demand=130.0)
    make_check(joint, family="en", use=0.95)
    make_check(joint, use=None, demand=None, capacity=None, lacking="skew_deg")
    return joint


def test_pages_with_findings_pass_axe_and_stay_within_the_screen(open_as, assert_usable, joint):
    for path in (f"/elements/{joint.pk}/", "/bridges/HV-104/", "/elements/?finding=by-history"):
        assert_usable(open_as("engineer", path))
        assert_usable(open_as("engineer", path, on=PHONE))


def test_the_history_and_both_charts_of_a_channel_are_in_sight(open_as, joint):
    page = open_as("inspector", f"/elements/{joint.pk}/")
    history = page.get_by_role("region", name="History")
    expect(history).to_contain_text("Follows the temperature at 0.06")
    expect(history).to_contain_text("One of the two, which fit equally well")
    expect(
        history.get_by_role("img", name="Joint gap, left, square against effective")
    ).to_be_visible()
    expect(history.get_by_role("img", name="over the years")).to_be_visible()


def test_what_checks_need_unfolds_by_touch_and_by_key(open_as, joint):
    page = open_as("engineer", f"/elements/{joint.pk}/")
    summary = page.locator("summary", has_text="cannot be made")
    needs = page.get_by_text("cannot check: needs")
    expect(needs).to_be_hidden()
    assert summary.bounding_box()["height"] >= LARGE_ENOUGH_PX
    summary.click()
    expect(needs).to_be_visible()
    summary.press("Enter")
    expect(needs).to_be_hidden()


def test_the_list_is_narrowed_to_what_a_history_raised(open_as, joint):
    page = open_as("engineer", "/elements/")
    page.get_by_label("Finding").select_option(label="Raised by its history")
    page.get_by_role("button", name="Apply").click()
    expect(page.locator("tbody th .target")).to_have_text(["J-1"])
    expect(page.locator("tbody")).to_contain_text("Watch because of its history.")
