"""Events: which bridges, which visits, in which order, and what moved."""

import datetime as dt
import re

import pytest
from django.core.exceptions import ValidationError

from inspections.lookups.field import walk
from inspections.models import Due, Event, Inspection, Verdict
from inspections.selectors.events import before_and_after, bridges_after, in_reach
from inspections.selectors.packet import packet_of
from inspections.services import events
from inspections.services.visits import submit
from inventory.services.installations import reset_installation
from inventory.units import System
from movement.event_step import StepWord
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
DESIGN = {"movement_back_mm": 120.0, "movement_ahead_mm": 120.0}


def bridge_at(code, latitude_deg=None, longitude_deg=None):
    """A bridge with one bearing."""
    bridge = make_bridge(code, latitude_deg=latitude_deg, longitude_deg=longitude_deg)
    make_element(make_unit(bridge), code="P-1", installation=SET_AT_20_C, design=DESIGN)
    return bridge


def record(*bridges, **fields):
    values = {"kind": "earthquake", "name": "Shake", "occurred_at": HAPPENED} | fields
    return events.record_event(bridges=bridges, **values)


def visit(bridge, day, value_mm, temperature_c, event=None):
    inspection = make_inspection(bridge, day, kind="event" if event else "routine")
    inspection.event = event
    inspection.save()
    read(inspection, bridge.elements.get(code="P-1"), "offset_along", value_mm, temperature_c)
    submit(inspection=inspection)
    return inspection


def visit_of_many(bridge, day, values_mm, temperature_c, event=None):
    """A visit after an event, or a usual one, that reads several bearings."""
    inspection = make_inspection(bridge, day, kind="event" if event else "routine")
    inspection.event = event
    inspection.save()
    for code, value_mm in values_mm.items():
        element = bridge.elements.get(code=code)
        read(inspection, element, "offset_along", value_mm, temperature_c)
    submit(inspection=inspection)


def steps(event):
    return [step for each in before_and_after(bridges_after(event)) for step in each.steps]


def test_bridges_are_found_by_their_distance_and_those_without_a_place_are_named():
    # One degree of latitude is 111.2 km on a sphere of 6371 km: pi * 6371 / 180.
    near, far = bridge_at("NEAR", 46.0, 8.0), bridge_at("FAR", 47.0, 8.0)
    unknown = bridge_at("NOWHERE")
    make_bridge("EMPTY", latitude_deg=46.0, longitude_deg=8.0)
    found, without = in_reach(45.0, 8.0, 150.0)
    assert [(each.bridge, round(each.km)) for each in found] == [(near, 111)]
    assert without == [unknown]
    assert [each.bridge for each in in_reach(45.0, 8.0, 223.0)[0]] == [near, far]


def test_an_event_makes_its_bridges_due_until_they_have_been_visited_for_it():
    bridge = bridge_at("B-1")
    event = record(bridge, within_days=5)
    due = Due.objects.get(bridge=bridge, reason="event")
    assert due.due_on == dt.date(2024, 3, 6)
    visit(bridge, dt.date(2024, 3, 2), -40.0, -15.0, event)
    assert not Due.objects.filter(bridge=bridge, reason="event").exists()


@pytest.mark.parametrize(
    ("fields", "at_field"),
    [
        ({"occurred_at": dt.datetime(2090, 1, 1, tzinfo=UTC)}, "occurred_at"),
        ({"kind": "meteor"}, "kind"),
        ({"name": " "}, "name"),
        ({"radius_km": -1.0}, "radius_km"),
    ],
)
def test_what_is_wrong_with_an_event_is_told_at_its_field(fields, at_field):
    with pytest.raises(ValidationError) as refusal:
        record(bridge_at("B-1"), **fields)
    assert at_field in refusal.value.message_dict
    assert not Event.objects.exists()


def test_an_event_without_a_bridge_is_refused():
    with pytest.raises(ValidationError, match="No bridge is chosen"):
        record()


def test_inspections_open_at_several_bridges_or_at_none():
    one, other = bridge_at("B-1"), bridge_at("B-2")
    event, lead = record(one, other), make_user("inspector")
    make_inspection(other, dt.date(2024, 3, 2), kind="event")
    with pytest.raises(ValidationError, match="B-2"):
        events.open_inspections(
            event=event, bridges=[one, other], date=dt.date(2024, 3, 2), team="two", lead=lead
        )
    assert not Inspection.objects.filter(event=event).exists()
    events.open_inspections(
        event=event, bridges=[one, other], date=dt.date(2024, 3, 3), team="two", lead=lead
    )
    assert {each.lead for each in event.inspections.all()} == {lead}


