"""An empty site whose clock is put to the days of a year, and the people who work on it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from contextlib import contextmanager
from unittest import mock
from wsgiref.handlers import format_date_time

from django.utils import timezone
from playwright.sync_api import Browser, BrowserContext, Page, expect

LYING = {"viewport": {"width": 1280, "height": 800}, "has_touch": True}
"""The screen of a tablet that lies on a table."""
PASSWORDS = {
    "chief": "lamps on the seventh landing",
    "ina": "orange ropes under the deck",
    "max": "grey folders by the window",
}
_really_now = timezone.now
SHIFTED = """(() => {
  const Real = Date, shift_ms = %d;
  globalThis.Date = class Date extends Real {
    constructor(...given) { given.length ? super(...given) : super(Real.now() + shift_ms); }
    static now() { return Real.now() + shift_ms; }
  };
})()"""


class YearSite:
    """The site on the day that it is put to, and one browser for each who is at work then."""

    def __init__(self, chromium: Browser, url: str) -> None:
        self.chromium = chromium
        self.url = url
        self.shift = dt.timedelta()
        self.at_work: dict[str, BrowserContext] = {}
        self.wrong: list[str] = []

    def put_to(self, day: str) -> None:
        """Put the clocks of the server and of all browsers to an hour of a day in UTC."""
        self.go_home()
        hour = dt.datetime.fromisoformat(day).replace(tzinfo=dt.UTC)
        self.shift = hour - _really_now()

    def go_home(self) -> None:
        """Close every browser: the next day begins with signing in."""
        for context in self.at_work.values():
            context.close()
        self.at_work = {}

    def now(self) -> dt.datetime:
        """Return the site's time, which goes on from where it was put to."""
        return _really_now() + self.shift

    def outside(self) -> Page:
        """Open a page in a browser that nobody has signed in with."""
        context = self.chromium.new_context(base_url=self.url, locale="en-GB", **LYING)
        context.add_init_script(SHIFTED % (self.shift / dt.timedelta(milliseconds=1)))
        context.set_default_timeout(8000)
        context.on("weberror", lambda error: self.wrong.append(str(error.error)))
        self.at_work[f"outside {len(self.at_work)}"] = context
        return context.new_page()

    def page_of(self, name: str) -> Page:
        """Return a new page of somebody, signed in through the page once a day."""
        if name in self.at_work:
            return self.at_work[name].new_page()
        page = self.outside()
        page.goto("/")
        page.get_by_label("Username").fill(name)
        page.get_by_label("Password").fill(PASSWORDS[name])
        page.get_by_role("button", name="Sign in").tap()
        expect(page.get_by_role("navigation", name="Main")).to_be_visible()
        self.at_work[name] = page.context
        return page


@contextmanager
def year_site(chromium: Browser, url: str) -> Iterator[YearSite]:
    """Open the site; in the end nothing may have gone wrong in its scripts."""
    site = YearSite(chromium, url)

    def date_header(_seconds: float) -> str:
        return format_date_time(site.now().timestamp())

    with (
        mock.patch("django.utils.timezone.now", site.now),
        mock.patch("wsgiref.handlers.format_date_time", date_header),
    ):
        yield site
    site.go_home()
    assert site.wrong == []
