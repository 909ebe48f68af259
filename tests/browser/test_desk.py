"""The engineer's pages in a browser: accessible, within the screen, usable by touch and key."""

import datetime as dt

import pytest
from playwright.sync_api import expect

from inspections.services.visits import submit
from inventory.models import Bridge
from tests.browser.conftest import NOBODY, PHONE
from tests.make import make_bridge, make_element, make_inspection, make_unit, read

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

LARGE_ENOUGH_PX = 44
CONTROLS = "button, select, input:not([type=hidden]), nav a, th a, a.target, a.button, .brand"


@pytest.fixture
def bridge() -> Bridge:
    """A bridge with an element of each verdict, read on two visits."""
    bridge = make_bridge("HV-104", carries="Route 9", time_zone="Europe/Lisbon")
    unit = make_unit(bridge, fixed_station_m=0.0)
    joints = {
        code: make_element(
            unit,
            "strip_seal",
            code,
            place={"name": "East abutment joint", "skew_deg": 20.0},
            installation={
                "setting_source": "measured",
                "setting_temperature_c": 15.0,
                "setting_gap_mm": 70.0,
                "maker": "Maker M",
            },
            design={"opening_min_mm": 10.0, "opening_max_mm": 150.0},
        )
        for code in ("J-OUT", "J-WATCH", "J-FINE")
    }
    make_element(unit, "pot", "P-NEVER", design={"movement_back_mm": 45.0, "rotation_mrad": 12.0})
    for year in (2023, 2024):
        visit = make_inspection(bridge, dt.date(year, 6, 1))
        for code, gap_mm in (("J-OUT", 40.0), ("J-WATCH", 61.5), ("J-FINE", 70.0)):
            for point in ("left", "right"):
                read(visit, joints[code], "gap", gap_mm, 15.0, point=point, axis="square")
        submit(inspection=visit)
    return bridge


def path_of(bridge: Bridge, code: str) -> str:
    return f"/elements/{bridge.elements.get(code=code).pk}/"


def test_every_page_passes_axe_and_stays_within_the_screen(open_as, assert_usable, bridge):
    make_bridge("STOCK-1", basis={})
    for path in (
        "/",
        "/elements/?verdict=all&sort=-use&q=J",
        "/elements/?q=nothing-like-it",
        "/bridges/",
        "/bridges/HV-104/",
        "/bridges/STOCK-1/",
        path_of(bridge, "J-OUT"),
        path_of(bridge, "P-NEVER"),
    ):
        assert_usable(open_as("engineer", path))


def test_the_empty_site_passes_too(open_as, assert_usable, transactional_db):
    assert_usable(open_as("engineer", "/"))
    assert_usable(open_as("inspector", "/bridges/"))
    assert_usable(open_as(NOBODY, "/sign-in/"))


def test_a_refusal_and_a_page_that_is_not_there_pass_too(open_as, assert_usable, transactional_db):
    assert_usable(open_as(None, "/", status=403))
    assert_usable(open_as("manager", "/bridges/NONE/", status=404))


@pytest.mark.parametrize("screen", ["tablet"], indirect=True)
def test_on_a_phone_nothing_scrolls_sideways_but_wide_tables(open_as, assert_usable, bridge):
    for path in ("/", "/bridges/", "/bridges/HV-104/", path_of(bridge, "J-OUT")):
        assert_usable(open_as("inspector", path, on=PHONE))


def test_everything_to_press_is_large_enough_for_a_gloved_finger(open_as, bridge):
    for path in (
        "/elements/?verdict=all",
        "/bridges/",
        "/bridges/HV-104/",
        path_of(bridge, "J-OUT"),
    ):
        page = open_as("engineer", path)
        heights = {
            control.inner_text() or control.get_attribute("name"): control.bounding_box()["height"]
            for control in page.locator(CONTROLS).all()
            if control.is_visible()
        }
        assert len(heights) > 5
        small = {name: height for name, height in heights.items() if height < LARGE_ENOUGH_PX}
        assert small == {}


def test_the_way_from_the_list_to_an_element_and_its_bridge(open_as, bridge):
    page = open_as("manager", "/elements/")
    page.get_by_role("link", name="J-OUT").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("J-OUT")
    expect(page.get_by_role("region", name="Verdict")).to_contain_text("narrower than")
    expect(page.get_by_role("img", name="Joint gap, left, square against")).to_be_visible()
    page.get_by_role("link", name="HV-104 Test bridge").click()
    expect(page.get_by_role("img", name="Elevation strip of HV-104")).to_be_visible()


def test_units_are_switched_on_the_page_where_one_stands(open_as, bridge):
    page = open_as("manager", path_of(bridge, "J-OUT"))
    verdict = page.get_by_role("region", name="Verdict")
    expect(verdict).to_contain_text("40.0\u202fmm")
    page.get_by_role("button", name="US units").click()
    expect(verdict).to_contain_text("1.57\u202fin")
    expect(page.get_by_role("button", name="US units")).to_have_attribute("aria-pressed", "true")


def test_the_list_is_sorted_and_narrowed_without_any_script(open_as, bridge):
    page = open_as("engineer", "/elements/", java_script_enabled=False)
    page.get_by_role("link", name="All 4").click()
    page.get_by_role("columnheader", name="Element and reason").get_by_role("link").click()
    codes = page.locator("tbody th .target")
    expect(codes).to_have_text(["J-FINE", "J-OUT", "J-WATCH", "P-NEVER"])
    page.get_by_label("Kind").select_option(label="Bearing")
    page.get_by_role("button", name="Apply").click()
    expect(codes).to_have_text(["P-NEVER"])
    page.get_by_role("link", name="Clear").click()
    expect(codes).to_have_text(["J-OUT", "J-WATCH"])


def test_the_first_key_press_offers_to_skip_the_navigation(open_as, bridge):
    page = open_as("engineer", "/")
    page.keyboard.press("Tab")
    expect(page.get_by_role("link", name="Skip to the content")).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.get_by_role("main")).to_be_focused()


def test_a_printed_element_leaves_out_the_navigation_and_keeps_the_caution(open_as, bridge):
    page = open_as("engineer", path_of(bridge, "J-OUT"))
    page.emulate_media(media="print")
    expect(page.get_by_role("navigation", name="Main")).to_be_hidden()
    expect(page.get_by_role("button", name="US units")).to_be_hidden()
    expect(page.get_by_text("Results support an engineer's decision")).to_be_visible()
    expect(page.get_by_role("heading", name="Readings", exact=True)).to_be_visible()
