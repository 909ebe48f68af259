"""A form draws itself anew whenever something is kept: what else is typed in it stays."""

import re

import pytest
from django.utils import timezone
from playwright.sync_api import Locator, Page, expect

from inspections.models import Inspection
from tests.browser.served_tablet import put_on_board
from tests.make import make_bridge, make_element, make_inspection, make_unit

pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    # What is typed stays or is lost alike on every screen.
    pytest.mark.parametrize("screen", ["desk"], indirect=True),
]
SETTING = {
    "setting_source": "measured",
    "setting_temperature_c": 20.0,
    "setting_offset_along_mm": 0.0,
    "setting_offset_across_mm": 0.0,
    "setting_rotation_mrad": 0.0,
    "setting_gap_mm": 50.0,
}


@pytest.fixture
def inspection() -> Inspection:
    """An open inspection of today: a skewed joint and a bearing whose rotation is read."""
    unit = make_unit(make_bridge("T-1"))
    make_element(
        unit, "strip_seal", "J-1", installation=SETTING, place={"skew_deg": 20.0},
        design={"opening_min_mm": 5.0, "opening_max_mm": 130.0},
    )  # fmt: skip
    make_element(unit, "pot", "B-1", installation=SETTING)
    return make_inspection(unit.bridge, timezone.now().date())


@pytest.fixture
def page(open_as, inspection) -> Page:
    """The walk of the inspection, on board and without a network."""
    page = open_as("inspector", "/field/")
    put_on_board(page, "T-1")
    page.get_by_role("link", name="Open", exact=True).click()
    page.context.set_offline(True)
    return page


def fold(page: Page, name: str) -> Locator:
    """Return a part of the form that opens and closes."""
    return page.locator("details").filter(has=page.locator("summary", has_text=re.compile(name)))


def open_fold(page: Page, name: str) -> Locator:
    part = fold(page, name)
    part.locator("summary").first.click()
    return part


def keep_reading(page: Page, heading: str, typed: str) -> None:
    """Keep a reading without leaving the input where the user is, as a slow disk does."""
    part = page.locator("section.channel").filter(has=page.get_by_role("heading", name=heading))
    here = page.evaluate_handle("document.activeElement")
    part.get_by_role("textbox").fill(typed)
    here.evaluate("(input) => input.focus()")
    part.get_by_role("button", name="Keep").evaluate("(button) => button.click()")
    expect(part.locator(".kept")).to_be_visible()


def take_photo(page: Page) -> None:
    """Hand the form a picture, as the camera does; it is shrunk before it is kept."""
    png = page.screenshot(clip={"x": 0, "y": 0, "width": 64, "height": 64})
    before = page.locator("details.photos figure").count()
    page.get_by_label("Take a photo").set_input_files(
        {"name": "a.png", "mimeType": "image/png", "buffer": png}
    )
    expect(page.locator("details.photos figure")).to_have_count(before + 1)


def expect_state(page: Page, total: str, cs1: str, cs2: str) -> None:
    for label, value in (("Quantity of the element", total), ("CS1", cs1), ("CS2", cs2)):
        expect(page.get_by_label(re.compile(f"^{label}"))).to_have_value(value)


