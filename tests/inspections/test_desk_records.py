"""The pages of one bridge and one element: every number with its source."""

import datetime as dt
import re

import pytest

from inspections.services.readings import NewReading, NewTemperature, correct_reading, record
from inventory.models import Installation
from inventory.services.installations import replace_installation
from tests.inspections.desk_rows import JOINT, LEFT, one_of_each, words
from tests.make import UTC, make_bridge, make_element, make_inspection, make_unit, make_user, read

pytestmark = pytest.mark.django_db


@pytest.fixture
def unit():
    return make_unit(make_bridge("B-1"))


@pytest.fixture
def each_verdict():
    return one_of_each()


def test_a_bridge_shows_its_design_extremes_with_their_source(as_role, unit):
    # AASHTO LRFD Table 3.12.2.1-1, steel, cold climate: -30 to 120 degF (from memory)
    client = as_role("engineer")
    page = words(client.get("/bridges/B-1/"))
    assert "Effective temperature from −34.4 °C to 48.9 °C" in page
    assert "AASHTO LRFD" in page
    client.post("/preferences/units/", {"units": "us"})
    assert "from −30.0 °F to 120.0 °F" in words(client.get("/bridges/B-1/"))


def test_a_basis_outside_its_standard_is_told_and_the_page_stands(as_role):
    bridge = make_bridge(
        "B-9",
        {
            "method": "en_1991_1_5",
            "shade_air_min_c": -60.0,
            "shade_air_max_c": 35.0,
        },
    )
    make_unit(bridge, deck_type="concrete")
    response = as_role("engineer").get("/bridges/B-9/")
    assert 'class="notice error"' in response.content.decode()
    assert re.search(r"Unit U1 .*Shade air minimum at sea level, 50 years: .*-60", words(response))


def test_a_basis_on_a_station_tells_on_the_page_how_many_years_are_missing(as_role):
    bridge = make_bridge("B-9", {"method": "station"}, air_station="VALE")
    make_unit(bridge)
    page = words(as_role("engineer").get("/bridges/B-9/"))
    assert "Air temperature station: VALE has not enough years of extremes: 0 of 10" in page


def test_values_read_off_a_map_are_shown_with_their_source(as_role):
    make_unit(
        make_bridge(
            "B-9",
            {"method": "aashto_b", "map_min_c": -30.0, "map_max_c": 45.0, "source": "Map 3, 2019"},
        )
    )
    page = words(as_role("engineer").get("/bridges/B-9/"))
    assert "Lowest, read off the map of procedure B" in page
    assert "Effective temperature from −30.0 °C to 45.0 °C" in page
    assert "-22 and 113 degF; read off: Map 3, 2019" in page


def test_a_bridge_without_a_basis_says_what_is_missing(as_role):
    make_unit(make_bridge("B-9", basis={}))
    assert "No design temperature basis is on record" in words(
        as_role("inspector").get("/bridges/B-9/")
    )


def test_a_bridge_shows_its_elements_under_their_supports_with_verdict_and_reason(
    as_role, each_verdict
):
    response = as_role("manager").get("/bridges/B-1/")
    page = words(response)
    assert re.search(
        r"Pier S100 at station 100.00 m .*Out of range J-OUT .*Far from expected", page
    )
    assert "Cannot judge P-NEVER Pot bearing Never measured" in page
    assert 'class="drawing"' in response.content.decode()
    assert re.search(r"2024-06-01 Routine Handed in two inspectors Overcast 3 3", page)


def test_a_stock_bridge_without_elements_has_a_page_that_says_what_to_enter(as_role):
    make_bridge("B-9")
    page = words(as_role("engineer").get("/bridges/B-9/"))
    assert "No element is on record" in page
    assert "No inspection is on record" in page


def test_an_element_shows_only_the_capacities_that_are_filled(as_role, unit):
    element = make_element(
        unit,
        "pot",
        design={"movement_back_mm": 254.0, "vertical_service_max_kn": 1000.0, "interior_layers": 4},
    )
    client = as_role("engineer")
    response = client.get(f"/elements/{element.pk}/")
    page = words(response)
    assert "Movement towards decreasing station" in page
    assert "254.0 mm" in page
    assert "1000 kN" in page
    assert "Interior layers 4" in page
    assert "Rotation, either way" not in {fact.label for fact in response.context["capacities"]}
    client.post("/preferences/units/", {"units": "us"})
    page = words(client.get(f"/elements/{element.pk}/"))
    assert "10.00 in" in page
    # 1 kip = 4.4482216 kN (NIST SP 811, appendix B.8)
    assert "224.8 kip" in page


def test_a_reading_stands_as_typed_beside_its_value_with_every_number(as_role, unit):
    joint = make_element(unit, "strip_seal", **JOINT)
    visit = make_inspection(unit.bridge)
    at = dt.datetime(2024, 6, 1, 8, tzinfo=UTC)
    record(
        inspection=visit,
        readings=[NewReading(joint, "gap", 55.5625, "2 3/16 in", at, **LEFT)],
        temperatures=[NewTemperature("girder_web", 15.0, "59 F", at)],
    )
    client = as_role("engineer")
    page = words(client.get(f"/elements/{joint.pk}/"))
    assert "55.6 mm “2 3/16 in”" in page
    assert "−14.4 mm" in page
    assert "15.0 °C" in page
    assert "One shaded girder surface" in page
    client.post("/preferences/units/", {"units": "us"})
    page = words(client.get(f"/elements/{joint.pk}/"))
    assert "2.19 in “2 3/16 in”" in page
    assert "59.0 °F" in page


