"""An inspection taken along, filled in without a network, sent and signed, in a real browser."""

import re

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from inspections.models import (
    Condition,
    CriticalFinding,
    Inspection,
    Instrument,
    LeftOut,
    Reading,
    SignOff,
    TabletRecord,
    TemperatureReading,
)
from inspections.models.choices import InspectionState
from inspections.services.visits import return_to_team
from tests.browser.served_tablet import put_on_board
from tests.make import make_bridge, make_element, make_inspection, make_unit, make_user

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
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
    """An open inspection of today: a joint and a bearing at the far end of 100 m of deck."""
    unit = make_unit(make_bridge("T-1", basis={"method": "aashto_a", "climate": "cold"}))
    make_element(
        unit, "strip_seal", "J-1", installation=SETTING,
        design={"opening_min_mm": 5.0, "opening_max_mm": 130.0},
    )  # fmt: skip
    make_element(unit, "lock_up", "L-1", installation=SETTING)
    return make_inspection(unit.bridge, timezone.now().date())


@pytest.fixture
def on_board(open_as, inspection) -> Page:
    """The tablet's page with the inspection on board, the worker in charge."""
    page = open_as("inspector", "/field/")
    put_on_board(page, "T-1")
    page.get_by_role("link", name="Open", exact=True).click()
    return page


def channel(page: Page, name: str):
    """Return the part of a form that reads one point."""
    heading = page.get_by_role("heading", name=name, exact=True)
    return page.locator("section.channel").filter(has=heading)


def take_temperature(page: Page, typed: str) -> None:
    """Enter a girder temperature."""
    page.get_by_role("link", name=re.compile("^Temperatures")).click()
    box = page.get_by_label(re.compile("^Girder, web"))
    box.fill(typed)
    box.press("Enter")
    expect(page.get_by_text("by one shaded girder surface")).to_be_visible()
    page.get_by_role("link", name="Walk").click()


def enter(page: Page, name: str, typed: str) -> None:
    """Type a value at a point and keep it."""
    part = channel(page, name)
    kept = part.locator(".kept")
    before = kept.inner_text().count(",") + 1 if kept.count() else 0
    part.get_by_role("textbox").fill(typed)
    part.get_by_role("button", name="Keep").click()
    # The form has drawn itself anew when it shows one value more.
    expect(kept).to_have_text(re.compile(rf"^Kept: ([^,]+, ){{{before}}}[^,]+$"))


def test_what_is_typed_while_the_form_draws_itself_anew_stays(on_board):
    page = on_board
    page.get_by_role("link", name=re.compile("J-1")).click()
    part = channel(page, "Joint gap, left, square to the joint")
    part.get_by_role("textbox").fill("50")
    # Keep and type on without waiting, as a quick hand does.
    page.evaluate(
        """() => {
          const [left, centre] = document.querySelectorAll("section.channel");
          left.querySelector("button.primary").click();
          const box = centre.querySelector("input");
          box.value = "51 mm";
          box.dispatchEvent(new Event("input", { bubbles: true }));
        }"""
    )
    expect(part.get_by_text("Kept: 50.0")).to_be_visible()
    centre = channel(page, "Joint gap, centre, square to the joint")
    expect(centre.get_by_role("textbox")).to_have_value("51 mm")
    expect(centre.get_by_role("button", name="Keep")).to_be_enabled()


def all_sent(page: Page) -> None:
    """Wait until nothing waits on the tablet."""
    expect(page.locator(".waiting-link")).to_have_text("All sent", timeout=15_000)