def test_a_half_filled_form_is_as_it_was_when_it_has_drawn_itself_anew(page):
    page.get_by_role("link", name=re.compile("B-1")).click()
    conditions = open_fold(page, "^Condition")
    defect = conditions.get_by_label("Defect")
    first, second, *_ = defect.locator("option").evaluate_all(
        "(all) => all.map(({ value }) => value)"
    )
    conditions.get_by_label(re.compile("^CS3")).fill("3")
    defect.select_option(second)
    conditions.get_by_label(re.compile("^Quantity")).fill("2")
    conditions.get_by_label(re.compile("^CS1")).fill("1")
    conditions.get_by_label("Remark").fill("Rust at the")
    # To look at another defect and come back empties neither.
    defect.select_option(first)
    expect(conditions.get_by_label(re.compile("^CS3"))).to_have_value("3")
    defect.select_option(second)
    expect_state(page, "2", "1", "")

    corners = open_fold(page, "^Rotation from four")
    corners.get_by_label(re.compile("^Back, left")).fill("12.5")
    open_fold(page, "^Photos").get_by_label("Caption").fill("Piston, sou")
    left_out = open_fold(page, "^Could not be read")
    left_out.get_by_label("Why").select_option("covered")
    left_out.get_by_label("Remark").fill("Scaffold")
    open_fold(page, "^Critical").get_by_label("Who was told").fill("Dut")
    note = open_fold(page, "^Note").get_by_label("Note")
    note.fill("Bolt loose")
    note.evaluate("(area) => area.setSelectionRange(4, 4)")

    keep_reading(page, "Offset along", "5 mm")

    expect(note).to_be_focused()
    page.keyboard.type("s")
    expect(note).to_have_value("Bolts loose")
    expect(defect).to_have_value(second)
    expect_state(page, "2", "1", "")
    expect(conditions.get_by_text("Sums to 1 of 2.")).to_be_visible()
    expect(conditions.get_by_label("Remark")).to_have_value("Rust at the")
    expect(corners.get_by_label(re.compile("^Back, left"))).to_have_value("12.5")
    expect(left_out.get_by_label("Why")).to_have_value("covered")
    expect(left_out.get_by_label("Remark")).to_have_value("Scaffold")
    expect(page.get_by_label("Who was told")).to_have_value("Dut")

    # The caption goes with the photo and no further; all else is as it was.
    take_photo(page)
    expect(page.locator("figcaption")).to_have_text("Piston, sou")
    expect(page.get_by_label("Caption")).to_have_value("")
    expect(note).to_have_value("Bolts loose")
    expect(defect).to_have_value(second)
    expect_state(page, "2", "1", "")


def test_what_was_kept_is_shown_as_it_is_stored_and_no_draft_comes_back(page):
    page.get_by_role("link", name=re.compile("B-1")).click()
    conditions = open_fold(page, "^Condition")
    defect = conditions.get_by_label("Defect")
    second = defect.locator("option").nth(1).get_attribute("value")
    defect.select_option(second)
    conditions.get_by_label(re.compile("^Quantity")).fill("02")
    conditions.get_by_label(re.compile("^CS1")).fill("2")
    conditions.get_by_label("Remark").fill(" Rust ")
    conditions.get_by_role("button", name="Keep").click()
    expect(page.get_by_text("Condition: 1 recorded")).to_be_visible()
    expect(defect).to_have_value(second)
    expect_state(page, "2", "2", "0")
    expect(conditions.get_by_label("Remark")).to_have_value("Rust")
    # A later value stands against the older one.
    conditions.get_by_label(re.compile("^CS1")).fill("1")
    conditions.get_by_label(re.compile("^CS2")).fill("1")
    conditions.get_by_role("button", name="Keep").click()
    expect_state(page, "2", "1", "1")

    corners = open_fold(page, "^Rotation from four")
    for label, typed in (
        ("Back, left", "12"), ("Back, right", "12"), ("Ahead, left", "10"),
        ("Ahead, right", "10"), ("Distance", "500"),
    ):  # fmt: skip
        corners.get_by_label(re.compile(f"^{label}")).fill(typed)
    # Two millimetres on half a metre are 4 mrad.
    expect(corners.get_by_text("Rotation 4.00 mrad.")).to_be_visible()
    corners.get_by_role("button", name="Keep this rotation").click()
    expect(corners.get_by_label(re.compile("^Back, left"))).to_have_value("")

    note = open_fold(page, "^Note")
    note.get_by_label("Note").fill("Bolt loose")
    note.get_by_role("button", name="Keep the note").click()
    expect(page.locator("blockquote")).to_have_text("Bolt loose")
    expect(note.get_by_label("Note")).to_have_value("")
    left_out = open_fold(page, "^Could not be read")
    left_out.get_by_label("Why").select_option("covered")
    left_out.get_by_label("Remark").fill("Scaffold")
    left_out.get_by_role("button", name="Keep the reason").click()
    left_out = fold(page, "^Left out: Covered")
    expect(left_out.get_by_label("Remark")).to_have_value("")

    # Neither the next time that it draws itself anew, nor when the app is opened again.
    keep_reading(page, "Offset along", "5 mm")
    for _ in range(2):
        expect_state(page, "2", "1", "1")
        expect(corners.get_by_label(re.compile("^Back, left"))).to_have_value("")
        expect(note.get_by_label("Note")).to_have_value("")
        expect(left_out.get_by_label("Remark")).to_have_value("")
        page.reload()
        defect.select_option(second, force=True)


