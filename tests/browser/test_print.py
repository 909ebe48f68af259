"""Pages on paper, as the browser prints them: what a list was narrowed to, and nothing to press.

Reading comfort on a small part of a screen as well: 200 % and 400 % of a screen of 1280 x 1024.
"""

import io
import re

import pdfplumber
import pytest
from playwright.sync_api import Page, expect

from inspections.services.visits import submit
from tests.browser.conftest import Screen, sideways
from tests.browser.test_queue import flags
from tests.make import make_bridge, make_element, make_inspection, make_unit, read

__all__ = ["flags"]
pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
VALUE = re.compile(r"mm typed")
MAGNIFIED = [Screen(640, 512, touch=False), Screen(320, 256, touch=False)]


@pytest.fixture
def screen() -> Screen:
    """Stand for a screen that is printed from; its size does not matter on paper."""
    return Screen(1280, 800, touch=False)


def test_a_printed_list_tells_when_and_what_it_was_narrowed_to(open_as, flags):
    page = open_as("engineer", "/?q=B-2&kind=bearing")
    page.emulate_media(media="print")

    expect(page.get_by_text("Bearing and Joint Ledger · 20")).to_be_visible()
    expect(page.get_by_label("Code or name")).to_have_value("B-2")
    expect(page.get_by_label("Code or name")).to_be_visible()
    expect(page.get_by_label("Kind")).to_be_visible()
    expect(page.get_by_label("District")).to_be_hidden()
    expect(page.get_by_role("table")).to_be_visible()
    expect(page.locator("main button:visible, main a.button:visible")).to_have_count(0)
    expect(page.locator("footer")).to_contain_text("licensed engineer")
    expect(page.get_by_role("link", name="My jobs")).to_be_hidden()


def test_a_printed_list_that_is_not_narrowed_shows_no_fields(open_as, flags):
    page = open_as("engineer", "/")
    page.emulate_media(media="print")
    expect(page.locator("form.filter :is(input, select):visible")).to_have_count(0)


def pages_of(page: Page) -> list[str]:
    """Return the text of each page that the browser prints."""
    with pdfplumber.open(io.BytesIO(page.pdf(format="A4"))) as file:
        return [each.extract_text() for each in file.pages]


def test_no_day_of_the_printed_queue_is_broken_over_two_lines(open_as, flags):
    text = "\n".join(pages_of(open_as("engineer", "/")))
    assert "2024-02-01" in text
    assert not re.search(r"\d{4}-(\d\d-)?$", text, re.MULTILINE)


def test_a_printed_reading_stands_with_its_head_on_one_page(open_as):
    unit = make_unit(make_bridge("B-1"))
    visit = make_inspection(unit.bridge)
    for n in range(15):
        joint = make_element(unit, "strip_seal", code=f"J-{n}")
        read(visit, joint, "gap", 50.0 + n, 20.0, point="centre", axis="square")
    submit(inspection=visit)
    pages = pages_of(open_as("engineer", f"/inspections/{visit.pk}/"))
    assert sum(len(VALUE.findall(each)) for each in pages) == 15
    for each in pages:
        assert len(VALUE.findall(each)) == each.count("Read Expected Verdict")


@pytest.mark.parametrize("part", MAGNIFIED, ids=["200 %", "400 %"])
def test_nothing_is_cut_off_where_the_page_is_magnified(open_as, part, flags):
    """WCAG 2.2, 1.4.4 and 1.4.10: text at 200 %, and one column at 320 CSS pixels."""
    first = flags[0]
    for path in ("/", f"/flags/{first.pk}/", f"/elements/{first.element_id}/",
                 f"/bridges/{first.element.bridge.code}/", "/inspections/", "/plan/"):  # fmt: skip
        page = open_as("engineer", path, on=part)
        assert sideways(page) <= 0, path
