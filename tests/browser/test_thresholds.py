"""Agency settings in a browser: what a change would do, bridge by bridge, then saved."""

import datetime as dt

import pytest
from playwright.sync_api import expect

from inspections.models import AgencySettings
from inspections.services.visits import submit
from tests.make import SET_AT_20_C, make_bridge, make_element, make_inspection, make_unit, read

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture(autouse=True)
def bridges():
    """Three bridges, each with a bearing 2.2 standard uncertainties off."""
    for code in ("B-1", "B-2", "B-3"):
        unit = make_unit(make_bridge(code))
        visit = make_inspection(unit.bridge, dt.date(2024, 2, 1))
        bearing = make_element(
            unit,
            installation=SET_AT_20_C,
            design={"movement_back_mm": 120.0, "movement_ahead_mm": 120.0},
        )
        read(visit, bearing, "offset_along", -32.0, -15.0)
        submit(inspection=visit)


def test_a_change_is_seen_before_it_is_saved(open_as, assert_usable):
    page = open_as("engineer", "/thresholds/")
    assert_usable(page)
    page.get_by_label("Watch above, standard uncertainties").fill("2.9")
    page.get_by_role("button", name="Show what would change").click()
    expect(page.get_by_text("3 of 3 bridges")).to_be_visible()
    expect(page.locator("[data-sum]")).to_contain_text("3 flags would change")
    assert_usable(page)
    assert not AgencySettings.objects.exists()
    page.get_by_label("Reason").fill("Too many of them were healthy")
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_text("Saved: Watch above")).to_be_visible()
    assert AgencySettings.current().watch_k == 2.9
    page.get_by_role("button", name="Default").click()
    expect(page.get_by_label("Watch above, standard uncertainties")).to_have_value("2")


@pytest.mark.parametrize("screen", ["desk"], indirect=True)
def test_without_scripts_all_bridges_are_reckoned_at_once(open_as):
    page = open_as("engineer", "/thresholds/", java_script_enabled=False)
    page.locator("[name=watch_k]").fill("2.9")
    page.locator("button[value=preview]").click()
    page.locator("button[value=preview-all]").click()
    expect(page.locator("tr[data-bridge]")).to_have_count(3)
