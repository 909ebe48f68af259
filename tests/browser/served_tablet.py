"""Tablets of a real server, which a test can kill: its rows are in another process."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from types import SimpleNamespace

from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.browser.tablet_page import Tablet
from tests.served.rows import PASSWORD
from tests.served.running import Running


def sign_in(page: Page, username: str) -> None:
    """Fill in the sign-in page that is open."""
    page.get_by_label(re.compile("^Username")).fill(username)
    page.get_by_label(re.compile("^Password")).fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url(lambda url: "/sign-in/" not in url)


class ServedTablet(Tablet):
    """A tablet that signs in as people do."""

    def sign_in(self, user) -> None:
        """Sign in through the page, and get the cookie against forgery."""
        page = self.context.new_page()
        page.goto("/sign-in/?next=/field/")
        sign_in(page, user.username)
        page.close()


@contextmanager
def served_tablet(
    chromium: Browser, site: Running, username: str, url: str = "", prepare=lambda context: None
) -> Iterator[ServedTablet]:
    """Open a tablet of an inspector; in the end nothing may have gone wrong in its scripts."""
    pk = site.ledger.call("tests.served.rows:inspector", username)
    context = chromium.new_context(base_url=url or site.server.url)
    prepare(context)
    wrong: list[str] = []
    context.on("weberror", lambda error: wrong.append(str(error.error)))
    yield ServedTablet(context, url or site.server.url, SimpleNamespace(pk=pk, username=username))
    context.close()
    assert wrong == []


def visit_of(site: Running, code: str) -> SimpleNamespace:
    """Open an inspection on a bridge with a joint and a bearing."""
    found = site.ledger.call("tests.served.rows:visit", code)
    (bearing,) = found["bearings"]
    return SimpleNamespace(pk=found["id"], bearing=SimpleNamespace(pk=bearing))


def put_on_board(page: Page, code: str) -> None:
    """Take the inspection of a bridge along on the list that is open.

    The worker is then in charge: what it fetches first would meet what a test writes beside it.
    """
    trip = page.locator("section.trip").filter(has_text=code)
    trip.get_by_role("button", name="Take along").click()
    expect(page.get_by_text(f"{code} is on board")).to_be_visible()
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")


def take_along(context: BrowserContext, code: str) -> Page:
    """Open the app, take the inspection along and open its walk; the worker is in charge."""
    page = context.new_page()
    page.goto("/field/")
    put_on_board(page, code)
    page.locator("section.trip").filter(has_text=code).get_by_role(
        "link", name="Open", exact=True
    ).click()
    return page


def left_gap(page: Page):
    """Open the joint's form if need be, and return the part for its left gap."""
    joint = page.get_by_role("link", name=re.compile("J-1"))
    heading = page.get_by_role("heading", name="Joint gap, left, square to the joint")
    expect(joint.or_(heading).first).to_be_visible()
    if not heading.is_visible():
        joint.click()
    return page.locator("section.channel").filter(has=heading)


def all_sent(page: Page) -> None:
    """Wait until nothing waits on the tablet."""
    expect(page.locator(".waiting-link")).to_have_text("All sent", timeout=30_000)
