"""A new element in the admin site: the place and its device on one page."""

import pytest
from django.urls import reverse

from inspections.models import ElementStatus
from inventory.models import Bridge, Element, JointDesign
from tests.html_form import choices, errors_of, form_values, send
from tests.make import make_bridge, make_support, make_unit

pytestmark = pytest.mark.django_db


@pytest.fixture
def engineer(as_role):
    return as_role("engineer")


@pytest.fixture
def unit():
    return make_unit(make_bridge())


def add_element_url(bridge: Bridge, kind: str) -> str:
    return f"{reverse('admin:inventory_element_add')}?bridge={bridge.pk}&kind={kind}"


def test_adding_an_element_asks_for_bridge_and_kind_first(engineer, unit):
    add = reverse("admin:inventory_element_add")
    asked = engineer.get(add).content.decode()
    assert 'name="bridge"' in asked
    assert asked.count('type="radio" name="kind"') == 3
    assert "device_type" not in asked
    incomplete = engineer.get(f"{add}?bridge=&kind=joint")
    assert incomplete.context["form"].errors["bridge"] == ["This field is required."]
    assert "device_type" in engineer.get(add_element_url(unit.bridge, "joint")).content.decode()


def test_a_new_joint_comes_with_its_device_setting_and_capacities(engineer, unit):
    support = make_support(unit.bridge)
    response = send(
        engineer,
        add_element_url(unit.bridge, "joint"),
        "element_form",
        **{
            "code": "J1",
            "support": support.pk,
            "unit": unit.pk,
            "station_m": 100,
            "skew_deg": 12,
            "installations-0-device_type": "strip_seal",
            "installations-0-installed_on": "2015-06-01",
            "installations-0-maker": "Maker A",
            "installations-0-setting_source": "measured",
            "installations-0-setting_temperature_c": 18,
            "installations-0-setting_gap_mm": 55,
            "installations-0-opening_min_mm": 10,
            "installations-0-opening_max_mm": 90,
        },
    )
    assert response.status_code == 302, errors_of(response)
    joint = Element.objects.get(code="J1")
    device = joint.current_installation
    assert (joint.kind, joint.bridge, joint.skew_deg) == ("joint", unit.bridge, 12.0)
    assert (device.element, device.setting_gap_mm) == (joint, 55.0)
    assert (device.joint_design.opening_min_mm, device.joint_design.opening_max_mm) == (10, 90)
    assert joint.history.get().history_user.username.startswith("engineer")
    assert device.history.get().history_user.username.startswith("engineer")
    assert ElementStatus.objects.filter(element=joint).exists()


def test_a_new_element_whose_capacities_are_not_known_has_none(engineer, unit):
    send(engineer, add_element_url(unit.bridge, "joint"), "element_form", **{
        "code": "J1", "support": make_support(unit.bridge).pk, "unit": unit.pk, "station_m": 100,
        "installations-0-device_type": "open", "installations-0-installed_on": "2015-06-01",
    })  # fmt: skip
    assert Element.objects.get(code="J1").current_installation.device_type == "open"
    assert not JointDesign.objects.exists()


def test_a_new_element_without_a_device_is_refused_and_nothing_typed_is_lost(engineer, unit):
    response = send(engineer, add_element_url(unit.bridge, "bearing"), "element_form", **{
        "code": "B1", "support": make_support(unit.bridge).pk, "unit": unit.pk, "station_m": 100,
        "installations-0-maker": "Maker A", "installations-0-rotation_mrad": 15,
    })  # fmt: skip
    told = errors_of(response)
    assert told["installations-0-device_type"] == ["This field is required."]
    assert told["installations-0-installed_on"] == ["This field is required."]
    again = form_values(response, "element_form")
    assert again["code"] == "B1"
    assert again["installations-0-maker"] == "Maker A"
    assert again["installations-0-rotation_mrad"] == "15"
    assert not Element.objects.exists()


