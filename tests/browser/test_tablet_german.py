"""A whole inspection in German: filled in with decimal commas, without a network, then sent."""

import re

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from inspections.models import Condition, Inspection, Preference, Reading, SignOff
from inspections.models.choices import InspectionState
from tests.browser.test_tablet_journey import SETTING
from tests.make import make_bridge, make_element, make_inspection, make_unit

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
ENGLISH = re.compile(r"\b(the|and|not|with|reading|element|Keep|Take|Open|Sign)\b")
STATEMENT = "Complete and true to what we saw; what was left out is named with its reason."


@pytest.fixture
def inspection() -> Inspection:
    """An open inspection of today: a joint and a bearing at the far end of 100 m of deck."""
    unit = make_unit(make_bridge("T-1", basis={"method": "aashto_a", "climate": "cold"}))
    make_element(
        unit, "strip_seal", "J-1", installation=SETTING,
        design={"opening_min_mm": 5.0, "opening_max_mm": 130.0},
    )  # fmt: skip
    make_element(unit, "pot", "B-1", installation=SETTING)
    return make_inspection(unit.bridge, timezone.now().date(), team="zwei")


@pytest.fixture
def page(open_as, inspection) -> Page:
    """The tablet of somebody who reads German, with the inspection on board."""
    page = open_as("inspector", "/account/")
    page.get_by_role("button", name="Deutsch").click()
    expect(page.get_by_role("heading", name="Ihr Konto")).to_be_visible()
    page.goto("/field/")
    page.get_by_role("button", name="Mitnehmen").click()
    expect(page.get_by_text("T-1 ist auf dem Tablet")).to_be_visible()
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    page.get_by_role("link", name="Öffnen", exact=True).click()
    return page


def nothing_is_cut(page: Page) -> None:
    """Nothing scrolls sideways, no button or link holds more than it shows, no word is English."""
    page.evaluate("document.querySelectorAll('details').forEach((each) => { each.open = true; })")
    assert (
        page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        <= 0
    )
    cut = page.evaluate(
        """() => [...document.querySelectorAll("button, a, label, summary, h1, h2, h3, p")]
          .filter((each) => each.checkVisibility() && each.scrollWidth > each.clientWidth + 1
            && getComputedStyle(each).display !== "inline")
          .map((each) => each.textContent)"""
    )
    assert cut == []
    assert ENGLISH.findall(page.locator("main").inner_text()) == []
    assert page.evaluate("document.documentElement.lang") == "de"


def enter(page: Page, name: str, typed: str) -> None:
    """Type a value at a point and keep it."""
    heading = page.get_by_role("heading", name=name, exact=True)
    part = page.locator("section.channel").filter(has=heading)
    part.get_by_role("textbox").fill(typed)
    part.get_by_role("button", name="Speichern").click()
    expect(part.locator(".kept")).to_have_text(re.compile("^Gespeichert: "))


def test_a_whole_inspection_in_german(page, inspection):
    page.context.set_offline(True)
    page.reload()
    nothing_is_cut(page)
    page.get_by_role("link", name=re.compile("^Zuerst die Temperaturen")).click()
    nothing_is_cut(page)
    box = page.get_by_label(re.compile("^Träger, Steg"))
    box.fill("19,5")
    box.press("Enter")
    expect(page.get_by_text("aus einer beschatteten Trägeroberfläche")).to_be_visible()
    expect(page.get_by_text(re.compile("19,5\u202f°C um"))).to_be_visible()
    page.get_by_role("link", name="Rundgang").click()

    page.get_by_role("link", name=re.compile("J-1")).click()
    left = "Spaltweite, links, rechtwinklig zur Fuge"
    part = page.locator("section.channel").filter(
        has=page.get_by_role("heading", name=left, exact=True)
    )
    part.get_by_role("textbox").fill("1.234")
    expect(part.get_by_text("«1.234» ist auf zwei Arten lesbar")).to_be_visible()
    expect(part.get_by_role("button", name="Speichern")).to_be_disabled()
    part.get_by_role("textbox").fill("50,")
    page.get_by_role("region", name="Tastenfeld").get_by_role(
        "button", name="5", exact=True
    ).click()
    expect(part.get_by_role("textbox")).to_have_value("50,5")
    expect(part.get_by_text(re.compile("^Innerhalb des Bandes: Erwartet 50,6"))).to_be_visible()
    enter(page, left, "50,5")
    enter(page, "Spaltweite, Mitte, rechtwinklig zur Fuge", "5,05 cm")
    enter(page, "Spaltweite, rechts, rechtwinklig zur Fuge", "50.25 mm")
    nothing_is_cut(page)
    page.get_by_label("Menge des Bauteils [m]").fill("12")
    page.get_by_label("CS1").fill("12")
    page.locator("details.conditions").get_by_role("button", name="Speichern").click()
    expect(page.get_by_text("Zustand: 1 erfasst")).to_be_visible()
    page.get_by_role("link", name="Weiter: B-1").or_(
        page.get_by_role("link", name="Zurück: B-1")
    ).click()

    enter(page, "Auslenkung längs", "−12,5")
    enter(page, "Auslenkung quer", "-0,75")
    enter(page, "Verdrehung", "0,5 mrad")
    nothing_is_cut(page)
    page.get_by_role("link", name="Rundgang").click()
    page.get_by_role("link", name="Durchsehen und unterschreiben").click()
    nothing_is_cut(page)
    page.get_by_label("Unterschrieben als").fill("Prüfungsleitung")
    page.get_by_role("button", name="Unterschreiben und einreichen").click()
    expect(page.get_by_text("Die Prüfung ist eingereicht, sobald sie gesendet ist")).to_be_visible()
    page.get_by_role("link", name=re.compile("zu senden")).click()
    nothing_is_cut(page)

    page.context.set_offline(False)
    page.get_by_role("button", name="Jetzt senden").click()
    expect(page.locator(".waiting-link")).to_have_text("Alles gesendet", timeout=30_000)

    kept = {(row.quantity, row.point): (row.value, row.typed) for row in Reading.objects.all()}
    assert kept == {
        ("gap", "left"): (50.5, "50.5 mm"),
        ("gap", "centre"): (50.5, "5.05 cm"),
        ("gap", "right"): (50.25, "50.25 mm"),
        ("offset_along", ""): (-12.5, "−12.5 mm"),
        ("offset_across", ""): (-0.75, "-0.75 mm"),
        ("rotation", ""): (0.5, "0.5 mrad"),
    }
    assert inspection.temperatures.get().typed == "19.5 degC"
    assert Condition.objects.get().cs1 == 12
    inspection.refresh_from_db()
    assert inspection.state == InspectionState.SUBMITTED
    # What is signed reads the same for whoever looks at it later.
    assert SignOff.objects.get().statement == STATEMENT
    assert Preference.objects.get().language == "de"


def test_the_way_at_the_desk_fits_its_screens_in_german(open_as, assert_usable, inspection):
    page = open_as("inspector", "/account/")
    page.get_by_role("button", name="Deutsch").click()
    expect(page.get_by_role("heading", name="Ihr Konto")).to_be_visible()
    for path in (
        "/account/",
        "/inspections/",
        "/inspections/new/",
        f"/inspections/{inspection.pk}/",
        f"/inspections/{inspection.pk}/temperatures/",
        f"/inspections/{inspection.pk}/elements/{inspection.bridge.elements.first().pk}/",
    ):
        page.goto(path)
        assert_usable(page)