def test_the_whole_journey(on_board, inspection):
    page = on_board
    page.context.set_offline(True)
    page.reload()
    take_temperature(page, "68 F")

    page.get_by_role("link", name=re.compile("J-1")).click()
    left = "Joint gap, left, square to the joint"
    part = channel(page, left)
    part.get_by_role("textbox").fill('2"')
    # 20 degC is the setting temperature, so the setting gap of 50 mm is expected
    expect(part.get_by_text(re.compile("Within the band: Expected 50.0"))).to_be_visible()
    part.get_by_role("textbox").fill("2 1/2 in")
    expect(part.get_by_text(re.compile("Outside the band"))).to_be_visible()
    part.get_by_role("textbox").fill("9000 mm")
    expect(part.get_by_text(re.compile("Cannot be right"))).to_be_visible()
    expect(part.get_by_role("button", name="Keep")).to_be_disabled()
    enter(page, left, "2 1/2 in")
    expect(channel(page, left).get_by_label("Measure a second time")).to_be_visible()
    enter(page, left, "50.5 mm")
    enter(page, "Joint gap, centre, square to the joint", "50")
    enter(page, "Joint gap, right, square to the joint", "1-15/16 in")

    page.get_by_text("Condition", exact=True).click()
    page.get_by_label("Quantity of the element [m]").fill("12")
    page.get_by_label("CS1").fill("10")
    page.get_by_label("CS2").fill("1")
    expect(page.get_by_text("Sums to 11 of 12.")).to_be_visible()
    page.get_by_label("CS2").fill("2")
    page.locator("details.conditions").get_by_role("button", name="Keep").click()
    expect(page.get_by_text("Condition: 1 recorded")).to_be_visible()

    page.get_by_role("button", name="Critical finding", exact=True).click()
    expect(page.get_by_text("Keep people and traffic away")).to_be_visible()
    page.get_by_label("What do you see?").fill("Steel stands proud of the road")
    page.get_by_role("button", name="Record the critical finding").click()
    expect(page.get_by_text("Critical finding: 1 recorded")).to_be_visible()

    page.get_by_role("link", name="Next: L-1").click()
    page.get_by_text("Could not be read").click()
    page.get_by_label("Why").select_option("covered")
    page.get_by_role("button", name="Keep the reason").click()
    expect(page.get_by_text("Left out: Covered")).to_be_visible()
    assert not TabletRecord.objects.exists()

    page.context.set_offline(False)
    page.get_by_role("link", name=re.compile("to send")).click()
    page.get_by_role("button", name="Send now").click()
    all_sent(page)

    page.goto(f"/field/#/i/{inspection.pk}/review")
    expect(page.get_by_text("Everything is read or explained")).to_be_visible()
    page.get_by_label("Signed as").fill("Lead inspector")
    page.get_by_role("button", name="Sign and hand in").click()
    expect(page.get_by_text("Signed. It is handed in when it has been sent.")).to_be_visible()
    all_sent(page)
    expect(page.get_by_text("Handed in.")).to_be_visible()
    expect(page.get_by_text("It is handed in when it has been sent.")).to_have_count(0)
    page.get_by_role("link", name="Walk").click()
    expect(page.get_by_text("Handed in.")).to_be_visible()
    expect(page.get_by_text(re.compile("^Signed: what waits"))).to_have_count(0)
    page.get_by_role("link", name="On site").click()
    expect(page.locator(".trip").get_by_text("Handed in.")).to_be_visible()

    inspection.refresh_from_db()
    assert inspection.state == InspectionState.SUBMITTED
    assert SignOff.objects.get().role == "Lead inspector"
    readings = Reading.objects.order_by("point", "repeat").values_list("point", "repeat", "typed")
    assert list(readings) == [
        ("centre", 1, "50 mm"),
        ("left", 1, "2 1/2 in"),
        ("left", 2, "50.5 mm"),
        ("right", 1, "1-15/16 in"),
    ]
    assert TemperatureReading.objects.get().temperature_c == pytest.approx(20.0)
    assert Condition.objects.get().total == 12
    assert CriticalFinding.objects.get().what == "Steel stands proud of the road"
    assert LeftOut.objects.get().reason == "covered"


def rate(page: Page, code: str, total: str) -> None:
    """Give an element condition states as a whole, all of it in the second."""
    page.get_by_role("link", name=re.compile(code)).first.click()
    page.get_by_text("Condition", exact=True).click()
    page.get_by_label(re.compile("^Quantity of the element")).fill(total)
    page.get_by_label("CS1").fill("0")
    page.get_by_label("CS2").fill(total)
    page.locator("details.conditions").get_by_role("button", name="Keep").click()
    expect(page.get_by_text("Condition: 1 recorded")).to_be_visible()


