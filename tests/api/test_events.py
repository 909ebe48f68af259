"""Events by the API: bridges in reach, added and taken off, visits opened, what was found."""

import datetime as dt

import pytest

from inspections.models import Due, Event, Inspection
from inspections.services import events
from inspections.services.visits import submit
from inventory.models import Bridge, District
from tests.api.calls import Caller, fields_of, is_problem
from tests.inspections.desk_rows import words
from tests.make import (
    SET_AT_20_C,
    UTC,
    make_bridge,
    make_element,
    make_inspection,
    make_unit,
    make_user,
    read,
)

pytestmark = pytest.mark.django_db

HAPPENED = dt.datetime(2024, 3, 1, 6, 30, tzinfo=UTC)
VISIT = {"date": "2024-03-02", "team": "lead and one"}


@pytest.fixture
def engineer() -> Caller:
    return Caller(make_user("engineer"))


def bridge_at(code, **fields):
    """A bridge with one bearing."""
    bridge = make_bridge(code, **fields)
    make_element(
        make_unit(bridge),
        code="P-1",
        installation=SET_AT_20_C,
        design={"movement_back_mm": 120.0, "movement_ahead_mm": 120.0},
    )
    return bridge


def shaken(*bridges, **fields) -> Event:
    return events.record_event(
        kind="earthquake", name="Shake", occurred_at=HAPPENED, bridges=bridges, **fields
    )


def visited(bridge, day, value_mm, temperature_c, event=None):
    visit = make_inspection(bridge, day, kind="event" if event else "routine")
    visit.event = event
    visit.save()
    read(visit, bridge.elements.get(), "offset_along", value_mm, temperature_c)
    submit(inspection=visit)


def codes_of(event: Event) -> list[str]:
    return sorted(event.bridges.values_list("bridge__code", flat=True))


def test_bridges_in_reach_are_told_before_an_event_is_recorded(engineer):
    # One degree of latitude is 111.2 km on a sphere of 6371 km, and 69.1 miles.
    bridge_at("FAR", latitude_deg=47.0, longitude_deg=8.0)
    bridge_at("NEAR", latitude_deg=46.0, longitude_deg=8.0)
    bridge_at("NOWHERE")
    where = {"latitude_deg": 45.0, "longitude_deg": 8.0, "radius_km": 150}
    rows = engineer.get("events/in-reach/", **where).json()["results"]
    assert [(each["bridge"], each["element_count"]) for each in rows] == [
        ("NEAR", 1),
        ("NOWHERE", 1),
    ]
    assert rows[0]["distance_km"] == pytest.approx(111.2, abs=0.1)
    assert rows[1]["distance_km"] is None
    first = engineer.get("events/in-reach/", units="us", page_size=1, **where).json()["results"][0]
    assert first["distance_mi"] == pytest.approx(69.1, abs=0.1)
    assert "distance_km" not in first


@pytest.mark.parametrize(
    ("change", "field"),
    [({"radius_km": "0"}, "radius_km"), ({"latitude_deg": "91"}, "latitude_deg"),
     ({"longitude_deg": "nan"}, "longitude_deg"), ({"radius_mi": "3"}, "radius_mi")],
)  # fmt: skip
def test_a_place_that_cannot_be_is_refused_at_its_field(engineer, change, field):
    where = {"latitude_deg": "45", "longitude_deg": "8", "radius_km": "150"} | change
    assert fields_of(is_problem(engineer.get("events/in-reach/", **where), 400)) == [field]


def test_a_place_given_in_part_is_refused_as_on_the_page(engineer):
    bridge_at("B-1")
    body = {
        "kind": "flood", "name": "Flood", "occurred_at": "2024-03-01T06:30:00Z",
        "bridges": ["B-1"], "latitude_deg": 46.0,
    }  # fmt: skip
    told = is_problem(engineer.post("events/", body), 400)
    assert sorted(fields_of(told)) == ["longitude_deg", "radius_km"]
    assert "together, or none" in told["detail"]
    assert not Event.objects.exists()