def test_a_bridge_that_was_visited_for_an_event_stays_on_it():
    bridge, other = bridge_at("B-1"), bridge_at("B-2")
    event = record(bridge, other)
    visit(bridge, dt.date(2024, 3, 2), -40.0, -15.0, event)
    with pytest.raises(ValidationError, match="stays on it"):
        events.remove_bridge(row=event.bridges.get(bridge=bridge))
    events.remove_bridge(row=event.bridges.get(bridge=other))
    assert [row.bridge for row in event.bridges.all()] == [bridge]
    assert not Due.objects.filter(bridge=other, reason="event").exists()


def test_after_an_event_every_support_begins_with_restraints_then_bearings_then_joints():
    unit = make_unit(make_bridge("B-1"))
    for device, code in (("pot", "A-B"), ("strip_seal", "A-J"), ("shear_key", "Z-K")):
        make_element(unit, device, code)
    event = record(unit.bridge)
    routine = make_inspection(unit.bridge, dt.date(2024, 3, 2))
    [after] = events.open_inspections(
        event=event, bridges=[unit.bridge], date=dt.date(2024, 3, 2), team="two"
    )
    assert [stop.element.code for stop in walk(routine)] == ["A-B", "A-J", "Z-K"]
    assert [stop.element.code for stop in walk(after)] == ["Z-K", "A-B", "A-J"]
    packet = packet_of(after, make_user("inspector"), System.SI, "test")
    assert [each["code"] for each in packet["stops"][0]["elements"]] == ["Z-K", "A-B", "A-J"]
    assert [each["kind"] for each in packet["checklist"]] == ["Restraint", "Bearing", "Deck joint"]
    assert packet_of(routine, make_user("inspector"), System.SI, "test")["checklist"] == []


def test_a_step_is_found_between_before_and_after_whatever_the_temperatures():
    bridge = bridge_at("B-1")
    visit(bridge, dt.date(2023, 8, 1), 11.7, 30.0)
    event = record(bridge)
    visit(bridge, dt.date(2024, 3, 2), -40.9 + 25.0, -15.0, event)
    [step] = steps(event)
    assert step.word == StepWord.STEPPED
    assert step.size == pytest.approx(25.0, abs=0.3)


def test_a_healthy_bearing_shows_no_step():
    bridge = bridge_at("B-1")
    visit(bridge, dt.date(2023, 8, 1), 11.7, 30.0)
    event = record(bridge)
    visit(bridge, dt.date(2024, 3, 2), -40.9, -15.0, event)
    [step] = steps(event)
    assert step.word == StepWord.NONE


@pytest.mark.parametrize(
    ("after_mm", "told"),
    # Cooled from 30 to -15 degC it should have gone back by 100 m x 11.7e-6 x 45 K = 52.7 mm.
    [(11.7, "Does not follow"), (-80.0, "Stepped")],
)
def test_a_bearing_that_reads_as_before_in_another_season_is_not_called_stepped(
    as_role, after_mm, told
):
    bridge = bridge_at("HV-104")
    visit(bridge, dt.date(2023, 8, 1), 11.7, 30.0)
    event = record(bridge)
    visit(bridge, dt.date(2024, 3, 5), after_mm, -15.0, event)
    (step,) = steps(event)
    assert step.word == StepWord.STEPPED
    page = words(as_role("engineer").get(f"/events/{event.pk}/"))
    table = page[page.index("before and after") :]
    assert told in table
    assert ({"Does not follow", "Stepped"} - {told}).pop() not in table


def test_what_stands_still_is_counted_apart_from_what_stepped(as_role):
    bridge = bridge_at("HV-104")
    for code in ("P-2", "P-3"):
        make_element(bridge.units.get(), code=code, installation=SET_AT_20_C, design=DESIGN)
    read_all = dict.fromkeys(("P-1", "P-2", "P-3"), 11.7)
    visit_of_many(bridge, dt.date(2023, 8, 1), read_all, 30.0)
    event = record(bridge)
    moved = {"P-1": -80.0, "P-2": -90.0, "P-3": 11.7}
    visit_of_many(bridge, dt.date(2024, 3, 5), moved, -15.0, event)
    [found] = bridges_after(event)
    assert (found.stepped, found.stood_still, found.to_watch) == (2, 1, 0)
    assert "2 stepped , 1 does not follow: see below" in words(
        as_role("engineer").get(f"/events/{event.pk}/")
    )


