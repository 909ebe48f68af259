"""An element's charts in a browser: pointing, keys and touch tell figures; it prints whole."""

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
    """The page of a bearing, read on three visits."""
    unit = make_unit(make_bridge("HV-104"))
    bearing = make_element(
        unit,
        code="P-1",
        installation=SET_AT_20_C,
        design={"movement_back_mm": 60.0, "movement_ahead_mm": 60.0},
    )
    for year, offset_mm, temperature_c in (
        (2022, -41.0, -15.0),
        (2023, -5.0, 15.0),
        (2024, 40.0, 30.0),
    ):
        visit = make_inspection(unit.bridge, dt.date(year, 6, 1))
        read(visit, bearing, "offset_along", offset_mm, temperature_c)
        submit(inspection=visit)
    return f"/elements/{bearing.pk}/"


def test_marks_tell_their_figures_by_pointing_and_by_keys(open_as, assert_usable, screen, path):
    page = open_as("engineer", path)
    page.get_by_text("Figures of these charts").first.click()
    assert_usable(page)
    told = page.locator("[data-told-here]").first
    expect(told).to_be_hidden()
    mark = page.locator("[data-chart]").first.locator(".d-spot").first
    mark.tap() if screen.touch else mark.hover()
    expect(told).to_contain_text("2022-06-01")
    chart = page.locator("[data-chart]").first
    chart.focus()
    page.keyboard.press("ArrowRight")
    expect(told).to_contain_text("2023-06-01")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")
    expect(told).to_contain_text("out of range")


@pytest.mark.parametrize("screen", ["desk"], indirect=True)
def test_the_page_prints_with_its_charts_figures_and_caution(open_as, path):
    page = open_as("manager", path)
    page.evaluate("window.dispatchEvent(new Event('beforeprint'))")
    for size in ("A4", "Letter"):
        paper = PdfReader(io.BytesIO(page.pdf(format=size)))
        text = " ".join(" ".join(each.extract_text() for each in paper.pages).split())
        for heading in ("Position now and at both extremes", "History", "Capacity as found"):
            assert heading in text
        assert "2023-06-01" in text
        assert "cannot be made: what is needed" in text
        assert "cannot check: needs" in text
        assert "licensed engineer govern" in text
        assert "Sign out" not in text
