"""What the register shows whoever enters a first bridge, and where it leads from there."""

import pytest
from django.urls import reverse

from inspections.models import CapacityCheck
from inspections.services.judge import judge_bridges
from inventory.admin.fieldsets import by_device
from inventory.models import Bridge, District
from inventory.models.choices import KIND_OF_DEVICE, DeviceType
from tests.html_form import errors_of, form_values, send
from tests.make import make_bridge, make_element, make_support, make_unit

pytestmark = pytest.mark.django_db


@pytest.fixture
def engineer(as_role):
    return as_role("engineer")


def test_the_register_stands_first_and_no_table_of_codes_for_signing_in(admin_client):
    listed = [each["app_label"] for each in admin_client.get("/admin/").context["app_list"]]
    assert listed[:2] == ["inventory", "inspections"]
    assert not [name for name in listed if name.startswith("otp")]


def test_a_new_bridge_is_asked_for_what_it_is_judged_by_and_may_go_without(engineer):
    district = District.objects.create(code="N", name="North")
    url = reverse("admin:inventory_bridge_add")
    answer = engineer.get(url)
    assert "Enter it by the plus sign" in answer.content.decode()
    values = form_values(answer, "bridge_form")
    assert {
        "temperature_basis-0-method",
        "units-0-deck_type",
        "supports-1-station_m",
    } <= values.keys()
    saved = engineer.post(url, values | {"district": district.pk, "code": "N-1", "name": "Mill"})
    assert saved.status_code == 302, errors_of(saved)
    bridge = Bridge.objects.get(code="N-1")
    assert (bridge.units.count(), bridge.supports.count()) == (0, 0)
    assert not hasattr(bridge, "temperature_basis")
    page = engineer.get(saved["Location"])
    assert f'<a href="{reverse("imports")}">imports</a>' in page.content.decode()
    assert "units-0-deck_type" not in form_values(page, "bridge_form")


def test_from_a_new_element_it_leads_on_to_the_next_and_to_the_page_of_the_bridge(engineer):
    unit = make_unit(make_bridge("N-1"))
    support = make_support(unit.bridge)
    saved = send(
        engineer,
        f"{reverse('admin:inventory_element_add')}?bridge={unit.bridge_id}&kind=bearing",
        "element_form",
        **{
            "code": "B1",
            "support": support.pk,
            "unit": unit.pk,
            "station_m": 100,
            "installations-0-device_type": "pot",
            "installations-0-installed_on": "2015-06-01",
        },
    )
    page = engineer.get(saved["Location"]).content.decode()
    assert "Next: another element by the buttons at the top." in page
    assert '<a href="/bridges/N-1/">page of the bridge</a>' in page
    element = unit.bridge.elements.get()
    page = engineer.get(reverse("admin:inventory_element_change", args=[element.pk]))
    assert f'<a href="/elements/{element.pk}/">Page of the element</a>' in page.content.decode()


@pytest.mark.parametrize("device_type", DeviceType.values)
def test_what_the_checks_of_a_device_need_is_asked_for_at_that_device(device_type):
    element = make_element(make_unit(make_bridge()), device_type)
    judge_bridges([element.bridge_id])
    lacking = set(CapacityCheck.objects.values_list("lacking", flat=True)) - {""}
    asked, elsewhere = set(), set()
    for _title, options in by_device(KIND_OF_DEVICE[device_type]):
        shown = not options["classes"] or f"for-{device_type}" in options["classes"]
        for row in options["fields"]:
            (asked if shown else elsewhere).update([row] if isinstance(row, str) else row)
    needed = {name for each in lacking for name in each.replace(",", " ").split()}
    assert not needed & elsewhere, f"not shown for {device_type}"
