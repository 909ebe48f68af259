"""The register stands in the frame of all other pages, and can be used on a tablet."""

import pytest
from django.urls import reverse

from tests.make import make_bridge, make_element, make_unit

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def joint(transactional_db):
    return make_element(make_unit(make_bridge("QZ-1")), "strip_seal")


def pages(joint) -> list[str]:
    change = reverse("admin:inventory_element_change", args=[joint.pk])
    return [
        reverse("admin:index"),
        reverse("admin:inventory_element_changelist"),
        reverse("admin:inventory_bridge_changelist"),
        change,
        reverse("admin:inventory_element_history", args=[joint.pk]),
        reverse("admin:inventory_bridge_add"),
        reverse("admin:inventory_unit_changelist"),
    ]


def test_its_pages_pass_axe_and_stay_within_the_screen(open_as, joint, assert_usable):
    for path in pages(joint):
        # axe tries styles of its own on forms with lists that are searched while one types
        page = open_as("engineer", path, bypass_csp=True)
        page.wait_for_load_state("networkidle")
        assert_usable(page)
        assert page.locator(".site-nav [aria-current]").inner_text() == "Register"


def test_a_field_is_as_high_as_a_finger_is_wide(open_as, joint):
    page = open_as("engineer", reverse("admin:inventory_element_change", args=[joint.pk]))
    fields = page.locator("main input:visible:not([type=hidden]), main select:visible")
    assert fields.count() > 5
    heights = [field.bounding_box()["height"] for field in fields.all()]
    boxes = ("checkbox", "radio")
    tall = [
        field.bounding_box()["height"]
        for field in fields.all()
        if field.get_attribute("type") not in boxes
    ]
    assert min(heights) >= 24
    assert min(tall) >= 44


def test_the_calendar_of_a_day_opens_within_the_screen(open_as, joint):
    page = open_as("engineer", reverse("admin:inventory_element_replace", args=[joint.pk]))
    page.locator(".datetimeshortcuts a").last.click()
    box = page.locator(".calendarbox:visible").bounding_box()
    assert box["x"] >= 0
    assert box["x"] + box["width"] <= page.viewport_size["width"]
