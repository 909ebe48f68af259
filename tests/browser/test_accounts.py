"""The pages of accounts in a browser."""

from base64 import b32decode

import pytest
from django_otp.oath import totp
from playwright.sync_api import expect

from tests.accounts.people import PASSWORD, make_person
from tests.browser.conftest import NOBODY

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def fill_in(page, user, password=PASSWORD):
    page.get_by_label("Username").fill(user.username)
    page.get_by_label("Password").fill(password)
    page.get_by_role("button", name="Sign in").click()


def test_an_engineer_sets_up_a_second_factor_and_comes_to_the_page_asked_for(
    open_as, assert_usable, settings
):
    settings.SECOND_FACTOR = True
    page = open_as(NOBODY, "/bridges/")
    fill_in(page, make_person("engineer"))
    expect(page.get_by_role("heading", name="Set up the second factor")).to_be_visible()
    assert_usable(page)
    key = page.locator("code").inner_text().replace(" ", "")
    page.get_by_label("Code").fill(f"{totp(b32decode(key)):06d}")
    page.get_by_role("button", name="Set it up").click()
    expect(page.locator(".recovery li")).to_have_count(10)
    assert_usable(page)
    page.get_by_role("link", name="I have kept them").click()
    expect(page.get_by_role("heading", name="Bridges")).to_be_visible()
    page.goto("/account/")
    assert_usable(page)
    page.goto("/account/password/")
    assert_usable(page)
    page.get_by_role("button", name="Sign out").click()
    fill_in(page, make_person("engineer"))
    expect(page.get_by_role("heading", name="Set up the second factor")).to_be_visible()


def test_the_code_is_asked_for_and_a_wrong_one_told(open_as, assert_usable):
    user = make_person("inspector")
    page = open_as(NOBODY, "/sign-in/?next=/account/second-factor/")
    fill_in(page, user)
    key = page.locator("code").inner_text().replace(" ", "")
    page.get_by_label("Code").fill(f"{totp(b32decode(key)):06d}")
    page.get_by_role("button", name="Set it up").click()
    expect(page.locator(".recovery li")).to_have_count(10)
    page.get_by_role("button", name="Sign out").click()
    fill_in(page, user)
    expect(page.get_by_label("Code")).to_be_focused()
    assert_usable(page)
    page.get_by_label("Code").fill("nonsense")
    page.get_by_role("button", name="Go on").click()
    expect(page.get_by_text("That code does not fit")).to_be_visible()
    assert_usable(page)
