"""What is asked of a device, and what stood there before, as the page of an element shows it."""

import datetime as dt

import pytest

from inventory.models import Installation
from inventory.models.choices import EndReason
from inventory.services.installations import replace_installation
from tests.make import make_bridge, make_element, make_unit

pytestmark = pytest.mark.django_db


@pytest.fixture
def joint():
    """A strip seal at the end of 300 ft of steel in a cold climate, set at 60 degF."""
    unit = make_unit(
        make_bridge(basis={"method": "aashto_a", "climate": "cold"}),
        deck_type="steel", expansion_per_c=11.7e-6, end_station_m=91.44,
    )  # fmt: skip
    return make_element(
        unit, "strip_seal", station_m=91.44,
        installation={"setting_gap_mm": 60.0, "setting_source": "measured",
                      "setting_temperature_c": 15.5555555556},
        design={"opening_min_mm": 10.0, "opening_max_mm": 130.0},
    )  # fmt: skip


def test_the_movement_that_is_asked_of_a_device_is_given_in_either_system(as_role, joint):
    # AASHTO LRFD 3.12.2.1 cold climate (from memory), 300 ft of steel: 150 F give 3.510 in, with
    # the factor 1.20 4.212 in; set at 60 F, so the extremes are -30 F and 120 F.
    address = f"/api/v1/elements/{joint.pk}/design-demands/"
    told = as_role("engineer").get(address, {"units": "us"}).json()
    assert [row["unit"] for row in told] == ["in", "in"]
    assert sum(row["movement"] for row in told) == pytest.approx(3.510, abs=0.002)
    assert sum(row["demand"] for row in told) == pytest.approx(4.212, abs=0.002)
    assert [(row["extreme"], row["extreme_unit"]) for row in told] == [
        (pytest.approx(-30.0), "°F"),
        (pytest.approx(120.0), "°F"),
    ]
    metric = as_role("manager").get(address).json()
    assert [row["available"] for row in metric] == [70.0, 50.0]
    assert {row["unit"] for row in metric} == {"mm"}


def test_devices_that_stood_there_before_are_given_newest_first(as_role, joint):
    first = joint.current_installation
    replace_installation(
        element=joint,
        ended_on=dt.date(2021, 5, 4),
        end_reason=EndReason.REPLACED,
        installation=Installation(device_type="strip_seal", installed_on=dt.date(2021, 5, 4)),
        design={"opening_min_mm": 10.0, "opening_max_mm": 80.0},
    )
    told = as_role("engineer").get(f"/api/v1/elements/{joint.pk}/earlier-devices/").json()
    assert [(row["id"], row["removed_on"], row["verdict_count"]) for row in told] == [
        (f"{first.pk}", "2021-05-04", 0)
    ]
    assert told[0]["joint_design"]["opening_max_mm"] == 130.0
