"""A browser on the running site, at the two screens that the product is made for.

``open_as(role, path)`` opens a page as a user of that role (None: an outsider;
``NOBODY``: not signed in).  When the test ends, it fails on anything that a page
complained about: a script error, a refused style or script, a missing file.
"""

import os
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.conf import settings
from django.test import Client
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

from tests.browser.chromium import ARGUMENTS, MISSING, chromium_path
from tests.make import make_user

NOBODY = "nobody"
OFFLINE = "ERR_INTERNET_DISCONNECTED"
"""What the browser notes while a test has taken the network away."""
SCHEMES = (
    {"color_scheme": "dark", "contrast": "no-preference"},
    {"color_scheme": "light", "contrast": "more"},
    {"color_scheme": "dark", "contrast": "more"},
)
CONTRAST = ["color-contrast"]
WCAG = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]


@dataclass(frozen=True)
class Screen:
    """Size of a screen, and whether it is touched."""

    width: int
    height: int
    touch: bool

    def context(self) -> dict:
        """Return what a browser context of it needs."""
        return {
            "viewport": {"width": self.width, "height": self.height},
            "has_touch": self.touch,
        }


DESK = Screen(1280, 800, touch=False)
TABLET = Screen(800, 1280, touch=True)
PHONE = Screen(390, 844, touch=True)
NAMED = {"desk": DESK, "tablet": TABLET}


@pytest.fixture(scope="package")
def chromium() -> Iterator[Browser]:
    """One browser for all these tests."""
    path = chromium_path()
    if path is None:
        pytest.fail(MISSING)
    with pytest.MonkeyPatch.context() as patch, sync_playwright() as playwright:
        # Playwright's loop runs in this thread, and Django would refuse the database there.
        patch.setitem(os.environ, "DJANGO_ALLOW_ASYNC_UNSAFE", "true")
        browser = playwright.chromium.launch(executable_path=path, args=ARGUMENTS)
        yield browser
        browser.close()


@pytest.fixture(params=["desk", "tablet"])
def screen(request) -> Screen:
    """Each of the two screens in turn; a test may name one where the other adds nothing."""
    return NAMED[request.param]


@pytest.fixture
def open_as(chromium, live_server, screen) -> Iterator[Callable[..., Page]]:
    """Return a function that opens a page as a user of a role."""
    contexts: dict[str | None, BrowserContext] = {}
    complaints: list[str] = []

    def listen(page: Page) -> None:
        page.on(
            "console",
            lambda message: (
                message.type in ("error", "warning")
                and OFFLINE not in message.text
                and complaints.append(f"{page.url}: {message.text}")
            ),
        )
        page.on("pageerror", lambda error: complaints.append(f"{page.url}: {error}"))

    def signed_in(role: str | None, screen: Screen, options: dict) -> BrowserContext:
        context = chromium.new_context(
            base_url=live_server.url, **{"locale": "en-GB"} | screen.context() | options
        )
        context.on("page", listen)
        if role != NOBODY:
            client = Client()
            client.force_login(make_user(role))
            cookie = client.cookies[settings.SESSION_COOKIE_NAME].value
            context.add_cookies(
                [{"name": settings.SESSION_COOKIE_NAME, "value": cookie, "url": live_server.url}]
            )
        return context

    def open_page(
        role: str | None, path: str, *, on: Screen = screen, status: int = 200, **options
    ) -> Page:
        key = (role, on, tuple(options))
        if key not in contexts:
            contexts[key] = signed_in(role, on, options)
        page = contexts[key].new_page()
        response = page.goto(path)
        assert response.status == status
        if status != 200:
            # The browser's own note that the page was refused is what the test asked for.
            complaints[:] = [each for each in complaints if f"status of {status}" not in each]
        return page

    yield open_page
    for context in contexts.values():
        context.close()
    assert complaints == []


@pytest.fixture(scope="session")
def assert_usable() -> Callable[[Page], None]:
    """Return a check of a page: axe finds nothing, and it does not scroll sideways.

    Contrast is looked at in each scheme that a reader may have set.
    """
    axe = Axe()

    def check(page: Page) -> None:
        found = axe.run(page, options={"runOnly": {"type": "tag", "values": WCAG}})
        assert found.violations_count == 0, found.generate_report()
        for scheme in SCHEMES:
            # Without the fading of buttons, whose colours would be looked at half way.
            page.emulate_media(**scheme, reduced_motion="reduce")
            found = axe.run(page, options={"runOnly": {"type": "rule", "values": CONTRAST}})
            assert found.violations_count == 0, (scheme, found.generate_report())
        page.emulate_media(
            color_scheme="light", contrast="no-preference", reduced_motion="no-preference"
        )
        assert sideways(page) <= 0, f"{page.url} scrolls sideways by {sideways(page)} px"

    return check


def sideways(page: Page) -> int:
    """Return by how many pixels the body is wider than the screen."""
    return page.evaluate(
        "document.documentElement.scrollWidth - document.documentElement.clientWidth"
    )