def test_readings_stand_newest_first_with_a_chart_for_each_point(as_role, unit):
    joint = make_element(unit, "strip_seal", "J1", **JOINT)
    for year in (2022, 2024, 2023):
        visit = make_inspection(unit.bridge, dt.date(year, 6, 1))
        read(visit, joint, "gap", 50.0, 15.0, **LEFT)
        read(visit, joint, "gap", 51.0, point="right", axis="square")
    response = as_role("engineer").get(f"/elements/{joint.pk}/")
    when = [row.verdict.taken_at.year for row in response.context["judged"]]
    assert when == [2024, 2024, 2023, 2023, 2022, 2022]
    points = [row.verdict.point for row in response.context["judged"]]
    assert points[:2] == ["left", "right"]
    assert response.content.decode().count("against effective temperature</title>") == 2


def test_repeats_of_a_point_stand_together_with_their_mean(as_role, unit):
    joint = make_element(unit, "strip_seal", **JOINT)
    visit = make_inspection(unit.bridge)
    read(visit, joint, "gap", 50.0, 15.0, **LEFT)
    read(visit, joint, "gap", 52.0, repeat=2, **LEFT)
    page = words(as_role("engineer").get(f"/elements/{joint.pk}/"))
    assert "51.0 mm mean of “50.0”; “52.0”" in page


def test_a_correction_names_what_it_corrects_and_why(as_role, unit):
    joint = make_element(unit, "strip_seal", **JOINT)
    visit = make_inspection(unit.bridge)
    read(visit, joint, "gap", 500.0, 15.0, **LEFT)
    correct_reading(
        reading=visit.readings.get(),
        value=50.0,
        typed="50 mm",
        reason="a nought too many",
        user=make_user("engineer"),
    )
    page = words(as_role("engineer").get(f"/elements/{joint.pk}/"))
    assert "50.0 mm “50 mm” corrects “500.0”: a nought too many" in page


def test_readings_of_an_earlier_device_stay_and_are_marked(as_role, unit):
    joint = make_element(unit, "strip_seal", **JOINT)
    read(make_inspection(unit.bridge), joint, "gap", 20.0, 15.0, **LEFT)
    replace_installation(
        element=joint,
        ended_on=dt.date(2024, 9, 1),
        end_reason="replaced",
        installation=Installation(device_type="modular", installed_on=dt.date(2024, 9, 1)),
    )
    response = as_role("engineer").get(f"/elements/{joint.pk}/")
    page = words(response)
    assert "has not been measured since the present device was installed" in page
    assert "earlier device" in page
    assert "Strip seal joint 2010-01-01 2024-09-01 Replaced 1" in page
    assert "<figure>" not in response.content.decode()


@pytest.mark.parametrize(
    ("role", "shown"), [("inspector", False), ("engineer", True), ("manager", False)]
)
def test_only_who_keeps_the_register_is_offered_to_change_an_element(as_role, unit, role, shown):
    element = make_element(unit)
    page = words(as_role(role).get(f"/elements/{element.pk}/"))
    assert ("Replace the device" in page) == shown


@pytest.mark.parametrize(
    ("role", "report", "visit"),
    [("inspector", False, True), ("engineer", True, True), ("manager", True, False)],
)
def test_a_bridge_offers_report_and_visit_to_those_who_may(as_role, unit, role, report, visit):
    make_element(unit)
    page = words(as_role(role).get("/bridges/B-1/"))
    assert ("Condition report (PDF)" in page) == report
    assert ("New inspection" in page) == visit


def test_a_finding_that_a_later_reading_could_not_disprove_says_that_it_stands(as_role, unit):
    # Cold, a bearing that should be far back has hardly moved; at its setting temperature
    # every bearing looks healthy.
    bearing = make_element(
        unit,
        "pot",
        installation={
            "setting_source": "measured",
            "setting_temperature_c": 15.0,
            "setting_offset_along_mm": 0.0,
        },
        design={"movement_back_mm": 90.0, "movement_ahead_mm": 90.0},
    )
    cold = make_inspection(unit.bridge, dt.date(2023, 1, 20))
    read(cold, bearing, "offset_along", -2.0, -20.0, accept=True)
    mild = make_inspection(unit.bridge, dt.date(2024, 5, 2))
    read(mild, bearing, "offset_along", 0.0, 15.0, accept=True)
    page = words(as_role("engineer").get(f"/elements/{bearing.pk}/"))
    assert "found on 2023-01-20: no later reading was far enough" in page
    assert "Last seen 2024-05-02" in page
    assert "stands: no later reading could have shown that it has gone" in page


def test_hours_are_told_in_the_time_zone_of_the_bridge(as_role):
    # On 1 June Lisbon keeps summer time, one hour ahead of UTC.
    unit = make_unit(make_bridge("B-5", time_zone="Europe/Lisbon"))
    joint = make_element(unit, "strip_seal", **JOINT)
    read(make_inspection(unit.bridge), joint, "gap", 50.0, 15.0, hour=8, **LEFT)
    assert "2024-06-01 09:00" in words(as_role("engineer").get(f"/elements/{joint.pk}/"))
