"""What a tablet takes along is enough to work with under the bridge, and is nobody else's."""

import datetime as dt
import json

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from inspections.criteria import CRITERIA, defects_of
from inspections.models import Condition, Verdict
from inspections.models.choices import DefectCode
from inspections.selectors import packet as packet_selector
from inspections.services import readings
from inventory.models.choices import DeviceType
from tests.make import (
    SET_AT_20_C,
    make_bridge,
    make_element,
    make_inspection,
    make_unit,
    make_user,
    read,
)
from tests.tablet import Tablet

pytestmark = pytest.mark.django_db


@pytest.fixture
def inspection():
    """An open inspection of today; last year's visit has read the bearing."""
    unit = make_unit(make_bridge())
    bearing = make_element(
        unit, "pot", "B1", installation=SET_AT_20_C,
        design={"movement_back_mm": 60.0, "movement_ahead_mm": 50.0},
    )  # fmt: skip
    make_element(unit, "strip_seal", "J1", place={"skew_deg": 20.0})
    make_element(unit, "pot", "B2", station_m=10.0)
    today = timezone.now().date()
    last = make_inspection(unit.bridge, today - dt.timedelta(days=365))
    read(last, bearing, "offset_along", -11.0, 10.0, accept=True)
    return make_inspection(unit.bridge, today)


def packet(inspection, user) -> dict:
    """Return the packet of an inspection as the tablet gets it."""
    client = Client()
    client.force_login(user)
    response = client.get(f"/field/inspections/{inspection.pk}/packet.json")
    assert response.status_code == 200
    return json.loads(response.content)


def elements(found: dict) -> dict[str, dict]:
    """Return the elements of a packet by code, in walking order."""
    return {each["code"]: each for stop in found["stops"] for each in stop["elements"]}


def test_the_elements_come_in_walking_order_by_support(inspection):
    found = packet(inspection, make_user("inspector"))

    assert [stop["station_m"] for stop in found["stops"]] == [10.0, 100.0]
    assert list(elements(found)) == ["B2", "B1", "J1"]


def test_a_channel_brings_its_limits_its_last_value_and_the_five_numbers(inspection):
    found = packet(inspection, make_user("inspector"))
    (channel,) = (
        each for each in elements(found)["B1"]["channels"] if each["quantity"] == "offset_along"
    )

    assert (channel["limit_lower"], channel["limit_upper"]) == (-60.0, 50.0)
    assert channel["last"]["value"] == -11.0
    # 100 m from the fixed point, 11.7e-6 a degree: 1.17 mm a degree, nothing at 20 degC
    assert channel["b"] == pytest.approx(1.17)
    assert channel["a"] + channel["b"] * 20.0 == pytest.approx(0.0, abs=1e-9)
    judged = Verdict.objects.get()
    assert channel["a"] + channel["b"] * judged.temperature_c == pytest.approx(judged.expected)


def test_a_joint_between_two_units_brings_the_part_of_each(inspection):
    bridge = inspection.bridge
    back, ahead = (
        make_unit(bridge, code, start_station_m=start, end_station_m=start + 100.0,
                  fixed_station_m=fixed)
        for code, start, fixed in (("U8", 200.0, 200.0), ("U9", 300.0, 400.0))
    )  # fmt: skip
    make_element(
        back, "strip_seal", "J9", station_m=300.0, place={"unit_ahead": ahead},
        installation=SET_AT_20_C | {"setting_gap_mm": 60.0},
    )  # fmt: skip

    channel = elements(packet(inspection, make_user("inspector")))["J9"]["channels"][0]

    assert [each["unit_id"] for each in channel["sides"]] == [back.pk, ahead.pk]
    # each closes the gap by 1.17 mm a degree; the line for one temperature is their sum
    assert [each["b"] for each in channel["sides"]] == pytest.approx([-1.17, -1.17])
    assert channel["b"] == pytest.approx(-2.34)
    assert channel["c1"] == pytest.approx(sum(each["c1"] for each in channel["sides"]))


def test_a_skewed_joint_is_offered_square_and_along_the_road(inspection):
    found = packet(inspection, make_user("inspector"))
    gaps = [each for each in elements(found)["J1"]["channels"] if each["quantity"] == "gap"]

    assert {(each["point"], each["axis"]) for each in gaps} == {
        (point, axis) for point in ("left", "centre", "right") for axis in ("square", "road")
    }


def test_what_needs_a_special_instrument_is_offered_and_not_asked_for(inspection):
    found = packet(inspection, make_user("inspector"))
    wanted = {each["quantity"]: each["is_wanted"] for each in elements(found)["B1"]["channels"]}

    assert wanted["offset_along"] is True
    assert wanted["sliding_gap"] is False


def test_what_is_not_known_is_null_and_never_no_number(inspection):
    text = json.dumps(packet(inspection, make_user("inspector")))

    assert "NaN" not in text
    assert "Infinity" not in text


