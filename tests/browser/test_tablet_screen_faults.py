"""Faults as the inspector meets them, on the app's own screens and a real server."""

import os
import re
import secrets
import signal
import uuid

import pytest
from playwright.sync_api import expect

from tests.browser.chromium import ARGUMENTS, chromium_path
from tests.browser.full_storage import MEGABYTE, fill, storage_of
from tests.browser.served_tablet import (
    all_sent,
    left_gap,
    served_tablet,
    sign_in,
    take_along,
    visit_of,
)
from tests.served.running import running

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def site(tmp_path_factory):
    with running(tmp_path_factory.mktemp("site")) as found:
        yield found


@pytest.fixture
def name() -> str:
    return f"i-{uuid.uuid4().hex[:8]}"


@pytest.fixture
def visit(site, name):
    return visit_of(site, name.upper())


@pytest.fixture
def on_board(chromium, site, visit, name):
    """The app with the inspection on board."""
    with served_tablet(chromium, site, name) as tablet:
        tablet.page.close()
        yield take_along(tablet.context, name.upper())


def held(site, visit) -> dict:
    return site.ledger.call("tests.served.rows:counts", visit.pk)


def keep_gap(page, typed: str) -> None:
    part = left_gap(page)
    part.get_by_role("textbox").fill(typed)
    part.get_by_role("button", name="Keep").click()
    expect(left_gap(page).get_by_text("Kept:")).to_be_visible()


def half_type(page) -> None:
    """Leave a note unfinished, its last keystroke on the disk."""
    page.locator("summary", has_text="Note").click()
    page.get_by_label("Note").press_sequentially("Bolt lo")
    page.wait_for_timeout(300)


def expect_half_typed(page) -> None:
    page.locator("summary", has_text="Note").click()
    expect(page.get_by_label("Note")).to_have_value("Bolt lo")


def test_a_session_that_expired_offline_is_renewed_through_the_page_and_all_is_sent(
    site, on_board, visit, name
):
    page = on_board
    page.context.set_offline(True)
    keep_gap(page, "50 mm")
    half_type(page)
    form = page.url
    page.context.clear_cookies(name="sessionid")
    page.context.set_offline(False)

    banner = page.get_by_text("You are signed out. What waits stays on this tablet.")
    expect(banner).to_be_visible(timeout=15_000)
    assert held(site, visit)["tablet_records"] == 0
    banner.get_by_role("link", name="Sign in").click()
    sign_in(page, name)

    all_sent(page)
    assert held(site, visit)["readings"] == 1
    page.goto(form)
    expect_half_typed(page)


def test_an_update_in_mid_inspection_waits_for_the_user_and_loses_nothing(site, on_board, visit):
    page = on_board
    page.context.set_offline(True)
    keep_gap(page, "50 mm")
    half_type(page)
    page.context.set_offline(False)
    site.server.bring_up_to_date()
    page.evaluate("navigator.serviceWorker.ready.then((found) => { found.update(); })")

    expect(page.get_by_text("A new version of the app is here.")).to_be_visible(timeout=15_000)
    expect(page.get_by_label("Note")).to_have_value("Bolt lo")
    expect(page.locator("html")).not_to_have_attribute("data-newer", "yes")
    with page.expect_navigation():
        page.get_by_role("button", name="Take it now").click()

    expect(page.locator("html")).to_have_attribute("data-newer", "yes")
    expect(left_gap(page).get_by_text("Kept:")).to_be_visible()
    expect_half_typed(page)
    all_sent(page)
    assert held(site, visit)["readings"] == 1


def test_a_full_disk_is_told_on_the_form_and_the_value_stays_on_it(chromium, site, visit, name):
    storage = None

    def make_small(context) -> None:
        nonlocal storage
        storage = storage_of(context.new_page(), site.server.url)
        storage(8 * MEGABYTE)

    with served_tablet(chromium, site, name, prepare=make_small) as tablet:
        page = take_along(tablet.context, name.upper())
        left_gap(page)
        page.locator("summary", has_text="Note").click()
        fill(tablet)
        text = secrets.token_hex(1500)  # nothing that could be compressed
        box, keep = page.get_by_label("Note"), page.get_by_role("button", name="Keep the note")
        box.fill(text)
        expect(page.get_by_text(re.compile("Not kept: draft .*storage is full"))).to_be_visible()
        keep.click()
        expect(page.get_by_text(re.compile("Not kept: the note.*storage is full"))).to_be_visible()
        expect(box).to_have_value(text)

        storage(80 * MEGABYTE)
        keep.click()
        expect(page.get_by_text("Note: 1")).to_be_visible()
        all_sent(page)
    assert held(site, visit)["notes"] == 1


def test_a_form_half_filled_when_the_battery_dies_is_as_it_was(
    chromium, site, visit, name, tmp_path
):
    site.ledger.call("tests.served.rows:inspector", name)

    def open_tablet():
        return chromium.browser_type.launch_persistent_context(
            tmp_path / "profile",
            executable_path=chromium_path(),
            args=ARGUMENTS,
            base_url=site.server.url,
        )

    context = open_tablet()
    page = context.new_page()
    page.goto("/sign-in/?next=/field/")
    sign_in(page, name)
    page = take_along(context, name.upper())
    context.set_offline(True)
    keep_gap(page, "50 mm")
    half_type(page)
    form = page.url
    session = context.browser.new_browser_cdp_session()
    processes = session.send("SystemInfo.getProcessInfo")["processInfo"]
    os.kill(next(each["id"] for each in processes if each["type"] == "browser"), signal.SIGKILL)

    context = open_tablet()
    page = context.new_page()
    page.goto(form)
    expect(left_gap(page).get_by_text("Kept: 50")).to_be_visible()
    expect_half_typed(page)

    # Browsers write cookies down late, so the session may have died as well.
    context.clear_cookies()
    page.goto("/sign-in/?next=/field/")
    sign_in(page, name)
    all_sent(page)
    assert held(site, visit)["readings"] == 1
    context.close()