def test_a_bridge_where_something_only_stands_still_is_not_counted_as_stepped(as_role):
    bridge = bridge_at("HV-104")
    visit(bridge, dt.date(2023, 8, 1), 11.7, 30.0)
    event = record(bridge)
    visit(bridge, dt.date(2024, 3, 5), 11.7, -15.0, event)
    page = words(as_role("engineer").get(f"/events/{event.pk}/"))
    assert (
        "Stepped at 0, to watch at 0 more. At 1 more, something does not follow the temperature."
    ) in page


def test_a_later_visit_that_is_still_open_hides_no_step(as_role):
    bridge = bridge_at("B-1")
    visit(bridge, dt.date(2023, 8, 1), 11.7, 30.0)
    event = record(bridge)
    visit(bridge, dt.date(2024, 3, 2), -40.9 + 25.0, -15.0, event)
    later = make_inspection(bridge, dt.date(2024, 3, 9), kind="event")
    later.event = event
    later.save()
    [found] = bridges_after(event)
    assert (found.stepped, found.overdue) == (1, False)


def test_the_last_visit_before_is_compared_with_the_first_after():
    bridge = bridge_at("B-1")
    visit(bridge, dt.date(2022, 8, 1), 90.0, 30.0)
    visit(bridge, dt.date(2023, 8, 1), 11.7, 30.0)
    event = record(bridge)
    visit(bridge, dt.date(2024, 3, 2), -40.9, -15.0, event)
    visit(bridge, dt.date(2024, 4, 2), 90.0, -15.0)
    [step] = steps(event)
    assert (step.before.value, step.after.value) == (11.7, -40.9)


def test_nothing_is_compared_across_a_reset():
    bridge = bridge_at("B-1")
    visit(bridge, dt.date(2023, 8, 1), 11.7, 30.0)
    event = record(bridge)
    reset_installation(
        element=bridge.elements.get(code="P-1"), reset_on=dt.date(2024, 3, 2), setting=SET_AT_20_C
    )
    visit(bridge, dt.date(2024, 3, 3), 20.0, -15.0, event)
    [found] = before_and_after(bridges_after(event))
    assert (found.steps, found.new, found.not_read) == ([], ["P-1"], [])


def test_what_cannot_be_compared_says_why_and_what_was_not_read_is_named(as_role):
    bridge = bridge_at("B-1")
    make_element(bridge.units.get(), code="P-2", installation=SET_AT_20_C, design=DESIGN)
    before = make_inspection(bridge, dt.date(2023, 8, 1))
    for code in ("P-1", "P-2"):
        read(before, bridge.elements.get(code=code), "offset_along", 11.7)
    submit(inspection=before)
    event = record(bridge)
    visit(bridge, dt.date(2024, 3, 2), -40.9, -15.0, event)
    page = words(as_role("manager").get(f"/events/{event.pk}/"))
    assert "no temperature was taken before the event" in page
    assert "Read before, not read after: P-2." in page


def form(**fields):
    return {
        "kind": "earthquake",
        "name": "Shake",
        "occurred_at": "2024-03-01T06:30",
        "within_days": 5,
    } | fields


def test_bridges_are_shown_before_the_event_is_recorded(as_role):
    bridge_at("NEAR", 46.0, 8.0)
    bridge_at("LISTED")
    client = as_role("engineer")
    asked = form(latitude_deg=45.5, longitude_deg=8.0, radius_km=100, codes="LISTED")
    page = words(client.post("/events/new/", asked | {"act": "show"}))
    assert "2 bridges" in page
    assert "55.6 km" in page
    assert "not sought by distance: LISTED" in page
    assert not Event.objects.exists()
    unseen = words(client.post("/events/new/", asked | {"act": "save"}))
    assert "These are other bridges than were shown" in unseen
    assert "55.6 km" in unseen
    assert not Event.objects.exists()
    shown = client.post("/events/new/", asked | {"act": "show"}).context["shown"]
    ticks = {"shown": shown["key"], "offered": shown["ticks"], "bridge": shown["ticks"]}
    answer = client.post("/events/new/", asked | {"act": "save"} | ticks, follow=True)
    assert "Shake is recorded with 2 bridges" in words(answer)


def test_the_bridges_still_to_be_visited_are_ticked_when_an_event_is_opened(as_role):
    bridges = [bridge_at("ONE"), bridge_at("TWO")]
    client = as_role("engineer")
    asked = form(codes="ONE, TWO")
    shown = client.post("/events/new/", asked | {"act": "show"}).context["shown"]
    ticks = {"shown": shown["key"], "offered": shown["ticks"], "bridge": shown["ticks"]}
    page = client.post("/events/new/", asked | {"act": "save"} | ticks, follow=True)
    for bridge in bridges:
        assert f'name="bridge" value="{bridge.pk}" checked' in page.content.decode()


