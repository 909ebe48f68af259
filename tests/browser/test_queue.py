"""The queue in a browser: by keys, by touch, and from sign-in to a signed decision."""

import datetime as dt

import pytest
from playwright.sync_api import expect

from inspections.models import Decision, Flag
from inspections.services.visits import submit
from tests.browser.conftest import NOBODY
from tests.make import (
    SET_AT_20_C,
    make_bridge,
    make_element,
    make_inspection,
    make_unit,
    make_user,
    read,
)

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
            installation=SET_AT_20_C,
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


LINES = """box => {
  const words = document.createRange();
  words.selectNodeContents(box);
  return new Set([...words.getClientRects()].map((each) => Math.round(each.bottom))).size;
}"""


@pytest.mark.parametrize("locale", ["en-GB", "de-DE"])
def test_what_waits_and_since_when_stand_on_one_line_each(open_as, flags, locale):
    Flag.objects.filter(pk=flags[0].pk).update(state="back", times_reopened=2)
    page = open_as("engineer", "/", locale=locale)
    rows = page.locator(".queue-list tbody tr")
    assert rows.count() == len(flags)
    for row in rows.all():
        for told in (row.locator(".state"), *row.locator("td:last-child .about > span").all()):
            assert told.evaluate(LINES) == 1, told.inner_text()


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


@pytest.mark.parametrize("screen", ["desk"], indirect=True)
def test_on_a_flags_page_the_keys_decide_lead_on_and_are_told(open_as, flags):
    page = open_as("engineer", f"/flags/{flags[0].pk}/")
    page.keyboard.press("?")
    expect(page.get_by_text("Decide on this flag")).to_be_visible()
    page.keyboard.press("d")
    expect(page.get_by_label("Accept")).to_be_focused()
    page.keyboard.press("Space")
    page.get_by_label("Reason").fill("d? n are letters here")
    page.get_by_role("textbox", name="Until").fill("2090-01-01")
    page.get_by_role("button", name="Sign the decision").click()
    expect(page.get_by_text("Signed: accepted")).to_be_visible()
    page.keyboard.press("n")
    expect(page.get_by_role("heading", level=1)).not_to_contain_text(flags[0].element.code)
    assert Decision.objects.get().flag == flags[0]


@pytest.mark.parametrize("screen", ["desk"], indirect=True)
def test_who_may_not_decide_is_told_of_no_key_for_it(open_as, flags):
    page = open_as("manager", f"/flags/{flags[0].pk}/")
    page.keyboard.press("d")
    page.keyboard.press("?")
    expect(page.get_by_text("Show these keys")).to_be_visible()
    expect(page.get_by_text("Decide on this flag")).to_have_count(0)


def test_a_kind_of_decision_enters_its_day_until_one_is_typed(open_as, flags):
    page = open_as("engineer", f"/flags/{flags[0].pk}/")
    until = page.get_by_role("textbox", name="Until")
    page.get_by_label("Watch").check()
    watched = until.input_value()
    assert dt.date.fromisoformat(watched) > dt.datetime.now(dt.UTC).date()
    page.get_by_label("Measure again").check()
    assert until.input_value() not in ("", watched)
    # It must be given for an acceptance, so nothing proposes it.
    page.get_by_label("Accept").check()
    expect(until).to_have_value("")
    until.fill("2090-01-01")
    page.get_by_label("Watch").check()
    expect(until).to_have_value("2090-01-01")
    until.fill("")
    page.get_by_label("Measure again").check()
    page.get_by_label("Watch").check()
    expect(until).to_have_value(watched)
    page.get_by_label("Reason").fill("Seen at every visit.")
    page.get_by_role("button", name="Sign the decision").click()
    expect(page.get_by_text("Signed: watched")).to_be_visible()
    assert str(Decision.objects.get().until) == watched
