"""What is done at desks in the year: people, register, reviews, decisions, work, paper."""

from __future__ import annotations

import io
import re

from playwright.sync_api import Locator, Page, expect
from pypdf import PdfReader

from tests.browser.year_drawings import BY_HAND, CODE, NAME, SET_C, SUPPORTS, register_like
from tests.browser.year_site import PASSWORDS, YearSite


def invite(site: YearSite, page: Page, name: str, role: str) -> None:
    """Invite somebody, who then sets the password by the link."""
    page.get_by_role("link", name="People", exact=True).tap()
    page.get_by_role("link", name="Invite somebody").tap()
    page.get_by_label("Name of the account").fill(name)
    page.get_by_label("Role", exact=True).select_option(label=role)
    page.get_by_role("button", name="Invite").tap()
    link = page.get_by_label("Link").input_value()
    theirs = site.outside()
    theirs.goto(link)
    for box in theirs.locator("input[type=password]").all():
        box.fill(PASSWORDS[name])
    theirs.get_by_role("button", name="Set it").tap()


def enter_bridge(page: Page) -> None:
    """Type the bridge in with its district, basis, unit and supports, from the empty queue."""
    page.goto("/")
    expect(page.get_by_text("No element is on record yet.")).to_be_visible()
    page.get_by_role("link", name="Enter a bridge").tap()
    with page.expect_popup() as opened:
        page.get_by_title("Add another district").tap()
    district = opened.value
    district.wait_for_load_state()
    district.get_by_label("Code").fill("N")
    district.get_by_label("Name").fill("North district")
    district.get_by_role("button", name="Save").tap()
    expect(page.locator(".field-district")).to_contain_text("N North district")
    page.locator("#id_code").fill(CODE)
    page.locator("#id_name").fill(NAME)
    page.get_by_label("Time zone").fill("Europe/Lisbon")
    basis = page.locator("#temperature_basis-0")
    basis.get_by_label("Method").select_option(label="EN 1991-1-5, 6.1.3")
    basis.get_by_label("Shade air minimum at sea level").fill("-18")
    basis.get_by_label("Shade air maximum at sea level").fill("38")
    unit = page.locator("#units-0")
    unit.get_by_label("Code").fill("U1")
    unit.get_by_label("Deck type").select_option("composite")
    for label, typed in (
        ("Start station", "0"),
        ("End station", "120"),
        ("Station of the thermal fixed point", "40"),
        ("Coefficient of thermal expansion", "12e-6"),
    ):
        unit.get_by_label(label).fill(typed)
    for number, (code, kind, station_m) in enumerate(SUPPORTS):
        if number >= 2:
            page.get_by_text("Add another Support").tap()
        row = page.locator(f"#supports-{number}")
        row.locator("[name$=code]").fill(code)
        row.locator("[name$=kind]").select_option(kind)
        row.locator("[name$=station_m]").fill(str(station_m))
    page.get_by_role("button", name="Save", exact=True).tap()
    expect(page.get_by_text("Next: its elements, each with its device.")).to_be_visible()


def enter_bearing(page: Page) -> None:
    """Type the first bearing in, from the page where saving the bridge has led."""
    page.get_by_role("link", name="Add bearing").tap()
    page.get_by_label("Code").fill(BY_HAND.code)
    page.get_by_label("Support").select_option(label=f"{CODE} {BY_HAND.support}")
    page.locator("#id_station_m").fill(str(BY_HAND.station_m))
    page.locator("#id_unit").select_option(label=f"{CODE} U1")
    device = page.locator("#installations-0")
    device.get_by_label("Device type").select_option(label="Pot bearing")
    # What other types have is not asked for.
    expect(device.get_by_label("PTFE thickness")).to_be_visible()
    expect(device.get_by_label("Radius of the curved face")).to_be_hidden()
    device.get_by_label("Installed on").fill("2015-05-10")
    device.get_by_label("Setting known from").select_option(label="Measured when set")
    device.get_by_label("Effective temperature at setting").fill(f"{SET_C:g}")
    device.get_by_label("Offset along at setting").fill("0")
    for way in ("decreasing", "increasing"):
        device.get_by_label(f"Movement towards {way} station").fill(f"{BY_HAND.movement_mm:g}")
    page.get_by_role("button", name="Save", exact=True).tap()
    expect(page.get_by_text("Next: another element by the buttons")).to_be_visible()
    page.get_by_role("link", name="page of the bridge", exact=True).tap()
    expect(page.get_by_role("link", name=BY_HAND.code)).to_be_visible()


def import_the_rest(page: Page) -> None:
    """Take in the other elements from a file made after the sample that the page offers."""
    page.get_by_role("link", name="Imports").tap()
    page.get_by_role("link", name="Import register").tap()
    with page.expect_download() as download:
        page.get_by_role("link", name="Sample file").tap()
    sample = download.value.path().read_text(encoding="utf-8")
    page.get_by_label("CSV or XLSX file").set_input_files(
        {"name": "mill-vale.csv", "mimeType": "text/csv", "buffer": register_like(sample)}
    )
    page.get_by_role("button", name="Check the file").tap()
    page.get_by_role("button", name="Import this file").tap()
    expect(page.get_by_text("mill-vale.csv is imported")).to_be_visible()
    page.get_by_role("link", name="See the bridges").tap()
    expect(page.get_by_role("link", name=CODE)).to_be_visible()