def test_a_bridge_without_its_tick_is_left_out(as_role):
    kept, other = bridge_at("KEPT"), bridge_at("OTHER")
    client = as_role("engineer")
    asked = form(codes="KEPT, OTHER")
    shown = client.post("/events/new/", asked | {"act": "show"}).context["shown"]
    ticks = {"shown": shown["key"], "offered": shown["ticks"], "bridge": [kept.pk]}
    again = client.post("/events/new/", asked | {"act": "show"} | ticks).content.decode()
    assert re.search(rf'name="bridge" value="{kept.pk}" checked', again)
    assert not re.search(rf'name="bridge" value="{other.pk}" checked', again)
    none = client.post("/events/new/", asked | {"act": "save"} | ticks | {"bridge": []})
    assert "No bridge is chosen" in words(none)
    client.post("/events/new/", asked | {"act": "save"} | ticks)
    assert [row.bridge for row in Event.objects.get().bridges.all()] == [kept]


def test_ways_are_typed_and_told_in_miles_to_who_reads_them(as_role):
    # Half a degree of latitude is 55.6 km; the international mile has 1609.344 m.
    bridge_at("NEAR", 46.0, 8.0)
    client = as_role("engineer")
    client.post("/preferences/units/", {"units": "us"})
    assert "Radius, mi" in words(client.get("/events/new/"))
    place = {"latitude_deg": 45.5, "longitude_deg": 8.0}
    assert "0 bridges" in words(client.post("/events/new/", form(radius_km=34.5, **place)))
    asked = form(radius_km=35, **place)
    page = client.post("/events/new/", asked)
    assert "34.5 mi" in words(page)
    ticks = {"shown": page.context["shown"]["key"], "act": "save"}
    said = words(client.post("/events/new/", asked | ticks, follow=True))
    assert "Bridges within 35.0 mi of" in said
    assert "34.5 mi" in said
    assert "km" not in said
    assert Event.objects.get().radius_km == pytest.approx(56.327, abs=0.001)


@pytest.mark.parametrize("units", ["si", "us"])
def test_a_radius_beyond_what_can_be_is_refused_in_either_unit(as_role, units):
    client = as_role("engineer")
    client.post("/preferences/units/", {"units": units})
    place = {"latitude_deg": 45.5, "longitude_deg": 8.0, "radius_km": 2100}
    assert "Ensure this value is less than" in words(client.post("/events/new/", form(**place)))


def test_hours_name_their_zone_and_at_a_bridge_they_are_those_of_the_bridge(as_role):
    bridge = bridge_at("B-1")
    bridge.time_zone = "America/Denver"
    bridge.save()
    client = as_role("engineer")
    assert "When, in UTC" in words(client.get("/events/new/"))
    visit(bridge, dt.date(2023, 8, 1), 11.7, 30.0)
    event = record(bridge)
    visit(bridge, dt.date(2024, 3, 2), -40.9, -15.0, event)
    page = words(client.get(f"/events/{event.pk}/"))
    assert "2024-03-01 06:30 (UTC)" in page
    # Denver is seven hours behind UTC in winter.
    assert "told in America/Denver: the event was at 2024-02-29 23:30" in page


def test_a_channel_that_was_not_read_again_is_named_though_its_element_was(as_role):
    bridge = bridge_at("B-1")
    bearing = bridge.elements.get()
    before = make_inspection(bridge, dt.date(2023, 8, 1))
    read(before, bearing, "offset_along", 11.7, 30.0)
    read(before, bearing, "offset_across", 1.0, 30.0)
    submit(inspection=before)
    event = record(bridge)
    visit(bridge, dt.date(2024, 3, 2), -40.9, -15.0, event)
    page = words(as_role("engineer").get(f"/events/{event.pk}/"))
    assert re.search(r"Read before, not read after: P-1 \([^)]*across[^)]*\)\.", page)


def test_an_unknown_uncertainty_is_no_step_and_says_why(as_role):
    bridge = bridge_at("B-1")
    visit(bridge, dt.date(2023, 8, 1), 11.7, 30.0)
    event = record(bridge)
    visit(bridge, dt.date(2024, 3, 2), 60.0, -15.0, event)
    Verdict.objects.filter(inspection__event=event).update(u_reading=None)
    page = words(as_role("engineer").get(f"/events/{event.pk}/"))
    assert "Cannot be told the uncertainty of the reading after the event is not known" in page
    assert "0 stepped" not in page


