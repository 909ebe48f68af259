"""A page in plain words in a browser: from a flag to a saved and printed page."""

import datetime as dt

import pytest
from playwright.sync_api import expect

from inspections.models import Flag, PlainPage
from inspections.services.decisions import decide
from inventory.models import Bridge
from tests.browser.conftest import DESK
from tests.inspections.work_rows import a_unit, off_joints, position
from tests.make import make_bridge, make_element, make_unit, make_user

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def flag(transactional_db) -> Flag:
    """Return the flag of a joint on a bridge with a long name."""
    (joint,) = off_joints(a_unit("HV-104"), "J-1")
    Bridge.objects.update(name="Oberwesterwaldkreuzungsbauwerk Nordumfahrung " * 2)
    return position(joint)


def save_by_hand(page) -> None:
    page.get_by_label("What will be done and when", exact=True).fill("The council hears of it.")
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_text("Saved. Earlier versions are kept.")).to_be_visible()


def test_every_face_of_the_page_passes_axe_and_stays_within_the_screen(
    open_as, assert_usable, flag
):
    make_element(make_unit(make_bridge("B-7")), code="P-1")
    assert_usable(open_as("inspector", f"/flags/{flag.pk}/plain/"))
    assert_usable(open_as("engineer", "/bridges/B-7/plain/"))
    page = open_as("engineer", f"/flags/{flag.pk}/plain/")
    assert_usable(page)
    page.get_by_label("What was found", exact=True).fill("w" * 900)
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_text("900 characters are too many")).to_be_visible()
    assert_usable(page)
    page.get_by_label("What was found", exact=True).fill("It is too narrow.")
    save_by_hand(page)
    decide(flag=flag, kind="close", reason="x", user=make_user("engineer"))
    page.reload()
    save_by_hand(page)
    decide(
        flag=Flag.objects.get(pk=flag.pk), kind="watch", reason="x", until=dt.date(2090, 1, 1),
        user=make_user("engineer"),
    )  # fmt: skip
    page.reload()
    expect(page.get_by_role("button", name="Take this for «What will be done")).to_be_visible()
    for told in page.query_selector_all("details > summary"):
        told.click()
    assert_usable(page)


@pytest.mark.parametrize("screen", ["desk"], indirect=True)
def test_from_a_flag_to_a_page_that_is_written_offered_anew_and_printed(open_as, flag):
    page = open_as("manager", f"/flags/{flag.pk}/", on=DESK)
    page.get_by_role("link", name="One page in plain words").click()
    plan = page.get_by_label("What will be done and when", exact=True)
    expect(plan).to_have_value("No decision has been made yet." + plan.input_value()[30:])
    plan.fill("Four")
    expect(page.get_by_text("4 of 600")).to_be_visible()
    plan.fill("w" * 612)
    expect(page.get_by_text("612 of 600: 12 too many")).to_be_visible()
    save_by_hand(page)
    decide(flag=flag, kind="close", reason="x", user=make_user("engineer"))
    page.reload()
    expect(page.get_by_text("The record has changed since these texts")).to_be_visible()
    page.get_by_label("What it means", exact=True).fill("We are looking into it.")
    page.get_by_role("button", name="Take this for «What will be done").click()
    expect(plan).to_have_value("On" + plan.input_value()[2:])
    expect(page.get_by_label("What it means", exact=True)).to_have_value("We are looking into it.")
    page.get_by_role("button", name="Save", exact=True).click()
    with page.expect_download() as got:
        page.get_by_role("link", name="Print what was saved").click()
    assert got.value.suggested_filename == "HV-104-J-1-position-in-plain-words.pdf"
    assert "closed the matter" in PlainPage.objects.first().plan
