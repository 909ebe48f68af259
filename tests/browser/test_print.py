"""Pages on paper, as the browser prints them: what a list was narrowed to, and nothing to press.

Reading comfort on a small part of a screen as well: 200 % and 400 % of a screen of 1280 x 1024.
"""

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import Screen, sideways
from tests.browser.test_queue import flags

__all__ = ["flags"]
pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
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


@pytest.mark.parametrize("part", MAGNIFIED, ids=["200 %", "400 %"])
def test_nothing_is_cut_off_where_the_page_is_magnified(open_as, part, flags):
    """WCAG 2.2, 1.4.4 and 1.4.10: text at 200 %, and one column at 320 CSS pixels."""
    first = flags[0]
    for path in ("/", f"/flags/{first.pk}/", f"/elements/{first.element_id}/",
                 f"/bridges/{first.element.bridge.code}/", "/inspections/", "/plan/"):  # fmt: skip
        page = open_as("engineer", path, on=part)
        assert sideways(page) <= 0, path
