"""The plan in a browser: what is due is planned, shown in the calendar and opened."""

import pytest
from playwright.sync_api import expect

from inspections.models import Flag
from inspections.services.plan import write_due
from inventory.models import Bridge
from tests.browser.conftest import PHONE
from tests.inspections.plan_rows import DAY, due_bridge, planned, today
from tests.inspections.test_plan_best_time import record, summer_bridge
from tests.make import make_user

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def lead(transactional_db):
    return make_user("inspector", username="anchor")


@pytest.fixture
def bridge(lead) -> Bridge:
    """An overdue bridge with a flag, one planned, and one read in summer only."""
    record()
    bridge = due_bridge("P-1", -40, latitude_deg=47.0, longitude_deg=8.0)
    flag = Flag.objects.create(
        element=bridge.elements.get(), cause="position", state="to_measure", until=today() + 9 * DAY
    )
    assert flag.pk
    write_due(bridge.pk)
    for number, days in enumerate((12, 25, 60, 200)):
        other = due_bridge(f"Q-{number}", days, latitude_deg=47.1 + number / 10, longitude_deg=8.2)
        planned(other, 2, lead=lead, note="Bring the long tape")
    summer_bridge(air_station="ST")
    return bridge


def test_the_plans_pages_pass_axe_and_stay_within_the_screen(open_as, assert_usable, bridge):
    visit = bridge.planned_visits.model.objects.first()
    for path in (
        "/plan/",
        "/plan/?q=none",
        "/plan/calendar/",
        "/plan/not-enough/",
        "/plan/visits/new/",
        "/plan/visits/new/?bridge=S-1",
        f"/plan/visits/{visit.pk}/",
        f"/plan/route/?day={visit.planned_on}",
        "/plan/subscriptions/",
        "/bridges/P-1/intervals/",
    ):
        assert_usable(open_as("engineer", path))


def test_the_empty_plan_passes_too(open_as, assert_usable, transactional_db):
    for path in ("/plan/", "/plan/calendar/", "/plan/not-enough/", "/plan/route/"):
        assert_usable(open_as("inspector", path))


@pytest.mark.parametrize("screen", ["tablet"], indirect=True)
def test_on_a_phone_nothing_scrolls_sideways(open_as, assert_usable, bridge):
    for path in ("/plan/", "/plan/calendar/", "/bridges/P-1/intervals/"):
        assert_usable(open_as("inspector", path, on=PHONE))


def test_a_visit_is_planned_from_what_is_due_and_opened_on_its_day(open_as, bridge):
    page = open_as("engineer", "/plan/")
    row = page.get_by_role("row").filter(has=page.get_by_role("link", name="P-1", exact=True))
    expect(row).to_contain_text("J1: To be measured again")
    row.get_by_role("link", name="Plan a visit to P-1").click()
    expect(page.get_by_label("Note")).to_have_value("J1 (measure again)")
    page.get_by_label("Planned for").fill(str(today() + 2 * DAY))
    page.get_by_label("Lead, who signs").select_option("anchor")
    page.get_by_role("button", name="Plan this visit").click()
    expect(page.get_by_role("alert")).to_contain_text(
        "anchor has other visits that day, at Q-0, Q-1, Q-2, Q-3."
    )
    page.get_by_label("Planned for").fill(str(today()))
    page.get_by_role("button", name="Plan this visit").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text(f"P-1: routine visit, {today()}")
    page.goto("/plan/calendar/")
    cell = page.get_by_role("cell").filter(has=page.locator(f"time[datetime='{today()}']"))
    cell.get_by_role("link", name="P-1", exact=True).first.click()
    page.get_by_role("button", name="Open the inspection").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("P-1: routine inspection")
    expect(page.get_by_text("anchor")).to_be_visible()


def test_the_calendar_is_walked_by_key(open_as, bridge):
    page = open_as("manager", "/plan/calendar/?month=2027-01")
    page.get_by_role("link", name="February 2027").focus()
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_have_text("February 2027")
    expect(page.get_by_role("columnheader", name="Monday")).to_be_visible()
