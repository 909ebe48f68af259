"""A year of one bridge, on the pages of those who enter it, read it, decide and report."""

import re

import pytest
from django.contrib.auth import get_user_model
from django.core.management import call_command
from playwright.sync_api import expect

from tests.browser import year_crew as crew
from tests.browser import year_office as office
from tests.browser.year_drawings import CODE
from tests.browser.year_site import PASSWORDS, YearSite, year_site

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
FROZEN_MM = 2.1
"""Where A2-L stands since spring, whatever the temperature."""
POSITION, FROZEN = "Away from its expected position", "Does not follow the temperature"


def test_a_year_from_an_empty_site_to_the_report(chromium, live_server):
    get_user_model().objects.create_superuser("chief", password=PASSWORDS["chief"])
    call_command("give_role", "chief", "engineer")
    with year_site(chromium, live_server.url) as site:
        winter(site)
        spring(site)
        summer(site)
        orders = autumn(site)
        mending(site, *orders)
        proof(site, *orders)


def winter(site: YearSite) -> None:
    """People are invited, the bridge is entered, and a first visit finds all well."""
    site.put_to("2025-01-13 09:00")
    desk = site.page_of("chief")
    office.invite(site, desk, "ina", "Inspector")
    office.invite(site, desk, "max", "Manager")
    office.enter_bridge(desk)
    office.enter_bearing(desk)
    office.import_the_rest(desk)
    office.open_inspection(desk)
    crew.visit(site.page_of("ina"), -4, {})
    office.accept(desk)
    expect(desk.get_by_text("No flag stands by what this visit shows.")).to_be_visible()
    assert office.to_decide(desk) == []
    expect(desk.get_by_text("Nothing waits for a decision.")).to_be_visible()


def spring(site: YearSite) -> None:
    """A visit without a signal is sent once the tablet is back, and shows nothing."""
    site.put_to("2025-04-15 08:00")
    desk = site.page_of("chief")
    office.open_inspection(desk)
    crew.visit(site.page_of("ina"), 14, {}, offline=True)
    office.accept(desk)
    assert office.to_decide(desk) == []


def summer(site: YearSite) -> None:
    """A2-L stands where it stood in spring; it may have been misread, so it is read again."""
    site.put_to("2025-07-22 13:00")
    desk = site.page_of("chief")
    office.open_inspection(desk)
    crew.visit(site.page_of("ina"), 31, {"A2-L": FROZEN_MM}, warned=("A2-L",))
    office.accept(desk)
    desk.get_by_role("link", name="A2-L: away from its expected position").tap()
    # 80 m x 12e-6 x (31 - 12) K = 18.2 mm
    expect(desk.get_by_text("expected 18.2 mm, −16.1 mm off").first).to_be_visible()
    told = desk.get_by_role("article")
    expect(told).to_contain_text("Cannot tell: two explanations fit about equally well")
    expect(told).to_contain_text("A2-L was shifted at one time.")
    expect(told).to_contain_text("A blunder in the offset along of A2-L on 2025-07-22.")
    expect(told).to_contain_text("repeat the offset along of A2-L")
    office.decide(desk, "Measure again", "Far from A2-R beside it; the tape is read anew.")
    expect(desk.get_by_text("A reading at the next visit decides")).to_be_visible()
    assert office.to_decide(desk) == []


def autumn(site: YearSite) -> tuple[str, str]:
    """A barge strikes pier P2: the visit after it tells what moved from what stands still."""
    site.put_to("2025-11-18 09:00")
    desk = site.page_of("chief")
    event = office.record_impact(desk, "2025-11-17T21:40")
    # The pier went 25 mm ahead, and its bearings as much behind: -6.2 mm were expected.
    found = {"A2-L": FROZEN_MM, "P2-L": -31.2, "P2-R": -31.4}
    crew.visit(site.page_of("ina"), -1, found, warned=tuple(found))
    office.accept(desk)
    desk.goto(event)
    words = {"P2-L": "Stepped", "P2-R": "Stepped", "A2-L": "Does not follow"}
    for code, word in words.items():
        row = desk.locator("table.readings tr").filter(has_text=f"{code} Offset along")
        expect(row).to_contain_text(word)
    assert office.to_decide(desk) == [
        f"A2-L {POSITION}", f"A2-L {FROZEN}", f"P2-L {POSITION}", f"P2-R {POSITION}",
    ]  # fmt: skip
    office.open_flag(desk, "A2-L", FROZEN)
    expect(desk.get_by_role("article")).to_contain_text(
        "Pier P2 has moved. Beside it: A2-L does not move with the temperature: frozen"
    )
    replaced = office.order(desk, "Replacement", "It no longer slides.", ("A2-L, pot bearing",))
    office.open_flag(desk, "P2-L", POSITION)
    reset = office.order(desk, "Reset to a new position", "The pier has moved.", ("P2-R",))
    assert office.to_decide(desk) == []
    manager = site.page_of("max")
    manager.goto(f"/bridges/{CODE}/")
    report = office.printed(manager, "Condition report (PDF)")
    assert "4 flags are open: 4 work ordered." in report
    assert replaced in report
    assert reset in report
    return replaced, reset


def mending(site: YearSite, replaced: str, reset: str) -> None:
    """The crew's work is entered; each device begins anew, and a measurement is due."""
    site.put_to("2025-12-03 14:00")
    desk = site.page_of("chief")
    set_at = {"Effective temperature at setting": "-2", "Offset along at setting": "0"}
    office.finish(desk, replaced, "A new bearing of the same make.", {"A2-L": set_at})
    office.finish(desk, reset, "Both centred.", {"P2-L": set_at, "P2-R": set_at})
    expect(desk.get_by_text("due: no reading since the work was finished").first).to_be_visible()


def proof(site: YearSite, replaced: str, reset: str) -> None:
    """A visit proves the work; what one temperature cannot prove says what does."""
    site.put_to("2025-12-12 09:00")
    desk = site.page_of("chief")
    office.open_inspection(desk, "Follow-up")
    # One degree colder than they were set: 80 m and 40 m x 12e-6 x 1 K.
    crew.visit(site.page_of("ina"), -3, {"A2-L": -1.0, "P2-L": -0.5, "P2-R": -0.5})
    office.accept(desk)
    assert office.to_decide(desk) == []
    states = office.states(desk)
    assert states.pop(f"A2-L {FROZEN}") == "Mended, not yet proved"
    assert states == dict.fromkeys(
        (f"A2-L {POSITION}", f"P2-L {POSITION}", f"P2-R {POSITION}"), "Closed"
    )
    office.open_flag(desk, "A2-L", FROZEN, show="all")
    expect(desk.get_by_text("Until readings show that it follows")).to_be_visible()
    manager = site.page_of("max")
    manager.get_by_role("link", name="Bridges").tap()
    manager.get_by_role("link", name=CODE).tap()
    report = office.printed(manager, "Condition report (PDF)")
    assert "Every one of the 7 elements is in range, as last seen." in report
    assert "1 flag is open: 1 mended, not yet proved." in report
    still_open, _, decided = report.partition("Decisions within the last year")
    assert re.search(rf"{replaced} A2-L, finished 2025-12-03", still_open)
    # What is proved is no longer open; what was decided on it is told.
    assert reset not in still_open
    assert reset in decided
