"""API keys and the description of the API in a browser."""

import pytest
from playwright.sync_api import expect

from inspections.models import ApiKey
from tests.browser.conftest import sideways
from tests.make import make_bridge

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_a_key_is_made_shown_once_and_revoked(open_as, assert_usable):
    page = open_as("engineer", "/api-keys/")
    assert_usable(page)
    page.get_by_label("Name").fill("Weekly table")
    page.get_by_role("button", name="Make a key").click()
    secret = page.get_by_label("Key", exact=True).input_value()
    assert secret.startswith(ApiKey.objects.get().prefix)
    assert_usable(page)
    page.get_by_role("button", name="Revoke Weekly table").click()
    expect(page.get_by_text("Revoked. Programs that send")).to_be_visible()
    assert ApiKey.objects.get().revoked_at is not None


def test_a_request_is_tried_on_the_page_of_the_description(open_as):
    make_bridge("B-1")
    page = open_as("manager", "/api/docs/")
    row = page.locator("#operations-bridges-bridges_list")
    expect(page.locator(".opblock").first).to_be_visible()
    for _ in range(40):  # only what is in sight is drawn of a long description
        if row.count():
            break
        page.mouse.wheel(0, 300)
        page.wait_for_timeout(100)
    row.get_by_role("button").first.click()
    row.get_by_role("button", name="Try it out").click()
    row.get_by_role("button", name="Execute").click()
    expect(row.locator(".live-responses-table")).to_contain_text("B-1")
    assert sideways(page) <= 0
