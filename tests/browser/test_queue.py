"""The queue in a browser: by keys, by touch, and from sign-in to a signed decision."""

import datetime as dt

import pytest
from playwright.sync_api import expect

from inspections.models import Decision, Flag
from inspections.services.visits import submit
from tests.browser.conftest import NOBODY
from tests.make import make_bridge, make_element, make_inspection, make_unit, make_user, read

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def flags() -> list[Flag]:
    """Bearings that should stand 41 mm back and stand 30 mm ahead."""
    unit = make_unit(make_bridge("HV-104"))
    visit = make_inspection(unit.bridge, dt.date(2024, 2, 1))
    for code in ("B-1", "B-2", "B-3"):
        bearing = make_element(
            unit,
            code=code,
            installation={
                "setting_source": "measured",
                "setting_temperature_c": 20.0,
                "setting_offset_along_mm": 0.0,
            },
            design={"movement_back_mm": 45.0, "movement_ahead_mm": 200.0},
        )
        read(visit, bearing, "offset_along", 30.0, -15.0 if code == "B-1" else None)
    submit(inspection=visit)
    return list(Flag.objects.filter(cause="position"))


def test_queue_and_flag_pass_axe_and_stay_within_the_screen(open_as, assert_usable, flags):
    for path in ("/", "/?q=nothing-like-it", f"/flags/{flags[0].pk}/"):
        page = open_as("engineer", path)
        for told in page.query_selector_all("details > summary"):
            told.click()
        assert_usable(page)
    assert_usable(open_as("manager", f"/flags/{flags[0].pk}/"))


def test_a_new_engineer_gets_from_sign_in_to_a_signed_decision(open_as, screen, flags):
    user = make_user("engineer")
    user.set_password("a long enough one")
    user.save()
    page = open_as(NOBODY, "/")
    page.get_by_label("Username").fill(user.username)
    page.get_by_label("Password").fill("a long enough one")
    page.locator("main button").click()
    expect(page.get_by_role("heading", name="Flags to decide")).to_be_visible()
    page.get_by_role("link", name="B-1").first.click()
    expect(page.get_by_text("expected −40.9").first).to_be_visible()
    page.get_by_label("Measure again").check()
    page.get_by_label("Reason").fill("The tape was read from the far edge, says the crew.")
    page.get_by_role("button", name="Sign the decision").click()
    expect(page.get_by_text("Signed: to be measured again")).to_be_visible()
    assert Decision.objects.get().decided_by == user


@pytest.mark.parametrize("screen", ["desk"], indirect=True)
def test_by_keys_alone_two_flags_are_ticked_and_decided_on(open_as, flags):
    page = open_as("engineer", "/?cause=position&sort=element")
    for key in "jxjx":
        page.keyboard.press(key)
    expect(page.locator("[data-count]")).to_have_text("(2)")
    page.keyboard.press("d")
    page.keyboard.press("Space")
    page.get_by_label("Reason").fill("jx d? are letters here")
    page.get_by_role("textbox", name="Until").fill("2090-01-01")
    page.get_by_role("button", name="Sign the decision").click()
    expect(page.get_by_text("Signed on 2 flags.")).to_be_visible()
    assert {each.flag.element.code for each in Decision.objects.all()} == {"B-1", "B-2"}
    page.keyboard.press("/")
    expect(page.locator("input[type=search]")).to_be_focused()


@pytest.mark.parametrize("screen", ["desk"], indirect=True)
def test_enter_opens_the_flag_under_the_mark_and_a_question_mark_tells_the_keys(open_as, flags):
    page = open_as("engineer", "/?cause=position&sort=element")
    page.keyboard.press("?")
    expect(page.get_by_text("Next, previous flag")).to_be_visible()
    page.keyboard.press("j")
    page.keyboard.press("j")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_contain_text("B-2")
