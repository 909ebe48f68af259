"""The register's admin pages, as an engineer fills them in."""

import datetime as dt

import pytest
from django.urls import reverse

from inspections.models import Verdict
from inventory.models import Bridge, District, Element, Installation, JointDesign, Unit
from tests.html_form import errors_of, form_values, send
from tests.make import (
    make_bridge,
    make_element,
    make_inspection,
    make_unit,
    read,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def engineer(as_role):
    return as_role("engineer")


@pytest.fixture
def unit():
    return make_unit(make_bridge())


def change_url(row) -> str:
    return reverse(f"admin:inventory_{row._meta.model_name}_change", args=[row.pk])


# Bridges


def test_a_bridge_is_entered_with_its_basis_units_and_supports_on_one_page(engineer):
    district = District.objects.create(code="N", name="North")
    url = reverse("admin:inventory_bridge_add")
    values = form_values(engineer.get(url), "bridge_form")
    values |= {"district": district.pk, "code": "N-1", "name": "Mill Lane"}
    values |= {
        "temperature_basis-TOTAL_FORMS": "1",
        "temperature_basis-0-method": "aashto_a",
        "temperature_basis-0-climate": "cold",
        "temperature_basis-0-return_period_years": "50",
        "units-TOTAL_FORMS": "1",
        "units-0-code": "U1",
        "units-0-deck_type": "steel",
        "units-0-start_station_m": "0",
        "units-0-end_station_m": "80",
        "units-0-fixed_station_m": "",
        "units-0-expansion_per_c": "11.7e-6",
        "supports-TOTAL_FORMS": "1",
        "supports-0-code": "A1",
        "supports-0-name": "",
        "supports-0-kind": "abutment",
        "supports-0-station_m": "0",
    }
    response = engineer.post(url, values)
    assert response.status_code == 302, errors_of(response)
    bridge = Bridge.objects.get(code="N-1")
    assert bridge.temperature_basis.climate == "cold"
    assert bridge.units.get().expansion_per_c == 11.7e-6
    assert bridge.supports.get().code == "A1"


def test_a_unit_cut_short_on_its_bridges_page_is_told_at_its_end(engineer, unit):
    make_element(unit, code="B1")
    response = send(engineer, change_url(unit.bridge), "bridge_form",
                    **{"units-0-end_station_m": 90})  # fmt: skip
    told = errors_of(response)["units-0-end_station_m"][0]
    assert told.startswith("Element B1 at 100 m would lie outside the unit.")
    unit.refresh_from_db()
    assert unit.end_station_m == 100.0


def test_a_wrong_time_zone_is_told_before_a_reading_stumbles_over_it(engineer, unit):
    response = send(engineer, change_url(unit.bridge), "bridge_form", time_zone="Europe/Lisbn")
    assert "is no time zone" in errors_of(response)["time_zone"][0]


def test_the_page_of_a_bridge_lists_its_elements_and_leads_to_adding_one(engineer, unit):
    joint = make_element(unit, "strip_seal", code="J1", station_m=0.0)
    page = engineer.get(change_url(unit.bridge)).content.decode()
    assert change_url(joint) in page
    assert "<td>Strip seal joint</td><td>0.0</td>" in page
    for kind in ("bearing", "joint", "restraint"):
        assert f"?bridge={unit.bridge_id}&amp;kind={kind}" in page


# Changes


def test_a_place_keeps_its_bridge_and_kind(engineer, unit):
    bearing = make_element(unit)
    values = form_values(engineer.get(change_url(bearing)), "element_form")
    elsewhere = make_bridge()
    sent = values | {"bridge": elsewhere.pk, "kind": "joint", "line": "G2"}
    assert engineer.post(change_url(bearing), sent).status_code == 302
    bearing.refresh_from_db()
    assert (bearing.bridge, bearing.kind, bearing.line) == (unit.bridge, "bearing", "G2")


def test_a_current_device_cannot_be_ended_on_its_own_page(engineer, unit):
    device = make_element(unit).current_installation
    values = form_values(engineer.get(change_url(device)), "installation_form")
    assert "removed_on" not in values
    sent = values | {"removed_on": "2020-01-01", "end_reason": "replaced", "lot": "L-9"}
    assert engineer.post(change_url(device), sent).status_code == 302
    device.refresh_from_db()
    assert (device.removed_on, device.lot) == (None, "L-9")


def test_capacities_are_added_to_a_device_that_had_none(engineer, unit):
    device = make_element(unit, "strip_seal").current_installation
    response = send(engineer, change_url(device), "installation_form",
                    **{"joint_design-0-opening_max_mm": 90})  # fmt: skip
    assert response.status_code == 302, errors_of(response)
    assert JointDesign.objects.get(installation=device).opening_max_mm == 90.0


@pytest.fixture
def wide_joint(unit):
    """A joint whose gap of 95 mm is within its capacity of 200 mm."""
    joint = make_element(
        unit,
        "strip_seal",
        installation={
            "setting_source": "measured",
            "setting_temperature_c": 20.0,
            "setting_gap_mm": 95.0,
        },
        design={"opening_min_mm": 5.0, "opening_max_mm": 200.0},
    )
    read(make_inspection(unit.bridge), joint, "gap", 95.0, 20.0, point="left", axis="square")
    assert verdict_of(joint) == "In range"
    return joint


def verdict_of(element: Element) -> str:
    return Verdict.objects.get(element=element).get_verdict_display()


def test_a_smaller_capacity_is_judged_by_at_once(engineer, wide_joint):
    design = wide_joint.current_installation.joint_design
    send(engineer, change_url(design), "jointdesign_form", opening_max_mm=90)
    assert verdict_of(wide_joint) == "Out of range"


def test_another_setting_is_judged_by_at_once(engineer, wide_joint):
    device = wide_joint.current_installation
    send(engineer, change_url(device), "installation_form", setting_gap_mm=40)
    assert verdict_of(wide_joint) == "Out of range"


def test_another_fixed_point_is_judged_by_at_once(engineer, wide_joint):
    unit = Unit.objects.get(pk=wide_joint.unit_id)
    before = Verdict.objects.get(element=wide_joint).carried_to_min
    send(engineer, change_url(unit), "unit_form", fixed_station_m=50)
    after = Verdict.objects.get(element=wide_joint).carried_to_min
    # Half the expansion length: half the movement from the gap as read.
    assert after - 95.0 == pytest.approx((before - 95.0) / 2)


def test_a_bridge_saved_with_its_units_is_judged_once_all_are_saved(engineer, wide_joint):
    before = Verdict.objects.get(element=wide_joint).carried_to_min
    send(engineer, change_url(wide_joint.bridge), "bridge_form",
         **{"units-0-fixed_station_m": 50})  # fmt: skip
    after = Verdict.objects.get(element=wide_joint).carried_to_min
    assert after - 95.0 == pytest.approx((before - 95.0) / 2)


def test_an_ended_device_can_be_corrected_but_stays_ended(engineer, unit):
    bearing = make_element(unit)
    earlier = Installation.objects.create(
        element=bearing,
        device_type="rocker",
        installed_on=dt.date(1990, 1, 1),
        removed_on=dt.date(2009, 1, 1),
        end_reason="replaced",
    )
    url = change_url(earlier)
    refused = send(engineer, url, "installation_form", removed_on="")
    assert errors_of(refused)["removed_on"] == ["This field is required."]
    overlapping = send(engineer, url, "installation_form", removed_on="2011-01-01")
    assert "stands at this place" in errors_of(overlapping)["installed_on"][0]
    assert send(engineer, url, "installation_form", removed_on="2010-01-01").status_code == 302
    earlier.refresh_from_db()
    assert earlier.removed_on == dt.date(2010, 1, 1)
