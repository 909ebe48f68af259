"""A whole visit on a tablet, held either way: opened, read by touch, handed in, accepted."""

import datetime as dt
from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from inspections.models import Inspection, Reading
from inspections.services.readings import NewReading, NewTemperature, record
from tests.browser.conftest import Screen
from tests.make import make_bridge, make_element, make_inspection, make_support, make_unit

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
FINGER_PX = 44
CONTROLS = (
    "main :is(input:not([type=hidden], [type=radio], [type=checkbox]), select, textarea, button,"
    " .button, label:has(input[type=checkbox]))"
)
"""What a finger presses; of a tick it is the label around it."""


@pytest.fixture(
    params=[Screen(1280, 800, touch=True), Screen(800, 1280, touch=True)], ids=["lying", "upright"]
)
def screen(request) -> Screen:
    """A tablet, held either way."""
    return request.param


@pytest.fixture
def clean(assert_usable) -> Callable[[Page, str], None]:
    """Return a check of a page: usable by all, and every control large enough for a finger."""

    def check(page: Page, heading: str) -> None:
        expect(page.get_by_role("heading", level=1)).to_have_text(heading)
        assert_usable(page)
        for control in page.locator(CONTROLS).all():
            box = control.bounding_box()
            assert box is None or box["height"] >= FINGER_PX, control.inner_text()

    return check


@pytest.fixture
def joint():
    bridge = make_bridge("T-1", time_zone="America/Denver")
    make_support(bridge, "A2", 100.0)
    return make_element(
        make_unit(bridge),
        "strip_seal",
        code="J1",
        place={"skew_deg": 20.0},
        installation={
            "setting_source": "measured",
            "setting_temperature_c": 20.0,
            "setting_gap_mm": 55.0,
        },
        design={"opening_min_mm": 5.0, "opening_max_mm": 130.0},
    )


def test_a_visit_from_opening_to_acceptance(open_as, clean, joint):
    page = open_as("inspector", "/inspections/")
    clean(page, "Inspections")
    page.get_by_role("link", name="New inspection").tap()
    clean(page, "New inspection")
    page.get_by_label("Bridge").select_option(label="T-1 Test bridge")
    page.get_by_label("Team").fill("lead and one")
    page.get_by_label("Weather").select_option("overcast")
    page.get_by_label("Date").fill("2024-06-01")
    page.get_by_role("button", name="Open inspection").tap()
    title = "T-1: routine inspection, 2024-06-01"
    clean(page, title)

    page.get_by_role("link", name="Take temperatures").tap()
    clean(page, "Temperatures")
    row = page.get_by_role("group", name="Temperature 1")
    row.get_by_label("Temperature [°C]").fill("68 F")
    row.get_by_text("Shade", exact=True).tap()
    row.get_by_label("Read at").fill("2024-06-01T09:30")
    page.get_by_role("button", name="Save temperatures").tap()
    expect(page.get_by_text("1 temperature recorded.")).to_be_visible()

    page.get_by_role("main").get_by_role("link", name="Read J1").first.tap()
    expect(page.get_by_text("Expected values are for 20.0 °C")).to_be_visible()
    clean(page, "J1: strip seal joint")
    page.get_by_text("Square to the joint", exact=True).tap()
    page.get_by_label("Joint gap, Left [mm]").fill("2 3/16 in")
    page.get_by_label("Joint gap, left, Again [mm]").fill('2-3/16"')
    page.get_by_label("Joint gap, Centre [mm]").fill("2 1/8 in")
    page.get_by_label("Joint gap, Right [mm]").fill("5,5 cm")
    page.get_by_role("button", name="Save and show the verdict").tap()
    expect(page.get_by_text("Write a decimal point")).to_be_visible()
    expect(page.get_by_label("Joint gap, Left [mm]")).to_have_value("2 3/16 in")
    expect(page.get_by_label("Joint gap, Right [mm]")).to_have_attribute("aria-invalid", "true")
    clean(page, "J1: strip seal joint")
    page.get_by_label("Joint gap, Right [mm]").fill("5.5 cm")
    page.get_by_role("button", name="Save and show the verdict").tap()
    read = page.get_by_role("list", name="Read at J1")
    expect(read.get_by_role("listitem")).to_have_count(3)
    expect(read.locator(".verdict-in-range")).to_have_count(3)
    expect(read.get_by_text("expected 55.0 mm, within the band").first).to_be_visible()
    clean(page, "J1: strip seal joint")
    page.get_by_role("link", name="Back to the inspection").tap()

    clean(page, title)
    page.get_by_role("button", name="Hand in").tap()
    expect(page.get_by_text("Handed in. An engineer reviews it now.")).to_be_visible()
    clean(page, title)
    assert Inspection.objects.get().state == "submitted"
    assert sorted(Reading.objects.values_list("value", flat=True)) == pytest.approx(
        [53.975, 55.0, 55.5625, 55.5625]  # 2 1/8 in, 5.5 cm, twice 2 3/16 in; 25.4 mm an inch
    )

    page = open_as("engineer", "/inspections/?state=submitted")
    page.get_by_role("link", name="T-1").tap()
    clean(page, title)
    page.get_by_label("Note to the team").fill("Clear and complete.")
    page.get_by_role("button", name="Accept").tap()
    expect(page.get_by_text("Clear and complete.")).to_be_visible()
    clean(page, title)
    assert Inspection.objects.get().state == "accepted"