def sign(page: Page, inspection: Inspection) -> None:
    """Sign an inspection as its lead, and wait until it has been sent."""
    page.goto(f"/field/#/i/{inspection.pk}/review")
    page.get_by_label("Signed as").fill("Lead inspector")
    page.get_by_role("button", name="Sign and hand in").click()
    expect(page.get_by_text("Handed in.")).to_be_visible(timeout=15_000)
    inspection.refresh_from_db()
    assert inspection.state == InspectionState.SUBMITTED


def test_a_visit_that_is_returned_is_gone_on_with_and_signed_again(on_board, inspection):
    page = on_board
    rate(page, "J-1", "12")
    rate(page, "L-1", "1")
    sign(page, inspection)
    return_to_team(inspection=inspection, user=make_user("engineer"), note="Read J-1 as well")

    page.goto("/field/#/")
    page.get_by_role("button", name="Take along anew").click()
    expect(page.get_by_text(re.compile("is on board"))).to_be_visible()
    expect(page.locator(".trip").get_by_text("Handed in.")).to_have_count(0)
    page.goto(f"/field/#/i/{inspection.pk}")
    page.get_by_role("link", name=re.compile("J-1")).first.click()
    for point in ("left", "centre", "right"):
        enter(page, f"Joint gap, {point}, square to the joint", "50")
    sign(page, inspection)
    assert Reading.objects.count() == 3
    assert SignOff.objects.count() == 2


def test_a_visit_of_condition_states_alone_is_signed_without_a_question(on_board, inspection):
    page = on_board
    rate(page, "J-1", "12")
    page.goto(f"/field/#/i/{inspection.pk}/review")
    expect(page.get_by_text("1 element not read")).to_be_visible()
    expect(page.get_by_text("Condition states given, nothing read: J-1.")).to_be_visible()
    expect(page.get_by_role("button", name="Sign and hand in")).to_be_disabled()

    rate(page, "L-1", "1")
    page.goto(f"/field/#/i/{inspection.pk}")
    expect(page.get_by_text("2 of 2 elements done.")).to_be_visible()
    expect(page.get_by_role("link", name=re.compile("J-1.*conditions only"))).to_be_visible()
    page.get_by_role("link", name="Review and sign").click()
    expect(page.get_by_text("Condition states given, nothing read: J-1, L-1.")).to_be_visible()
    page.get_by_label("Signed as").fill("Lead inspector")
    page.get_by_role("button", name="Sign and hand in").click()
    expect(page.get_by_text("Signed. It is handed in when it has been sent.")).to_be_visible()
    all_sent(page)

    inspection.refresh_from_db()
    assert inspection.state == InspectionState.SUBMITTED
    assert (Condition.objects.count(), Reading.objects.count()) == (2, 0)


def test_it_opens_from_cold_without_a_network(on_board):
    context = on_board.context
    on_board.close()
    context.set_offline(True)

    page = context.new_page()
    page.goto("/field/")

    expect(page.get_by_text("On board:")).to_be_visible()
    page.get_by_role("link", name="Open", exact=True).click()
    expect(page.get_by_role("link", name=re.compile("J-1"))).to_be_visible()


def test_every_keystroke_is_kept_when_the_tab_is_closed(on_board):
    page = on_board
    page.get_by_role("link", name=re.compile("J-1")).click()
    channel(page, "Joint gap, left, square to the joint").get_by_role("textbox").press_sequentially(
        "49.5 mm"
    )
    page.locator("summary", has_text="Note").click()
    page.get_by_label("Note").press_sequentially("Bolt loose")
    page.wait_for_timeout(500)  # the last keystroke reaches the disk
    address, context = page.url, page.context
    page.close()

    again = context.new_page()
    again.goto(address)

    box = channel(again, "Joint gap, left, square to the joint").get_by_role("textbox")
    expect(box).to_have_value("49.5 mm")
    again.locator("summary", has_text="Note").click()
    expect(again.get_by_label("Note")).to_have_value("Bolt loose")


