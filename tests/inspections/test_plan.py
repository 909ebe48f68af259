"""What is due at a bridge: intervals, flags, events and work."""

import datetime as dt

import pytest

from inspections.models import AgencySettings, Due, Event, EventBridge, Flag, Interval, WorkOrder
from inspections.models.desk_choices import DueReason
from inspections.plan_days import months_after
from inspections.services.plan import write_due, write_due_all
from inspections.services.visits import submit
from tests.make import (
    UTC,
    make_bridge,
    make_element,
    make_inspection,
    make_unit,
    make_user,
    read,
)

pytestmark = pytest.mark.django_db
D = dt.date


@pytest.fixture
def unit():
    return make_unit(make_bridge("P-1"))


def visit(unit, day: dt.date, *elements, kind: str = "routine", event=None):
    """Hand in a visit that read some elements."""
    inspection = make_inspection(unit.bridge, day, kind=kind)
    if event:
        inspection.event = event
        inspection.save(update_fields=["event"])
    for element in elements:
        read(inspection, element, "offset_along", 1.0)
    submit(inspection=inspection)
    return inspection


def due(bridge) -> dict:
    """Return the day on which each thing is due, by reason and code of the element."""
    write_due(bridge.pk)
    return {
        (row.reason, row.element.code if row.element else None): row.due_on
        for row in Due.objects.filter(bridge=bridge).select_related("element")
    }


@pytest.mark.parametrize(
    ("day", "months", "expected"),
    [
        (D(2025, 1, 31), 1, D(2025, 2, 28)),
        (D(2024, 1, 31), 1, D(2024, 2, 29)),
        (D(2024, 2, 29), 12, D(2025, 2, 28)),
        (D(2024, 2, 29), 48, D(2028, 2, 29)),
        (D(2024, 8, 31), 6, D(2025, 2, 28)),
        (D(2024, 12, 15), 1, D(2025, 1, 15)),
        (D(2024, 12, 31), 24, D(2026, 12, 31)),
    ],
)
def test_months_are_added_to_a_day_and_never_run_past_the_end_of_the_month(day, months, expected):
    assert months_after(day, months) == expected


def test_a_bridge_without_elements_is_never_due():
    bridge = make_bridge("STOCK")
    Interval.objects.create(bridge=bridge, kind="routine", months=12)
    assert due(bridge) == {}


def test_a_bridge_never_visited_is_due_since_its_devices_stand_there(unit):
    make_element(unit, installation={"installed_on": D(2021, 5, 4)})
    make_element(unit, installation={"installed_on": D(2020, 5, 4)})
    assert due(unit.bridge)[DueReason.ROUTINE, None] == D(2020, 5, 4)
    assert Due.objects.get(reason=DueReason.ROUTINE).last_on is None


def test_a_visit_is_due_an_interval_after_the_last_one_handed_in(unit):
    element = make_element(unit)
    visit(unit, D(2024, 1, 31), element)
    read(make_inspection(unit.bridge, D(2024, 7, 1)), element, "offset_along", 1.0)
    assert due(unit.bridge) == {
        (DueReason.ROUTINE, None): D(2026, 1, 31),
        # Never inspected in depth: counted from 2010, when the device was set.
        (DueReason.IN_DEPTH, None): D(2016, 1, 1),
    }


def test_an_in_depth_visit_keeps_the_routine_interval_but_not_the_other_way_round(unit):
    element = make_element(unit)
    visit(unit, D(2023, 3, 1), element, kind="in_depth")
    visit(unit, D(2022, 3, 1), element)
    assert due(unit.bridge) == {
        (DueReason.ROUTINE, None): D(2025, 3, 1),
        (DueReason.IN_DEPTH, None): D(2029, 3, 1),
    }


def test_a_follow_up_keeps_no_interval(unit):
    element = make_element(unit)
    visit(unit, D(2022, 3, 1), element)
    visit(unit, D(2023, 3, 1), element, kind="follow_up")
    assert due(unit.bridge)[DueReason.ROUTINE, None] == D(2024, 3, 1)


def test_a_bridge_and_an_element_may_have_intervals_of_their_own(unit):
    often, seldom = make_element(unit, code="J1"), make_element(unit, code="J2")
    Interval.objects.create(bridge=unit.bridge, kind="routine", months=12)
    Interval.objects.create(bridge=unit.bridge, element=often, kind="routine", months=3)
    visit(unit, D(2024, 1, 10), often, seldom)
    visit(unit, D(2024, 3, 10), seldom)
    found = due(unit.bridge)
    assert found[DueReason.ROUTINE, None] == D(2025, 3, 10)
    # The later visit passed the first one by.
    assert found[DueReason.ROUTINE, "J1"] == D(2024, 4, 10)
    assert (DueReason.ROUTINE, "J2") not in found


def flag_of(element, state, **fields) -> Flag:
    values = {"opened_at": dt.datetime(2024, 1, 1, tzinfo=UTC)} | fields
    return Flag.objects.create(element=element, cause="position", state=state, **values)


def decide(flag, kind, **fields):
    values = {
        "reason": "Seen",
        "as_of": dt.datetime(2024, 2, 1, tzinfo=UTC),
        "severity": 2,
        "state_before": "open",
        "model_version": "1",
        "decided_by": make_user("engineer"),
        "signed_as": "engineer",
        "decided_at": dt.datetime(2024, 2, 1, tzinfo=UTC),
        "digest": "0" * 64,
    }
    return flag.decisions.create(kind=kind, **values | fields)