def open_inspection(page: Page, kind: str = "Routine") -> None:
    """Open an inspection of today from the page of the bridge."""
    page.goto(f"/bridges/{CODE}/")
    page.get_by_role("link", name="New inspection").tap()
    page.get_by_label("Kind").select_option(label=kind)
    page.get_by_label("Team").fill("lead and one")
    page.get_by_label("Weather").select_option("overcast")
    page.get_by_role("button", name="Open inspection").tap()
    expect(page.get_by_text("Inspection opened.")).to_be_visible()


def record_impact(page: Page, at: str) -> str:
    """Record that a barge struck pier P2, and open the inspection that the event asks for.

    Returns the address of the event's page.
    """
    page.get_by_role("link", name="Events").tap()
    page.get_by_role("link", name="Record an event").first.tap()
    page.get_by_label("Kind").select_option(label="Vessel impact")
    page.get_by_label("Name").fill("Barge against pier P2")
    page.get_by_label("When").fill(at)
    page.get_by_label("Bridges by code").fill(CODE)
    page.get_by_role("button", name="Show the bridges").tap()
    page.get_by_role("button", name="Record the event").tap()
    page.locator("[name=bridge]").check()
    page.get_by_label("Team, by role").fill("lead and one")
    page.get_by_role("button", name="Open inspections").tap()
    expect(page.get_by_text("1 inspection opened")).to_be_visible()
    return page.url


def accept(page: Page) -> None:
    """Review the one inspection that was handed in."""
    page.goto("/inspections/?state=submitted")
    page.get_by_role("link", name=CODE).tap()
    expect(page.get_by_text("Check the readings below")).to_be_visible()
    page.get_by_label("Note to the team").fill("Clear and complete.")
    page.get_by_role("button", name="Accept").tap()
    expect(page.get_by_text("Accepted by chief")).to_be_visible()


def to_decide(page: Page) -> list[str]:
    """Return what the queue asks to be decided: element and cause."""
    page.goto("/")
    expect(page.get_by_role("heading", level=1)).to_be_visible()
    return sorted(_name(row) for row in page.locator("tr[data-row]").all())


def states(page: Page) -> dict[str, str]:
    """Return the state of every flag by element and cause."""
    page.goto("/?show=all")
    expect(page.get_by_role("heading", level=1)).to_be_visible()
    rows = page.locator("tr[data-row]").all()
    return {_name(row): row.locator(".state").inner_text() for row in rows}


def _name(row: Locator) -> str:
    return f"{row.locator('[data-open]').inner_text()} {row.locator('.cause').inner_text()}"


def open_flag(page: Page, code: str, cause: str, show: str = "to-decide") -> None:
    """Open a flag from the queue."""
    page.goto(f"/?show={show}")
    row = page.locator("tr[data-row]").filter(has_text=f"{code} {cause}")
    row.locator("[data-open]").tap()
    expect(page.get_by_role("heading", level=1)).to_contain_text(cause)


def decide(page: Page, decision: str, why: str) -> None:
    """Sign a decision on the flag that is open."""
    page.get_by_label(decision).check()
    page.get_by_label("Reason").fill(why)
    page.get_by_role("button", name="Sign the decision").tap()
    expect(page.get_by_text(re.compile("^Signed: "))).to_be_visible()


def order(page: Page, kind: str, why: str, with_flags: tuple[str, ...] = ()) -> str:
    """Order work for the flag that is open, and for others of the bridge; return its code."""
    page.get_by_role("link", name="Order work").tap()
    page.get_by_label(kind).check()
    for other in with_flags:
        for box in page.get_by_label(other).all():
            box.check()
    page.get_by_label("Why", exact=True).fill(why)
    page.get_by_label("Cost, estimated").fill("18000")
    page.get_by_role("button", name="Order the work").tap()
    heading = page.get_by_role("heading", level=1)
    expect(heading).to_contain_text("W-20")
    return heading.inner_text().split()[0]


def finish(page: Page, code: str, done: str, settings: dict[str, dict[str, str]]) -> None:
    """Enter what the crew did; ``settings`` tells of each element what was typed by its label."""
    page.goto("/work/")
    page.get_by_role("link", name=code).first.tap()
    page.get_by_role("link", name="Finish", exact=True).tap()
    page.get_by_label("What was done").fill(done)
    for element, typed in settings.items():
        place = page.get_by_role("region", name=element)
        same = place.get_by_label("The same capacities")
        if same.count():
            same.check()
        place.get_by_label("Setting known from").select_option(label="Measured when set")
        for label, value in typed.items():
            place.get_by_label(label).fill(value)
    page.get_by_role("button", name="Finish the work").tap()
    expect(page.get_by_text("Mended, not yet proved").first).to_be_visible()


def printed(page: Page, link: str) -> str:
    """Return the text of the PDF behind a link."""
    answer = page.context.request.get(page.get_by_role("link", name=link).get_attribute("href"))
    assert answer.ok
    pages = PdfReader(io.BytesIO(answer.body())).pages
    return " ".join(" ".join(each.extract_text() for each in pages).split())
