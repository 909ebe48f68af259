"""From an event to the step that it left, in a browser."""

import datetime as dt

import pytest
from playwright.sync_api import expect

from inspections.models import Inspection
from inspections.services.visits import submit
from tests.make import SET_AT_20_C, make_bridge, make_element, make_inspection, make_unit, read

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_an_earthquake_by_distance_to_the_step_that_it_left(open_as, assert_usable):
    bridge = make_bridge("HV-104", latitude_deg=46.0, longitude_deg=8.0)
    bearing = make_element(
        make_unit(bridge),
        code="P-1",
        installation=SET_AT_20_C,
        design={"movement_back_mm": 120.0, "movement_ahead_mm": 120.0},
    )
    before = make_inspection(bridge, dt.date(2023, 8, 1))
    read(before, bearing, "offset_along", 11.7, 30.0)
    submit(inspection=before)

    page = open_as("engineer", "/events/new/")
    page.get_by_label("Kind").select_option("earthquake")
    page.get_by_label("Name").fill("Shake in the valley")
    page.get_by_label("When").fill("2024-03-01T06:30")
    page.get_by_label("Latitude").fill("45.5")
    page.get_by_label("Longitude").fill("8")
    page.get_by_label("Radius").fill("100")
    page.get_by_role("button", name="Show the bridges").click()
    expect(page.get_by_text("55.6 km")).to_be_visible()
    assert_usable(page)
    page.get_by_role("button", name="Record the event").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Shake in the valley")
    assert_usable(page)
    page.locator("[name=bridge]").check()
    page.get_by_label("Day").fill("2024-03-02")
    page.get_by_label("Team, by role").fill("lead and one")
    page.get_by_role("button", name="Open inspections").click()
    expect(page.get_by_text("1 inspection opened")).to_be_visible()

    inspection = Inspection.objects.get(kind="event")
    read(inspection, bearing, "offset_along", -15.9, -15.0)
    submit(inspection=inspection)
    page.reload()
    expect(page.get_by_text("1 stepped")).to_be_visible()
    expect(page.get_by_role("heading", name="HV-104: before and after")).to_be_visible()
    assert_usable(page)