def test_a_watched_element_is_due_at_its_own_interval_but_not_after_the_day_it_ends(unit):
    element = make_element(unit, code="J1")
    visit(unit, D(2024, 1, 10), element)
    flag = flag_of(element, "watched", until=D(2024, 12, 31))
    assert due(unit.bridge)[DueReason.WATCH, "J1"] == D(2024, 7, 10)  # the agency's 6 months
    decide(flag, "watch", until=D(2024, 12, 31), interval_months=2)
    assert due(unit.bridge)[DueReason.WATCH, "J1"] == D(2024, 3, 10)
    later = dt.datetime(2024, 3, 1, tzinfo=UTC)
    decide(flag, "watch", until=D(2024, 12, 31), interval_months=24, as_of=later)
    assert due(unit.bridge)[DueReason.WATCH, "J1"] == D(2024, 12, 31)


@pytest.mark.parametrize(
    ("state", "reason"),
    [("to_measure", DueReason.MEASURE_AGAIN), ("accepted", DueReason.ACCEPTANCE)],
)
def test_what_was_decided_until_a_day_is_due_on_it(unit, state, reason):
    element = make_element(unit, code="J1")
    flag_of(element, state, until=D(2025, 4, 1))
    assert due(unit.bridge)[reason, "J1"] == D(2025, 4, 1)


@pytest.mark.parametrize("state", ["open", "back", "in_work", "closed", "withdrawn"])
def test_other_flags_ask_for_no_visit(unit, state):
    flag_of(make_element(unit), state, until=D(2025, 4, 1))
    assert {reason for reason, _ in due(unit.bridge)} == {DueReason.ROUTINE, DueReason.IN_DEPTH}


def test_what_was_mended_is_proved_within_the_agencys_days(unit):
    flag = flag_of(make_element(unit, code="J1"), "mended")
    decide(flag, "mended", as_of=dt.datetime(2024, 5, 1, 23, 30, tzinfo=UTC))
    assert due(unit.bridge)[DueReason.PROVING, "J1"] == D(2024, 6, 30)
    # On the day that it was at the bridge.
    unit.bridge.time_zone = "Asia/Tokyo"
    unit.bridge.save()
    assert due(unit.bridge)[DueReason.PROVING, "J1"] == D(2024, 7, 1)


def test_a_new_device_is_proved_within_the_same_days(unit):
    element = make_element(unit, code="J1", installation={"installed_on": D(2024, 3, 1)})
    flag_of(element, "mended")
    assert due(unit.bridge)[DueReason.PROVING, "J1"] == D(2024, 4, 30)


def test_finished_work_asks_once_for_the_proving_measurement_of_each_element(unit):
    element = make_element(unit, code="J1")
    flag = flag_of(element, "mended")
    decide(flag, "mended", as_of=dt.datetime(2024, 5, 9, tzinfo=UTC))
    order = WorkOrder.objects.create(
        bridge=unit.bridge,
        code="W-1",
        kind="repair",
        title="Free it",
        state="finished",
        ordered_on=D(2024, 4, 1),
        finished_on=D(2024, 5, 2),
    )
    item = order.items.create(element=element)
    assert due(unit.bridge)[DueReason.PROVING, "J1"] == D(2024, 7, 1)
    row = Due.objects.get(reason=DueReason.PROVING)
    assert (row.order, row.flag) == (order, flag)
    flag.state = "closed"
    flag.save()
    item.proved_by = visit(unit, D(2024, 5, 20), element)
    item.save()
    assert (DueReason.PROVING, "J1") not in due(unit.bridge)


def test_an_event_is_due_until_a_visit_that_names_it_is_handed_in(unit):
    element = make_element(unit)
    unit.bridge.time_zone = "America/Los_Angeles"
    unit.bridge.save()
    event = Event.objects.create(
        kind="earthquake",
        name="Quake",
        occurred_at=dt.datetime(2024, 3, 1, 3, tzinfo=UTC),
        within_days=2,
    )
    EventBridge.objects.create(event=event, bridge=unit.bridge)
    # It was still 29 February there.
    assert due(unit.bridge)[DueReason.EVENT, None] == D(2024, 3, 2)
    visit(unit, D(2024, 3, 1), element, kind="event")
    assert (DueReason.EVENT, None) in due(unit.bridge)
    visit(unit, D(2024, 3, 2), element, kind="event", event=event)
    assert (DueReason.EVENT, None) not in due(unit.bridge)


def test_rows_that_still_say_the_same_are_kept(unit):
    element = make_element(unit)
    visit(unit, D(2024, 1, 31), element)
    write_due(unit.bridge_id)
    before = {row.reason: row.pk for row in Due.objects.all()}
    visit(unit, D(2024, 5, 1), element)
    write_due(unit.bridge_id)
    after = {row.reason: row.pk for row in Due.objects.all()}
    assert after[DueReason.IN_DEPTH] == before[DueReason.IN_DEPTH]
    assert after[DueReason.ROUTINE] != before[DueReason.ROUTINE]
    assert len(after) == Due.objects.count() == 2


def test_the_agencys_new_intervals_are_carried_to_all_bridges(unit):
    visit(unit, D(2024, 1, 31), make_element(unit))
    other = make_unit(make_bridge("P-2"))
    visit(other, D(2024, 2, 29), make_element(other))
    AgencySettings.objects.create(routine_interval_months=12)
    done = []
    write_due_all(done.append)
    days = Due.objects.filter(reason=DueReason.ROUTINE).order_by("due_on")
    assert [row.due_on for row in days] == [D(2025, 1, 31), D(2025, 2, 28)]
    assert sum(done) == 2