def test_leaving_the_device_out_of_what_is_sent_is_refused_as_well(engineer, unit):
    url = add_element_url(unit.bridge, "bearing")
    values = {
        name: value
        for name, value in form_values(engineer.get(url), "element_form").items()
        if not name.startswith("installations-0")
    }
    values |= {"code": "B1", "support": make_support(unit.bridge).pk, "unit": unit.pk,
               "station_m": 100, "installations-TOTAL_FORMS": 0}  # fmt: skip
    assert engineer.post(url, values).status_code == 200
    assert not Element.objects.exists()


@pytest.mark.parametrize(
    ("field", "value", "message"),
    [
        ("station_m", "100.5", "outside unit U1"),
        ("unit", "", "Give the unit whose movement it sees"),
        ("installations-0-rotation_mrad", "900", "above 200 mrad"),
        ("installations-0-vertical_service_min_kn", "800", "is not below 500"),
        ("installations-0-setting_source", "drawings", "needs its temperature"),
    ],
)
def test_wrong_input_of_a_new_element_is_told_at_its_field(engineer, unit, field, value, message):
    filled = {
        "code": "B1",
        "support": make_support(unit.bridge).pk,
        "unit": unit.pk,
        "station_m": 100,
        "installations-0-device_type": "pot",
        "installations-0-installed_on": "2015-06-01",
        "installations-0-vertical_service_max_kn": 500,
    }
    response = send(engineer, add_element_url(unit.bridge, "bearing"), "element_form",
                    **filled | {field: value})  # fmt: skip
    at = field.replace("setting_source", "setting_temperature_c")
    assert message in errors_of(response)[at][0]
    assert not Element.objects.exists()


def test_the_form_offers_what_belongs_to_its_bridge_and_kind(engineer, unit):
    other = make_unit(make_bridge(), "U8")
    page = engineer.get(add_element_url(unit.bridge, "restraint"))
    units = choices(page, "element_form", "unit")
    assert str(unit.pk) in units
    assert str(other.pk) not in units
    devices = choices(page, "element_form", "installations-0-device_type")
    assert set(devices) == {
        "", "shear_key", "hold_down", "anchor_rods", "clamp", "lock_up", "restrainer_cable"
    }  # fmt: skip
    assert str(other.pk) not in choices(page, "element_form", "unit_ahead")
    bearing = engineer.get(add_element_url(unit.bridge, "bearing"))
    assert "unit_ahead" not in form_values(bearing, "element_form")


def test_a_cable_across_a_hinge_names_both_units_and_is_told_where_its_slack_stands(engineer, unit):
    ahead = make_unit(unit.bridge, "U2", start_station_m=100.0, end_station_m=160.0,
                      fixed_station_m=160.0)  # fmt: skip
    url = add_element_url(unit.bridge, "restraint")
    assert "Where it ties two units" in engineer.get(url).content.decode()
    filled = {
        "code": "C1", "support": make_support(unit.bridge).pk, "unit": unit.pk,
        "unit_ahead": ahead.pk, "station_m": 100,
        "installations-0-device_type": "restrainer_cable",
        "installations-0-installed_on": "2015-06-01",
        "installations-0-setting_source": "measured",
        "installations-0-setting_temperature_c": 10,
        "installations-0-gap_back_mm": 40, "installations-0-gap_ahead_mm": 25,
    }  # fmt: skip
    response = send(engineer, url, "element_form", **filled | {"unit_ahead": unit.pk})
    assert "The same unit stands on both sides" in errors_of(response)["unit_ahead"][0]
    response = send(engineer, url, "element_form", **filled)
    told = engineer.get(response["Location"]).content.decode()
    assert told.count("its slack stands on the decreasing side") == 1
    cable = Element.objects.get(code="C1")
    assert (cable.unit, cable.unit_ahead) == (unit, ahead)
    page = engineer.get(reverse("admin:inventory_element_change", args=[cable.pk]))
    assert form_values(page, "element_form")["unit_ahead"] == str(ahead.pk)