def test_what_the_visit_has_read_already_comes_along_with_the_last_conditions(inspection):
    tablet = Tablet(make_user("inspector"))
    bearing = inspection.bridge.elements.get(code="B1")
    sent = tablet.reading(inspection, bearing, 5.0)
    tablet.send(sent)
    Condition.objects.create(
        inspection=inspection, element=bearing, defect=DefectCode.CORROSION, cs2=1, total=1
    )

    found = elements(packet(inspection, make_user("inspector")))["B1"]

    assert [each["record_uid"] for each in found["readings"]] == [sent["uid"]]
    assert [(each["defect"], each["cs2"]) for each in found["conditions"]] == [(1000, 1)]
    assert found["conditions"][0]["is_of_visit"] is True

    later = make_inspection(inspection.bridge, inspection.date + dt.timedelta(days=1))
    before = elements(packet(later, make_user("inspector")))["B1"]["conditions"]
    assert [(each["cs2"], each["is_of_visit"]) for each in before] == [(1, False)]


def test_the_temperatures_of_the_visit_come_along_whoever_took_them(inspection):
    at = timezone.now()
    taken = readings.NewTemperature("girder_web", 14.5, "14.5", at)
    readings.record(inspection=inspection, readings=[], temperatures=[taken])

    (told,) = packet(inspection, make_user("inspector"))["temperature"]["taken"]

    assert (told["place"], told["temperature_c"], told["sunlit"]) == ("girder_web", 14.5, False)


def test_criteria_come_along_for_every_defect_of_every_element(inspection):
    found = packet(inspection, make_user("inspector"))
    wanted = {str(code) for each in elements(found).values() for code in each["defects"]}

    assert set(found["defects"]) == wanted
    for each in found["defects"].values():
        assert all(each[state] for state in ("label", "cs1", "cs2", "cs3", "cs4"))


@pytest.mark.parametrize("device", DeviceType)
def test_every_device_has_defects_with_criteria(device):
    codes = defects_of(device)

    assert codes[0] == DefectCode.OVERALL
    assert codes[-1] == DefectCode.DAMAGE
    assert set(codes) <= set(CRITERIA)
    assert len(codes) >= 5


def test_the_list_holds_open_inspections_of_the_user_and_those_nobody_is_named_for(inspection):
    mine, other = make_user("inspector"), make_user("inspector")
    led = make_inspection(make_bridge(), timezone.now().date(), kind="event")
    led.lead = other
    led.save(update_fields=["lead"])

    def listed(user):
        client = Client()
        client.force_login(user)
        return {each["id"] for each in client.get("/field/inspections.json").json()["inspections"]}

    assert listed(mine) == {inspection.pk}
    assert listed(other) == {inspection.pk, led.pk}
    led.crew.add(mine)
    assert listed(mine) == {inspection.pk, led.pk}


def test_of_very_many_that_nobody_is_named_for_the_list_holds_the_newest_and_all_of_the_user(
    inspection, monkeypatch
):
    monkeypatch.setattr(packet_selector, "MOST_OF_NOBODY", 2)
    user, today = make_user("inspector"), timezone.now().date()
    led, free = (
        [make_inspection(make_bridge(), today - dt.timedelta(days=away)) for away in days]
        for days in ((50, 60, 70), (10, 40, 20))
    )
    for each in led:
        each.lead = user
        each.save(update_fields=["lead"])
    inspection.delete()
    client = Client()
    client.force_login(user)

    answer = client.get("/field/inspections.json").json()
    assert [each["id"] for each in answer["inspections"]] == [
        each.pk for each in (free[0], free[2], *led)
    ]
    assert answer["more"]
    free[1].delete()
    assert not client.get("/field/inspections.json").json()["more"]


@pytest.mark.parametrize(("role", "status"), [("manager", 403), (None, 403), ("engineer", 200)])
def test_only_who_enters_readings_takes_an_inspection_along(role, status, inspection):
    client = Client()
    client.force_login(make_user(role))

    for path in ("/field/inspections.json", f"/field/inspections/{inspection.pk}/packet.json"):
        assert client.get(path).status_code == status


@pytest.mark.parametrize("path", ["/field/", "/worker.js", "/manifest.webmanifest"])
def test_what_opens_without_a_network_needs_no_account_and_holds_no_user(path, client):
    inspector = make_user("inspector")
    client.force_login(inspector)
    signed_in = client.get(path)

    assert signed_in.status_code == 200
    assert inspector.username not in signed_in.content.decode()
    assert Client().get(path).status_code == 200


def test_a_packet_takes_as_many_queries_for_many_elements_as_for_few(
    inspection, django_assert_num_queries
):
    client = Client()
    client.force_login(make_user("inspector"))
    path = f"/field/inspections/{inspection.pk}/packet.json"
    with CaptureQueriesContext(connection) as few:
        client.get(path)
    unit = inspection.bridge.units.get()
    for _ in range(30):
        make_element(unit, "pot", installation=SET_AT_20_C)
    with django_assert_num_queries(len(few)):
        client.get(path)