def test_an_event_tells_its_distances_in_miles_where_asked(engineer):
    event = shaken(
        bridge_at("B-1", latitude_deg=46.0, longitude_deg=8.0),
        latitude_deg=45.0, longitude_deg=8.0, radius_km=160.9344,
    )  # fmt: skip
    assert engineer.get(f"events/{event.pk}/", units="us").json()["radius_mi"] == 100.0
    rows = engineer.get(f"events/{event.pk}/bridges/", units="us").json()["results"]
    assert rows[0]["distance_mi"] == pytest.approx(69.1, abs=0.1)
    assert "distance_km" not in rows[0]


def test_a_district_is_recorded_and_added_whole_without_bridges_that_hold_nothing(engineer):
    west = District.objects.create(code="W", name="West")
    Bridge.objects.filter(pk__in=[bridge_at("W-1").pk, make_bridge("W-0").pk]).update(district=west)
    bridge_at("B-1")
    body = {
        "kind": "flood", "name": "Flood", "occurred_at": "2024-03-01T06:30:00Z", "district": "W",
    }  # fmt: skip
    assert engineer.post("events/", body).json()["bridge_count"] == 1
    event = shaken(bridge_at("B-2"))
    added = engineer.post(f"events/{event.pk}/bridges/", {"bridges": ["B-1"], "district": "W"})
    assert (added.status_code, added.json()["bridge_count"]) == (200, 3)
    assert codes_of(event) == ["B-1", "B-2", "W-1"]
    assert Due.objects.filter(bridge__code="W-1", event=event).exists()


def test_bridges_are_added_once_and_those_there_already_stay(engineer):
    first, _ = bridge_at("B-1"), bridge_at("B-2")
    event = shaken(first)
    row = event.bridges.get()
    address = f"events/{event.pk}/bridges/"
    told = engineer.post(address, {"bridges": ["B-1", "B-2"]}, key="added-once").json()
    assert engineer.post(address, {"bridges": ["B-1", "B-2"]}, key="added-once").json() == told
    assert told["bridge_count"] == 2
    assert event.bridges.get(bridge=first) == row


@pytest.mark.parametrize(
    ("body", "field"),
    [({}, "bridges"), ({"bridges": ["EMPTY"]}, "bridges"), ({"district": "?"}, "district"),
     ({"codes": "B-1"}, "codes"), ({"bridges": ["B-1"] * 1001}, "bridges")],
)  # fmt: skip
def test_bridges_that_cannot_be_added_are_refused_at_their_field(engineer, body, field):
    event = shaken(bridge_at("B-1"))
    make_bridge("EMPTY")
    told = is_problem(engineer.post(f"events/{event.pk}/bridges/", body), 400)
    assert fields_of(told) == [field]
    assert codes_of(event) == ["B-1"]


def test_nothing_to_add_is_told_on_the_page_too(as_role):
    event = shaken(bridge_at("B-1"))
    page = words(as_role("engineer").post(f"/events/{event.pk}/bridges/", {"codes": ""}))
    assert "No bridge is chosen. Give one at least." in page


def test_a_bridge_is_taken_off_unless_it_was_visited_for_the_event(engineer):
    seen, other = bridge_at("B-1"), bridge_at("B-2")
    event = shaken(seen, other)
    visited(seen, dt.date(2024, 3, 2), -40.9, -15.0, event)
    address = f"events/{event.pk}/bridges/remove/"
    assert "stays on it" in is_problem(engineer.post(address, {"bridge": "B-1"}), 409)["detail"]
    gone = engineer.post(address, {"bridge": "B-2"})
    assert (gone.status_code, gone.json()["bridge_count"]) == (200, 1)
    assert not Due.objects.filter(bridge=other, reason="event").exists()
    told = is_problem(engineer.post(address, {"bridge": "B-2"}), 400)
    assert fields_of(told) == ["bridge"]
    assert codes_of(event) == ["B-1"]


def test_inspections_are_opened_at_bridges_of_an_event_or_at_none(engineer):
    one, other = bridge_at("B-1"), bridge_at("B-2")
    event, lead = shaken(one, other), make_user("inspector", username="lead")
    bridge_at("B-3")
    address = f"events/{event.pk}/inspections/"
    body = VISIT | {"bridges": ["B-1", "B-2"], "lead": "lead", "crew": ["lead"]}
    made = engineer.post(address, body, key="opened-once")
    assert made.status_code == 201
    rows = made.json()["inspections"]
    assert [(each["bridge"], each["kind"], each["event"], each["lead"]) for each in rows] == [
        ("B-1", "event", event.pk, "lead"),
        ("B-2", "event", event.pk, "lead"),
    ]
    assert engineer.post(address, body, key="opened-once").json() == made.json()
    assert {each.crew.get() for each in event.inspections.all()} == {lead}
    is_problem(engineer.post(address, body), 409)
    assert Inspection.objects.count() == 2