def test_a_correction_by_touch_leaves_the_old_value_struck_through(open_as, clean, joint):
    visit = make_inspection(joint.bridge)
    at = dt.datetime(2024, 6, 1, 15, tzinfo=dt.UTC)
    record(
        inspection=visit,
        readings=[NewReading(joint, "gap", 85.0, "85", at, "left", "square")],
        temperatures=[NewTemperature("girder_web", 20.0, "20 C", at)],
    )
    page = open_as("inspector", f"/inspections/{visit.pk}/")
    clean(page, "T-1: routine inspection, 2024-06-01")
    page.get_by_role("link", name="Correct Joint gap, left, square at J1").tap()
    clean(page, "Correct a reading of J1")
    page.get_by_label("Correct value [mm]").fill("58")
    page.get_by_label("Reason").fill("digits exchanged")
    page.get_by_role("button", name="Correct").tap()
    expect(page.locator("s")).to_have_text("85.0 mm")
    expect(page.get_by_text("digits exchanged")).to_be_visible()
    clean(page, "T-1: routine inspection, 2024-06-01")


def test_readings_can_be_entered_with_the_keyboard_alone(open_as, joint):
    visit = make_inspection(joint.bridge, dt.date(2024, 6, 6))
    page = open_as("inspector", f"/inspections/{visit.pk}/elements/{joint.pk}/")
    page.get_by_label("Square to the joint").focus()
    page.keyboard.press("Space")
    page.keyboard.press("Tab")
    expect(page.get_by_label("Joint gap, Left [mm]")).to_be_focused()
    page.keyboard.type("55")
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    expect(page.get_by_label("Joint gap, Centre [mm]")).to_be_focused()
    page.keyboard.type("56")
    page.get_by_label("Read at").focus()
    # A day that reads the same in either order, and an hour by either clock.
    page.keyboard.type("06062024")
    page.keyboard.press("Tab")
    page.keyboard.type("0930AM")
    page.keyboard.press("Enter")
    expect(page.get_by_text("2 readings recorded.")).to_be_visible()
    assert set(Reading.objects.values_list("point", "value")) == {("left", 55.0), ("centre", 56.0)}


def test_one_reason_for_all_that_was_not_read_is_given_by_touch(open_as, clean, joint):
    visit = make_inspection(joint.bridge)
    seen = dt.datetime.combine(visit.date, dt.time(18), dt.UTC)
    gap = NewReading(joint, "gap", 52.0, "52", seen, point="left", axis="square")
    record(inspection=visit, readings=[gap], temperatures=[])
    page = open_as("inspector", f"/inspections/{visit.pk}/")
    page.get_by_text("Hand in with one reason for all that was not read").tap()
    clean(page, f"T-1: routine inspection, {visit.date}")
    page.get_by_label("Why the rest was not read").select_option(label="Not safe to approach")
    page.get_by_label("Remark").fill("Traffic.")
    page.get_by_role("button", name="Hand in with this reason").tap()
    expect(page.get_by_text("Handed in. An engineer reviews it now.")).to_be_visible()
    expect(page.get_by_text("J1 not read: not safe to approach, Traffic.")).to_be_visible()