def test_the_keypad_the_axis_and_the_exposure_stay_with_what_they_are_for(page):
    page.get_by_role("link", name=re.compile("^Temperatures")).click()
    web = page.locator("section.channel").filter(has=page.get_by_label(re.compile("^Girder, web")))
    web.get_by_label("Exposure").select_option("sun")
    web.get_by_role("textbox").fill("2")
    other = page.locator("section.channel").last
    other.get_by_role("textbox").fill("18")
    other.get_by_role("textbox").press("Enter")
    expect(other.locator(".kept")).to_be_visible()
    expect(web.get_by_role("textbox")).to_have_value("2")
    expect(web.get_by_label("Exposure")).to_have_value("sun")
    expect(other.get_by_role("textbox")).to_have_value("")

    page.get_by_role("link", name="Walk").click()
    page.get_by_role("link", name=re.compile("J-1")).click()
    page.get_by_label("Along the road").check()
    part = page.locator("section.channel").filter(
        has=page.get_by_role("heading", name="Joint gap, left, along the road")
    )
    # Kept by its button, and typed on by the keypad that is still open: the second measurement.
    part.get_by_role("textbox").click()
    for key in ("9", "0", "0"):
        page.get_by_role("button", name=key, exact=True).click()
    part.get_by_role("button", name="Keep").click()
    expect(part.get_by_label("Measure a second time")).to_be_visible()
    page.get_by_role("button", name="9", exact=True).click()
    expect(part.get_by_label("Measure a second time")).to_have_value("9")
    expect(page.get_by_label("Along the road")).to_be_checked()
    expect(page.get_by_role("heading", name="Joint gap, left, square to the joint")).to_be_hidden()


def test_only_a_surface_is_asked_whether_the_sun_was_on_it(page):
    page.get_by_role("link", name=re.compile("^Temperatures")).click()
    asked = page.locator("section.channel").filter(has=page.get_by_label("Exposure"))
    air = page.get_by_role("heading", name="Air in the shade")
    expect(asked.first).to_be_visible()
    expect(air).to_be_visible()
    expect(asked.filter(has=air)).to_have_count(0)


def test_what_is_not_read_of_a_joint_is_named_as_its_form_asks_for_it(page):
    page.get_by_role("link", name="Review and sign").click()
    joint = page.get_by_role("link", name=re.compile("J-1"))
    expect(joint).to_contain_text("Joint gap, left, square to the joint")
    expect(joint).not_to_contain_text("along the road")


def test_the_role_of_a_signature_stays_while_a_note_is_kept(page):
    page.get_by_role("link", name="Review and sign").click()
    role = page.get_by_label("Signed as")
    role.press_sequentially("Lead insp")
    note = open_fold(page, "^Note")
    note.get_by_label("Note").fill("Deck swept")
    role.focus()
    note.get_by_role("button", name="Keep the note").evaluate("(button) => button.click()")
    expect(page.locator("blockquote")).to_have_text("Deck swept")
    expect(role).to_be_focused()
    page.keyboard.type("ector")
    expect(role).to_have_value("Lead inspector")


def test_a_button_pressed_twice_in_haste_keeps_one_record(page):
    twice = "(button) => { button.click(); button.click(); }"
    page.get_by_role("link", name=re.compile("B-1")).click()
    part = page.locator("section.channel").first
    part.get_by_role("textbox").fill("5 mm")
    part.get_by_role("button", name="Keep").evaluate(twice)
    expect(part.locator(".kept")).to_have_text("Kept: 5.0 mm")
    note = open_fold(page, "^Note")
    note.get_by_label("Note").fill("Bolt loose")
    note.get_by_role("button", name="Keep the note").evaluate(twice)
    expect(page.locator("blockquote")).to_have_text("Bolt loose")
    # The same once more, said on purpose, is another record.
    note.get_by_label("Note").fill("Bolt loose")
    note.get_by_role("button", name="Keep the note").click()
    expect(page.locator("blockquote")).to_have_count(2)
    expect(page.locator(".waiting-link")).to_contain_text("3 to send")
