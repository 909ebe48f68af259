"""What a field inspector does on the tablet's pages: take along, read, sign, send."""

from __future__ import annotations

import re
from collections.abc import Mapping

from playwright.sync_api import Page, expect

from tests.browser.served_tablet import all_sent
from tests.browser.year_drawings import CODE, PLACES, Place

JOINT_GAPS = tuple(
    f"Joint gap, {point}, square to the joint" for point in ("left", "centre", "right")
)


def take_along(page: Page) -> None:
    """Take the one inspection along and open its walk."""
    page.goto("/field/")
    page.get_by_role("button", name="Take along").tap()
    expect(page.get_by_text(f"{CODE} is on board")).to_be_visible()
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    page.get_by_role("link", name="Open", exact=True).tap()


def take_temperature(page: Page, at_c: float) -> None:
    """Enter the temperature of a girder in the shade, and go back to the walk."""
    page.get_by_role("link", name=re.compile("^Temperatures")).tap()
    box = page.get_by_label(re.compile("^Girder, web"))
    box.fill(f"{at_c:g} C")
    box.press("Enter")
    expect(page.get_by_text("by one shaded girder surface")).to_be_visible()
    page.get_by_role("link", name="Walk").tap()


def read_bridge(
    page: Page, at_c: float, otherwise: Mapping[str, float], warned: tuple[str, ...] = ()
) -> None:
    """Read each place in the order of the walk; what is not as drawn stands in ``otherwise``.

    At the places ``warned`` of, the tablet says at once that the value is outside the band.
    """
    page.get_by_role("link", name=re.compile(PLACES[0].code)).tap()
    for place, after in zip(PLACES, (*PLACES[1:], None), strict=True):
        expect(page.get_by_role("heading", level=1)).to_contain_text(place.code)
        value = otherwise.get(place.code, place.reads_mm(at_c))
        _read(page, place, value, is_outside=place.code in warned)
        if after is not None:
            page.get_by_role("link", name=f"Next: {after.code}").tap()
    page.get_by_role("link", name="Review and sign").tap()


def _read(page: Page, place: Place, value_mm: float, *, is_outside: bool) -> None:
    if place.kind == "joint":
        values = dict.fromkeys(JOINT_GAPS, value_mm)
    else:
        values = {"Offset along": value_mm, "Offset across": 0.0, "Rotation": 0.0}
    for name, value in values.items():
        heading = page.get_by_role("heading", name=name, exact=True)
        part = page.locator("section.channel").filter(has=heading)
        part.get_by_role("textbox").fill(f"{value:.1f}")
        if is_outside and name == "Offset along":
            expect(part.get_by_text(re.compile("Outside the band"))).to_be_visible()
        part.get_by_role("button", name="Keep").tap()
        expect(part.locator(".kept")).to_have_text(re.compile("^Kept: "))


def sign(page: Page) -> None:
    """Sign on the last screen of the walk."""
    expect(page.get_by_text("Everything is read or explained")).to_be_visible()
    page.get_by_label("Signed as").fill("Lead inspector")
    page.get_by_role("button", name="Sign and hand in").tap()
    expect(page.get_by_text("Signed. It is handed in when it has been sent.")).to_be_visible()


def visit(
    page: Page,
    at_c: float,
    otherwise: Mapping[str, float],
    warned: tuple[str, ...] = (),
    *,
    offline: bool = False,
) -> None:
    """Do a whole visit; offline, the network comes back only after the signature."""
    take_along(page)
    page.context.set_offline(offline)
    take_temperature(page, at_c)
    read_bridge(page, at_c, otherwise, warned)
    sign(page)
    if offline:
        expect(page.locator(".waiting-link")).to_contain_text("to send")
        page.context.set_offline(False)
        page.goto("/field/#/waiting")
        page.get_by_role("button", name="Send now").tap()
    all_sent(page)
