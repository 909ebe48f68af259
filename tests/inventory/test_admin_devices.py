"""Replacing and resetting a device from the page of its place."""

import datetime as dt

import pytest
from django.urls import reverse

from inventory.models import Element
from tests.html_form import form_values
from tests.make import make_bridge, make_element, make_unit, make_user

pytestmark = pytest.mark.django_db


@pytest.fixture
def bearing() -> Element:
    return make_element(
        make_unit(make_bridge()),
        installation={"maker": "Maker A", "lot": "L-7"},
        design={"rotation_mrad": 20.0, "movement_ahead_mm": 70.0},
    )


def page(element: Element, way: str) -> str:
    return reverse(f"admin:inventory_element_{way}", args=[element.pk])


def send(client, element: Element, way: str, **changes):
    values = form_values(client.get(page(element, way)), "device_form")
    assert changes.keys() <= values.keys()
    return client.post(page(element, way), values | changes)


NEW = {
    "ended_on": "2020-05-04",
    "device_type": "disc",
    "installed_on": "2020-05-06",
    "maker": "Maker B",
    "setting_source": "measured",
    "setting_temperature_c": "14.5",
    "setting_offset_along_mm": "-2",
    "rotation_mrad": "15",
}


def test_a_device_is_replaced_from_the_page_of_its_place(as_role, bearing):
    client = as_role("engineer")
    place = reverse("admin:inventory_element_change", args=[bearing.pk])
    assert page(bearing, "replace") in client.get(place).content.decode()
    response = send(client, bearing, "replace", **NEW)
    assert response.url == place
    old, new = bearing.installations.order_by("installed_on")
    bearing.refresh_from_db()
    assert (old.removed_on, old.end_reason) == (dt.date(2020, 5, 4), "replaced")
    assert bearing.current_installation == new
    assert (new.device_type, new.maker, new.setting_offset_along_mm) == ("disc", "Maker B", -2.0)
    assert new.bearing_design.rotation_mrad == 15.0
    assert new.bearing_design.movement_ahead_mm is None
    assert new.history.get().history_user.username.startswith("engineer")


def test_the_page_of_a_place_lists_its_devices_the_newest_first(as_role, bearing):
    client = as_role("engineer")
    send(client, bearing, "replace", **NEW)
    response = client.get(reverse("admin:inventory_element_change", args=[bearing.pk]))
    text = response.content.decode()
    listed = text[text.index("the newest first") :]
    assert listed.index("Maker B") < listed.index("Maker A")
    assert listed.index("<td>Current</td>") < listed.index("<td>Ended</td>")
    for device in bearing.installations.all():
        assert reverse("admin:inventory_installation_change", args=[device.pk]) in listed


def test_a_position_is_reset_and_the_device_stays(as_role, bearing):
    response = send(
        as_role("engineer"),
        bearing,
        "reset",
        reset_on="2020-05-04",
        setting_source="measured",
        setting_temperature_c="9",
        setting_offset_along_mm="0",
    )
    assert response.status_code == 302
    old, new = bearing.installations.order_by("installed_on")
    assert old.end_reason == "reset"
    assert (new.device_type, new.maker, new.lot) == ("pot", "Maker A", "L-7")
    assert new.setting_temperature_c == 9.0
    assert new.bearing_design.movement_ahead_mm == 70.0


def test_a_reset_shear_key_is_asked_for_its_gaps_as_they_are_set_now(as_role):
    key = make_element(
        make_unit(make_bridge()), "shear_key", design={"gap_back_mm": 20.0, "horizontal_kn": 900.0}
    )
    client = as_role("engineer")
    assert form_values(client.get(page(key, "reset")), "device_form")["gap_back_mm"] == "20.0"
    send(client, key, "reset", reset_on="2020-05-04", gap_back_mm="31", gap_ahead_mm="29")
    key.refresh_from_db()
    design = key.current_installation.restraint_design
    assert (design.gap_back_mm, design.gap_ahead_mm, design.horizontal_kn) == (31.0, 29.0, 900.0)


@pytest.mark.parametrize(
    ("wrong", "field", "message"),
    [
        ({"installed_on": "2020-05-03"}, "installed_on", "is before 2020-05-04"),
        ({"ended_on": "2009-01-01"}, "ended_on", "is not after 2010-01-01"),
        ({"ended_on": "last May"}, "ended_on", "Enter a valid date"),
        ({"device_type": ""}, "device_type", "required"),
        ({"device_type": "strip_seal"}, "device_type", "not one of the available choices"),
        ({"rotation_mrad": "900"}, "rotation_mrad", "above 200 mrad"),
        ({"rotation_mrad": "nan"}, "rotation_mrad", "is not a value. Write 4 mrad"),
        ({"setting_temperature_c": ""}, "setting_temperature_c", "needs its temperature"),
        ({"plan_diameter_mm": "300", "plan_width_mm": "300"}, "plan_diameter_mm", "not both"),
    ],
)
def test_wrong_input_is_told_at_its_field_and_nothing_typed_is_lost(
    as_role, bearing, wrong, field, message
):
    response = send(as_role("engineer"), bearing, "replace", **NEW | wrong)
    assert response.status_code == 200
    assert message in response.context["form"].errors[field][0]
    kept = form_values(response, "device_form")
    sent = {name: value for name, value in (NEW | wrong).items() if name != "device_type"}
    assert {name: kept[name] for name in sent} == sent
    assert bearing.installations.get().removed_on is None


@pytest.mark.parametrize(
    ("wrong", "field", "message"),
    [
        ({"reset_on": ""}, "reset_on", "required"),
        ({"reset_on": "2010-01-01"}, "reset_on", "is not after 2010-01-01"),
        ({"setting_source": "measured"}, "setting_temperature_c", "needs its temperature"),
        ({"setting_tilt_deg": "70"}, "setting_tilt_deg", "above 45 deg"),
    ],
)
def test_a_wrong_reset_is_told_at_its_field(as_role, bearing, wrong, field, message):
    response = send(as_role("engineer"), bearing, "reset", **{"reset_on": "2020-05-04"} | wrong)
    assert message in response.context["form"].errors[field][0]
    assert bearing.installations.get().removed_on is None


@pytest.mark.parametrize("way", ["replace", "reset"])
@pytest.mark.parametrize("role", ["inspector", "manager", None])
def test_nobody_but_an_engineer_may_replace_or_reset(as_role, bearing, role, way):
    client = as_role(role)
    assert client.get(page(bearing, way)).status_code == 403
    assert client.post(page(bearing, way), NEW | {"reset_on": "2020-05-04"}).status_code == 403
    assert bearing.installations.get().removed_on is None


@pytest.mark.parametrize("way", ["replace", "reset"])
def test_staff_without_the_role_may_not_replace_or_reset(client, bearing, way):
    user = make_user()
    user.is_staff = True
    user.save()
    client.force_login(user)
    assert client.get(page(bearing, way)).status_code == 403


@pytest.mark.parametrize("way", ["replace", "reset"])
def test_who_is_not_signed_in_is_asked_to(client, bearing, way):
    response = client.get(page(bearing, way))
    assert response.status_code == 302
    assert response.url.endswith(f"?next={page(bearing, way)}")


def test_a_place_that_does_not_exist_is_not_found(as_role):
    url = reverse("admin:inventory_element_replace", args=[987654])
    assert as_role("engineer").get(url).status_code == 404
