"""Work in a browser: from a flag to an order, and from its end to its proof."""

import datetime as dt

import pytest
from playwright.sync_api import expect

from inspections.services.work import cancel_order
from tests.browser.conftest import DESK
from tests.inspections.work_rows import a_unit, an_order, measure, off_joints, position
from tests.make import make_user

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


ROOM_AND_LONGEST = """box => {
  const style = getComputedStyle(box);
  const pen = document.createElement("canvas").getContext("2d");
  pen.font = style.font;
  const arrow = 20, beside = parseFloat(style.paddingLeft) + parseFloat(style.paddingRight);
  const widths = [...box.options].map((each) => pen.measureText(each.text).width);
  return [box.clientWidth - beside - arrow, Math.max(...widths)];
}"""
"""How wide a list of choices is for its words, and how wide the longest of them is [px]."""


@pytest.fixture
def joints(transactional_db):
    return off_joints(a_unit("HV-104"), "J-1", "J-2", "J-3", "J-4")


def test_every_page_of_work_passes_axe_and_stays_within_the_screen(open_as, assert_usable, joints):
    assert_usable(open_as("engineer", "/work/"))
    order = an_order([position(each) for each in joints[:2]], planned_on=dt.date(2024, 7, 1))
    cancel_order(order=an_order([position(joints[2])]), why="No.", user=make_user("engineer"))
    other = an_order([position(joints[2])], "replacement", title="New joint")
    for path in (
        "/work/",
        "/work/new/",
        f"/work/new/?flag={position(joints[3]).pk}",
        f"/work/{order.pk}/",
        f"/work/{order.pk}/cancel/",
        f"/work/{order.pk}/finish/",
        f"/work/{other.pk}/finish/",
    ):
        assert_usable(open_as("engineer", path))


def test_from_a_flag_to_finished_and_proved_work(open_as, joints):
    page = open_as("engineer", f"/work/new/?flag={position(joints[0]).pk}", on=DESK)
    page.get_by_label("Reset to a new position").check()
    page.get_by_label("J-2, strip seal joint: away from").check()
    page.get_by_label("Why", exact=True).fill("Both stand still.")
    page.get_by_label("Cost, estimated [USD]").fill("4200.50")
    page.get_by_role("button", name="Order the work").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("W-20")
    expect(page.get_by_text("Both stand still.").first).to_be_visible()

    page.get_by_role("link", name="Finish", exact=True).click()
    page.get_by_label("What was done").fill("Both set to 70 mm.")
    for code in ("J-1", "J-2"):
        place = page.get_by_role("region", name=code)
        place.get_by_label("Setting known from").select_option(label="Measured when set")
        place.get_by_label("Joint gap at setting").fill("70 mm")
    page.get_by_role("button", name="Finish the work").click()
    # The temperature is missing at both: told there, and all that was typed is still there.
    expect(page.get_by_text("A known setting needs its temperature").first).to_be_visible()
    expect(page.get_by_label("What was done")).to_have_value("Both set to 70 mm.")
    for code in ("J-1", "J-2"):
        place = page.get_by_role("region", name=code)
        expect(place.get_by_label("Joint gap at setting")).to_have_value("70 mm")
        place.get_by_label("Effective temperature at setting").fill("15")
    page.get_by_role("button", name="Finish the work").click()
    expect(page.get_by_text("Mended, not yet proved").first).to_be_visible()
    expect(page.get_by_text("due: no reading since").first).to_be_visible()


def test_a_new_device_is_asked_only_for_what_its_type_has(open_as, joints):
    flags = [position(each) for each in joints[:2]]
    order = an_order(flags, "replacement", title="New joints")
    page = open_as("engineer", f"/work/{order.pk}/finish/", on=DESK)
    first, second = (page.get_by_role("region", name=code) for code in ("J-1", "J-2"))
    for place in (first, second):
        expect(place.get_by_text("Seal", exact=True)).to_be_visible()
        expect(place.get_by_text("Modular joint", exact=True).last).to_be_hidden()
    first.get_by_label("Device type").select_option(label="Modular joint")
    expect(first.locator("summary", has_text="Modular joint")).to_be_visible()
    expect(first.locator("summary", has_text="Seal")).to_be_hidden()
    # The other place keeps what its own type has.
    expect(second.locator("summary", has_text="Seal")).to_be_visible()


def test_the_order_names_the_visit_that_proved_it(open_as, joints):
    order = an_order([position(joints[0])], "repair")
    page = open_as("engineer", f"/work/{order.pk}/finish/", on=DESK)
    page.get_by_label("Finished at").fill("2024-07-01T15:00")
    page.get_by_label("What was done").fill("Cleaned.")
    page.get_by_role("button", name="Finish the work").click()
    expect(page.get_by_text("the device goes on as before")).to_be_visible()
    measure(joints[0], 70.0)
    page.reload()
    expect(page.get_by_role("link", name="read on 2024-07-05")).to_be_visible()
    expect(page.get_by_text("away from its expected position: closed")).to_be_visible()


def test_the_fields_of_a_device_that_is_taken_from_another_place_are_out_of_sight(open_as, joints):
    flags = [position(each) for each in joints[:2]]
    order = an_order(flags, "replacement", title="New joints")
    page = open_as("engineer", f"/work/{order.pk}/finish/", on=DESK)
    place = page.get_by_role("region", name="J-2")
    maker, gap = place.get_by_label("Maker"), place.get_by_label("Joint gap at setting")
    place.get_by_label("Is the same as at J-1; its setting is entered here").check()
    expect(maker).to_be_hidden()
    expect(gap).to_be_visible()
    place.get_by_label("Is the same as at J-1, and set in the same way").check()
    expect(gap).to_be_hidden()
    place.get_by_label("Is entered here", exact=True).check()
    expect(maker).to_be_visible()
    expect(gap).to_be_visible()
    expect(page.get_by_role("region", name="J-1").get_by_label("Maker")).to_be_visible()


@pytest.mark.parametrize("locale", ["en-GB", "de-DE"])
def test_what_a_setting_is_known_from_can_be_read_to_its_end(open_as, joints, locale):
    order = an_order([position(joints[0])], "replacement")
    page = open_as("engineer", f"/work/{order.pk}/finish/", locale=locale)
    box = page.locator("select[name$=setting_source]")
    room, longest = box.evaluate(ROOM_AND_LONGEST)
    assert longest <= room