def test_the_worst_step_stands_first_then_the_nearest_and_counts_stay_over_all(as_role):
    made = [bridge_at(f"B-{number:02}", 45.0 + 0.01 * number, 8.0) for number in range(30)]
    for bridge in made:
        visit(bridge, dt.date(2023, 8, 1), 11.7, 30.0)
    event = record(*made, latitude_deg=45.0, longitude_deg=8.0, radius_km=100.0)
    steps_mm = {"B-29": 25.0, "B-28": 60.0}
    for bridge in made:
        value_mm = -40.9 + steps_mm.get(bridge.code, 0.0)
        visit(bridge, dt.date(2024, 3, 2), value_mm, -15.0, event)
    client = as_role("engineer")
    first, second = (client.get(f"/events/{event.pk}/?page={page}") for page in (1, 2))
    codes = [each.row.bridge.code for each in first.context["page"].object_list]
    assert codes[:4] == ["B-28", "B-29", "B-00", "B-01"]
    assert len(codes) == 15
    assert len(second.context["page"].object_list) == 15
    for page in (first, second):
        assert "30 of 30 visited. Stepped at 2, to watch at 0 more." in words(page)


@pytest.mark.parametrize(
    ("fields", "told"),
    [
        ({"codes": "NO-SUCH"}, "No bridge with elements has the code NO-SUCH"),
        ({"latitude_deg": 45.0}, "together, or none"),
        ({}, "No bridge is chosen"),
        ({"occurred_at": "soon", "codes": "B-1"}, "Enter a valid date/time"),
    ],
)
def test_what_a_new_event_lacks_is_told_and_what_was_entered_stays(as_role, fields, told):
    bridge_at("B-1")
    response = as_role("engineer").post("/events/new/", form(act="save", **fields))
    assert told in words(response)
    assert 'value="Shake"' in response.content.decode()


@pytest.mark.parametrize("role", ["inspector", "manager"])
def test_who_does_not_plan_sees_events_and_changes_none(as_role, role):
    bridge = bridge_at("B-1")
    event = record(bridge)
    client = as_role(role)
    assert "Shake" in words(client.get("/events/"))
    assert "Open inspections" not in words(client.get(f"/events/{event.pk}/"))
    row = event.bridges.get().pk
    for path in ("new/", f"{event.pk}/bridges/", f"{event.pk}/bridges/{row}/remove/",
                 f"{event.pk}/inspections/"):  # fmt: skip
        assert client.post(f"/events/{path}").status_code == 403


def test_an_outsider_sees_none(as_role):
    event = record(bridge_at("B-1"))
    client = as_role(None)
    assert client.get("/events/").status_code == 403
    assert client.get(f"/events/{event.pk}/").status_code == 403


def test_crews_are_sent_from_the_events_page_and_see_what_to_look_at_first(as_role):
    bridge = bridge_at("B-1")
    event = record(bridge)
    client = as_role("engineer")
    asked = {"date": "2024-03-02", "team": "two inspectors", "bridge": [bridge.pk]}
    path = f"/events/{event.pk}/inspections/"
    refused = client.post(path, asked | {"bridge": []})
    assert "Tick one at least" in words(refused)
    client.post(path, asked)
    inspection = Inspection.objects.get(event=event)
    page = words(client.get(f"/inspections/{inspection.pk}/"))
    assert "What to look at first" in page
    assert "restraints come first" in page


def test_the_page_asks_as_often_for_many_bridges_as_for_two(as_role, django_assert_max_num_queries):
    client = as_role("engineer")
    made = [bridge_at(f"B-{number}") for number in range(12)]
    event = record(*made[:2])
    for bridge in made:
        visit(bridge, dt.date(2023, 8, 1), 11.7, 30.0)
    for bridge in made[:2]:
        visit(bridge, dt.date(2024, 3, 2), -40.9, -15.0, event)
    with django_assert_max_num_queries(30) as few:
        client.get(f"/events/{event.pk}/")
    events.add_bridges(event=event, bridges=made)
    for bridge in made[2:]:
        visit(bridge, dt.date(2024, 3, 2), -40.9, -15.0, event)
    with django_assert_max_num_queries(30) as many:
        page = client.get(f"/events/{event.pk}/").content.decode()
    assert len(re.findall("no step in 1 comparisons", page)) == 12
    assert len(many) == len(few)
