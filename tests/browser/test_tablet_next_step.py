"""What the tablet says where one cannot go on, and where it leads, in a real browser."""

import re

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from inspections.models import Condition, Inspection
from tests.browser.served_tablet import all_sent, put_on_board
from tests.make import make_bridge, make_element, make_inspection, make_unit, make_user
from tests.tablet import Tablet

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def inspection() -> Inspection:
    """An open inspection of today, of a joint."""
    unit = make_unit(make_bridge("T-1"))
    make_element(unit, "strip_seal", "J-1")
    return make_inspection(unit.bridge, timezone.now().date())


@pytest.fixture
def on_board(open_as, inspection) -> Page:
    """The tablet's page with the inspection on board."""
    page = open_as("inspector", "/field/")
    put_on_board(page, "T-1")
    return page


def form_of_joint(inspection: Inspection) -> str:
    """Return the address of the joint's form."""
    return f"/field/#/i/{inspection.pk}/e/{inspection.bridge.elements.get().pk}"


def rate(page: Page) -> None:
    """Give all of the element that is open the first condition state."""
    page.get_by_text("Condition", exact=True).click()
    page.get_by_label(re.compile("^Quantity of the element")).fill("12")
    page.get_by_label("CS1").fill("12")
    page.locator("details.conditions").get_by_role("button", name="Keep").click()
    expect(page.get_by_text("Condition: 1 recorded")).to_be_visible()


def sign(page: Page, inspection: Inspection) -> None:
    """Sign as the lead."""
    page.goto(f"/field/#/i/{inspection.pk}/review")
    page.get_by_label("Signed as").fill("Lead inspector")
    page.get_by_role("button", name="Sign and hand in").click()


def test_forms_of_a_signed_visit_say_why_nothing_can_be_kept(on_board, inspection):
    page = on_board
    page.goto(form_of_joint(inspection))
    rate(page)
    page.context.set_offline(True)
    sign(page, inspection)
    for address in (form_of_joint(inspection), f"/field/#/i/{inspection.pk}/t"):
        page.goto(address)
        expect(page.get_by_text(re.compile("^Signed: what waits"))).to_be_visible()
    page.context.set_offline(False)
    expect(page.get_by_text("Handed in.")).to_be_visible(timeout=15_000)


def test_the_desk_leads_to_the_form_where_a_condition_is_kept(open_as, inspection):
    joint = inspection.bridge.elements.get()
    page = open_as("inspector", f"/inspections/{inspection.pk}/elements/{joint.pk}/")
    page.get_by_role("link", name=re.compile("^On the tablet's form")).click()
    page.get_by_role("button", name="Take along").click()
    rate(page)
    all_sent(page)
    assert Condition.objects.get().total == 12


def test_a_refused_signature_leads_to_where_two_tablets_are_told_apart(on_board, inspection):
    page = on_board
    joint = inspection.bridge.elements.get()
    for value in (50.0, 57.0):
        other = Tablet(make_user("inspector"))
        point = {"quantity": "gap", "point": "left", "axis": "square"}
        other.send(other.reading(inspection, joint, value, **point))
    page.goto(form_of_joint(inspection))
    rate(page)
    sign(page, inspection)
    page.get_by_role("link", name="See why, and mend them first").click(timeout=15_000)
    page.get_by_role("link", name="See the visit at the desk").click()
    expect(page.get_by_role("heading", name="Two tablets disagree")).to_be_visible()