@pytest.mark.parametrize(
    ("change", "field"),
    [({"bridges": []}, "bridges"), ({"bridges": ["B-1", "B-3"]}, "bridges"),
     ({"date": "2090-01-01"}, "date"), ({"team": ""}, "team"), ({"lead": "nobody"}, "lead"),
     ({"crew": ["nobody"]}, "crew"), ({"bridge": "B-1"}, "bridge")],
)  # fmt: skip
def test_inspections_that_cannot_be_opened_are_refused_at_their_field(engineer, change, field):
    event = shaken(bridge_at("B-1"))
    bridge_at("B-3")
    body = VISIT | {"bridges": ["B-1"]} | change
    told = is_problem(engineer.post(f"events/{event.pk}/inspections/", body), 400)
    assert fields_of(told) == [field]
    assert not Inspection.objects.exists()


def test_a_day_that_no_visit_can_have_is_told_at_its_field_on_the_page(as_role):
    bridge = bridge_at("B-1")
    event = shaken(bridge)
    sent = {"bridge": [bridge.pk], "date": "2090-01-01", "team": "two"}
    page = as_role("engineer").post(f"/events/{event.pk}/inspections/", sent)
    assert "B-1: 2090-01-01 lies more than a day in the future" in words(page)
    assert "date" in page.context["opening"].errors


def test_what_moved_is_told_with_both_hours_and_temperatures_as_on_the_page(engineer):
    bridge = bridge_at("B-1")
    visited(bridge, dt.date(2023, 8, 1), 11.7, 30.0)
    event = shaken(bridge, within_days=5)
    visited(bridge, dt.date(2024, 3, 2), 0.0, -15.0, event)
    [row] = engineer.get(f"events/{event.pk}/bridges/").json()["results"]
    assert (row["compared"], row["stepped"]) == (1, 1)
    [step] = row["steps"]
    assert step["taken_at_before"] < "2024" < step["taken_at_after"]
    assert step["temperature_before_c"] == pytest.approx(30.0)
    assert step["temperature_after_c"] == pytest.approx(-15.0)
    [us] = engineer.get(f"events/{event.pk}/bridges/", units="us").json()["results"]
    assert us["steps"][0]["temperature_before_f"] == pytest.approx(86.0)
    assert us["steps"][0]["value_before"] == pytest.approx(11.7 / 25.4)


def test_the_summary_counts_as_the_page_does_and_says_what_to_look_at(engineer, as_role):
    moved, late = bridge_at("B-1"), bridge_at("B-2")
    visited(moved, dt.date(2023, 8, 1), 11.7, 30.0)
    event = shaken(moved, late, within_days=5)
    visited(moved, dt.date(2024, 3, 2), 0.0, -15.0, event)
    told = engineer.get(f"events/{event.pk}/summary/").json()
    assert (told["stepped"], told["to_watch"], told["overdue"]) == (1, 0, 1)
    assert 0 < told["chance_stepped"] < told["chance_watch"] < 1
    page = words(as_role("engineer").get(f"/events/{event.pk}/"))
    assert told["caution"] in page
    assert len(told["checklist"]) == 3
    assert all(each["look_at"] in page for each in told["checklist"])


WRITES = ("events/{pk}/bridges/", "events/{pk}/bridges/remove/", "events/{pk}/inspections/")


@pytest.mark.parametrize("role", ["inspector", "manager"])
@pytest.mark.parametrize("address", WRITES)
def test_who_may_not_plan_may_not_change_an_event(role, address):
    bridge_at("B-2")
    event = shaken(bridge_at("B-1"))
    body = {"bridges": ["B-2"]} if address.endswith("/bridges/") else {}
    is_problem(Caller(make_user(role)).post(address.format(pk=event.pk), body), 403)
    assert codes_of(event) == ["B-1"]


@pytest.mark.parametrize("address", WRITES)
def test_an_event_that_is_not_there_is_not_known(engineer, address):
    is_problem(engineer.post(address.format(pk=99), {"bridges": []}), 404)
