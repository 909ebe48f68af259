"""Imports in a browser: checked first, then confirmed, on both screens."""

import io

import pytest
from playwright.sync_api import expect

from inventory.exchange.register_csv import write_register
from inventory.models import Bridge
from tests.make import make_bridge, make_element, make_unit

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.mark.parametrize(
    "path",
    [
        "/imports/",
        "/imports/register/",
        "/imports/readings/",
        "/imports/air/",
        "/imports/register/columns/",
        "/imports/readings/columns/",
    ],
)
def test_the_import_pages_can_be_used_by_everyone(open_as, assert_usable, path):
    assert_usable(open_as("engineer", path))


def test_a_register_is_checked_then_imported(open_as, assert_usable):
    make_element(make_unit(make_bridge("X-1")), code="B1")
    stream = io.StringIO()
    write_register(stream)
    changed = stream.getvalue().replace("Test bridge", "Renamed bridge")
    page = open_as("engineer", "/imports/register/")
    page.get_by_label("CSV or XLSX file").set_input_files(
        {"name": "register.csv", "mimeType": "text/csv", "buffer": changed.encode()}
    )
    page.get_by_role("button", name="Check the file").click()
    expect(page.get_by_role("button", name="Import this file")).to_be_visible()
    assert_usable(page)
    assert Bridge.objects.get().name == "Test bridge"
    page.get_by_role("button", name="Import this file").click()
    expect(page.get_by_role("status").first).to_be_visible()
    assert_usable(page)
    assert Bridge.objects.get().name == "Renamed bridge"


def test_a_bad_file_shows_each_line_and_imports_nothing(open_as, assert_usable):
    page = open_as("engineer", "/imports/readings/")
    page.get_by_label("CSV or XLSX file").set_input_files(
        {
            "name": "readings.csv",
            "mimeType": "text/csv",
            "buffer": b"bridge_code,inspection_date,taken_at,element_code,gap_square_mm\n"
            b"NONE,2024-06-01,2024-06-01 09:00,J1,55\n",
        }
    )
    page.get_by_role("button", name="Check the file").click()
    expect(page.get_by_role("cell", name="bridge_code")).to_be_visible()
    expect(page.get_by_role("button", name="Import this file")).to_have_count(0)
    assert_usable(page)