def test_the_keypad_writes_fractions_and_units(on_board):
    page = on_board
    page.get_by_role("link", name=re.compile("J-1")).click()
    box = channel(page, "Joint gap, left, square to the joint").get_by_role("textbox")
    box.click()
    for key in ("2", "3/8"):
        page.get_by_role("button", name=key, exact=True).click()
    expect(box).to_have_value("2 3/8 in")
    page.get_by_role("button", name="Delete the last sign").click()
    expect(box).to_have_value("2 3/8 i")
    page.get_by_role("button", name="Done").click()
    expect(page.get_by_role("region", name="Keypad")).to_have_count(0)


def test_the_code_of_a_place_opens_its_form(on_board, inspection):
    element = inspection.bridge.elements.get(code="J-1")
    on_board.goto(f"/field/#/e/{element.pk}")

    expect(on_board.get_by_role("heading", name=re.compile("J-1"))).to_be_visible()


@pytest.mark.parametrize("screen_of", ["", "i/{pk}", "i/{pk}/t", "i/{pk}/e/{element}",
                                       "i/{pk}/review", "waiting"])  # fmt: skip
def test_every_screen_is_usable(on_board, inspection, screen_of, assert_usable):
    element = inspection.bridge.elements.get(code="J-1").pk
    on_board.goto(f"/field/#/{screen_of.format(pk=inspection.pk, element=element)}")
    expect(on_board.locator("h1")).to_be_visible()

    assert_usable(on_board)


def test_a_value_entered_by_mistake_is_dropped_before_it_is_sent(on_board):
    page = on_board
    page.context.set_offline(True)
    page.get_by_role("link", name=re.compile("J-1")).click()
    enter(page, "Joint gap, left, square to the joint", "55")
    page.goto("/field/#/waiting")
    page.get_by_role("button", name="Drop it").click()
    expect(page.get_by_text("Waiting: 1 record")).to_have_count(0)
    page.context.set_offline(False)
    page.get_by_role("button", name="Send now").click()
    all_sent(page)
    assert not Reading.objects.exists()


def test_the_instrument_in_use_goes_with_the_reading(open_as, inspection):
    tape = Instrument.objects.create(code="TAPE-9", name="Tape", dimension="mm", accuracy=0.5)
    page = open_as("inspector", "/field/")
    page.get_by_role("button", name="Take along").click()
    page.get_by_role("link", name="Open", exact=True).click()
    page.get_by_text("Instruments in use").click()
    page.get_by_label("Lengths").select_option(label="TAPE-9 Tape")
    page.wait_for_timeout(300)  # the choice reaches the disk
    page.get_by_role("link", name=re.compile("J-1")).click()
    enter(page, "Joint gap, left, square to the joint", "50")
    all_sent(page)
    assert Reading.objects.get().instrument == tape


def test_an_inspection_is_left_behind_only_when_all_of_it_was_sent(open_as, inspection):
    Instrument.objects.create(code="TAPE-9", name="Tape", dimension="mm", accuracy=0.5)
    page = open_as("inspector", "/field/")
    page.get_by_role("button", name="Take along").click()
    page.get_by_role("link", name="Open", exact=True).click()
    page.get_by_text("Instruments in use").click()
    page.get_by_label("Lengths").select_option(label="TAPE-9 Tape")
    page.context.set_offline(True)
    page.get_by_role("link", name=re.compile("J-1")).click()
    enter(page, "Joint gap, left, square to the joint", "50")
    page.goto("/field/#/")
    page.get_by_role("button", name="Leave behind").click()
    expect(page.get_by_text("T-1 stays: 1 record not sent yet.")).to_be_visible()
    page.context.set_offline(False)
    page.goto("/field/#/waiting")
    page.get_by_role("button", name="Send now").click()
    all_sent(page)
    page.goto("/field/#/")
    page.get_by_role("button", name="Leave behind").click()
    expect(page.get_by_text("T-1 was left behind.")).to_be_visible()
