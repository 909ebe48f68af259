"""People, roles and changes in a browser."""

import re

import pytest
from playwright.sync_api import expect

from inventory.models import District
from tests.make import make_bridge, make_element, make_unit, make_user

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
LINK = re.compile("/password/")


def test_an_administrator_invites_somebody_and_gives_another_role(open_as, assert_usable):
    District.objects.create(code="N", name="North")
    make_user("manager", username="the-manager")
    page = open_as("administrator", "/people/")
    expect(page.get_by_role("link", name="the-manager")).to_be_visible()
    assert_usable(page)
    page.get_by_role("link", name="Invite somebody").click()
    expect(page.get_by_label("Name of the account")).to_be_visible()
    assert_usable(page)
    page.get_by_label("Name of the account").fill("new one")
    page.get_by_role("button", name="Invite").click()
    expect(page.get_by_label("Name of the account")).to_have_value("new one")
    assert_usable(page)
    page.get_by_label("Name of the account").fill("new-one")
    page.get_by_label("Where", exact=True).select_option("N")
    page.get_by_role("button", name="Invite").click()
    expect(page.get_by_label("Link")).to_have_value(LINK)
    assert_usable(page)
    page.get_by_role("link", name="Back to new-one").click()
    page.get_by_label("Role", exact=True).select_option("engineer")
    page.get_by_role("button", name="Give this role").click()
    expect(page.get_by_text("Engineer, all districts", exact=True)).to_be_visible()
    assert_usable(page)


def test_who_may_what_and_who_changed_what_can_be_read(open_as, assert_usable):
    make_element(make_unit(make_bridge("B-1")))
    page = open_as("manager", "/who-may-what/")
    expect(page.get_by_role("heading", name="Who may what")).to_be_visible()
    assert_usable(page)
    page.goto("/changes/?bridge=B-1")
    expect(page.get_by_role("heading", name="Who changed what")).to_be_visible()
    assert_usable(page)
