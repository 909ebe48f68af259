"""A bridge's desk in a browser: legible, within the screen, one visit after another."""

import datetime as dt
import io

import pytest
from playwright.sync_api import expect
from pypdf import PdfReader

from inspections.services.visits import submit
from tests.make import SET_AT_20_C, make_bridge, make_element, make_inspection, make_unit, read

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def path() -> str:
    """Return the page of a bridge of four bearings, visited on a cold and on a hot day."""
    unit = make_unit(make_bridge("HV-104"), fixed_station_m=50.0)
    bearings = [
        make_element(
            unit,
            code=f"{support}-B{line}",
            station_m=station_m,
            place={"line": f"G{line}"},
            installation=SET_AT_20_C,
            design={"movement_back_mm": 60.0, "movement_ahead_mm": 60.0},
        )
        for support, station_m in (("A1", 0.0), ("A2", 100.0))
        for line in (1, 2)
    ]
    for year, temperature_c in ((2023, -5.0), (2024, 30.0)):
        visit = make_inspection(unit.bridge, dt.date(year, 6, 1))
        for bearing in bearings:
            free_mm = 11.7e-6 * (bearing.station_m - 50.0) * 1000 * (temperature_c - 20.0)
            first = bearing is bearings[0]
            read(visit, bearing, "offset_along", free_mm, temperature_c if first else None)
        submit(inspection=visit)
    return "/bridges/HV-104/"


def test_the_desk_shows_one_visit_after_another_and_stays_within_the_screen(
    open_as, assert_usable, path
):
    page = open_as("engineer", path)
    expect(page.get_by_role("heading", name="Plan of movement")).to_be_visible()
    assert_usable(page)
    page.get_by_role("link", name="2023-06-01").first.click()
    expect(page.get_by_role("heading", name="2023-06-01")).to_be_visible()
    page.get_by_role("link", name="At the coldest design temperature").click()
    assert_usable(page)


@pytest.mark.parametrize("screen", ["desk"], indirect=True)
def test_the_numbers_of_the_plan_are_printed_though_they_are_folded_away(open_as, path):
    page = open_as("engineer", path)
    folded = page.get_by_text("Movement of the deck since the setting")
    expect(folded).to_be_hidden()
    page.evaluate("window.dispatchEvent(new Event('beforeprint'))")
    paper = PdfReader(io.BytesIO(page.pdf(format="A4")))
    text = " ".join(" ".join(each.extract_text() for each in paper.pages).split())
    assert "Movement of the deck since the setting" in text
    assert "Sign out" not in text
    page.evaluate("window.dispatchEvent(new Event('afterprint'))")
    expect(folded).to_be_hidden()
