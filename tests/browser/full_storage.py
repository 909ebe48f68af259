"""A tablet whose storage is small, and full."""

from collections.abc import Callable

from playwright.sync_api import Page

from tests.browser.tablet_page import Tablet

MEGABYTE = 1024 * 1024


def storage_of(page: Page, origin: str) -> Callable[[int | None], None]:
    """Return a function that sets how much storage there is, None as much as the browser gives.

    To be called before the browser first looks, and then again to have more or less of it.
    """
    session = page.context.new_cdp_session(page)

    def storage(quota_bytes: int | None) -> None:
        quota = {} if quota_bytes is None else {"quotaSize": quota_bytes}
        session.send("Storage.overrideQuotaForOrigin", {"origin": origin, **quota})

    return storage


# What can be compressed would take no room.
NOISE = """
    const noise = (length) => Array.from(
      crypto.getRandomValues(new Uint16Array(length / 2)), (each) => each % 0xd000 + 32)
      .map((each) => String.fromCharCode(each)).join("");
"""


def fill(tablet: Tablet) -> None:
    """Fill the storage to the last hundred bytes or so."""
    tablet.run(
        NOISE
        + """
        for (let length = 32_000, index = 0; length > 50; index += 1) {
          const place = { user: 0, inspection: 0, element: 0, field: `${index}` };
          if (!(await drafts.keepDraft(place, noise(length)))) length /= 2;
        }
        window.told.length = 0;
        """,
        modules="drafts",
    )
