"""A visit planned, changed, cancelled and opened; intervals and calendar keys."""

import datetime as dt
import hashlib
from zoneinfo import ZoneInfo

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from inspections.models import CalendarKey, Due, Event, EventBridge, Interval, PlannedVisit
from inspections.services import calendar_keys, intervals, plan_visits
from tests.make import UTC, make_bridge, make_element, make_inspection, make_unit, make_user

pytestmark = pytest.mark.django_db
DAY = dt.timedelta(days=1)


def today() -> dt.date:
    return timezone.now().date()


@pytest.fixture
def bridge():
    bridge = make_bridge("P-1")
    make_element(make_unit(bridge), code="J1")
    return bridge


@pytest.fixture
def lead():
    return make_user("inspector", username="lead")


def plan(bridge, **fields) -> PlannedVisit:
    values = {"kind": "routine", "planned_on": today() + 30 * DAY} | fields
    return plan_visits.plan_visit(bridge=bridge, **values)


def test_a_planned_visit_becomes_an_inspection_with_its_lead_crew_and_event(bridge, lead):
    second = make_user("inspector")
    event = Event.objects.create(
        kind="flood", name="Flood", occurred_at=timezone.now(), within_days=7
    )
    EventBridge.objects.create(event=event, bridge=bridge)
    visit = plan(bridge, kind="event", event=event, lead=lead, crew=[lead, second], note="J1")
    inspection = plan_visits.open_visit(visit=visit, date=today(), team="lead and one")
    assert (inspection.kind, inspection.date) == ("event", today())
    assert (inspection.lead, inspection.event) == (lead, event)
    assert list(inspection.crew.all()) == [second]
    visit.refresh_from_db()
    assert visit.inspection == inspection


def test_an_inspection_that_stands_open_is_taken_for_the_one_planned(bridge, lead):
    visit = plan(bridge, lead=lead)
    standing = make_inspection(bridge, today())
    assert plan_visits.open_visit(visit=visit, date=today(), team="two") == standing
    standing.refresh_from_db()
    assert standing.lead == lead


@pytest.mark.parametrize("end", ["cancel", "open"])
def test_a_visit_that_is_no_longer_planned_is_not_changed(bridge, end):
    visit = plan(bridge)
    if end == "cancel":
        plan_visits.cancel_visit(visit=visit)
    else:
        plan_visits.open_visit(visit=visit, date=today(), team="two")
    for change in (
        lambda: plan_visits.change_visit(visit=visit, kind="routine", planned_on=today()),
        lambda: plan_visits.cancel_visit(visit=visit),
        lambda: plan_visits.open_visit(visit=visit, date=today(), team="two"),
    ):
        with pytest.raises(ValidationError, match="too late"):
            change()


def test_a_day_that_has_passed_at_the_bridge_is_refused():
    # On one of the two sides of the date line it is always another day.
    for zone in ("Pacific/Kiritimati", "Pacific/Pago_Pago"):
        there = make_bridge(time_zone=zone)
        local = timezone.now().astimezone(ZoneInfo(zone)).date()
        assert plan(there, planned_on=local).planned_on == local
        with pytest.raises(ValidationError) as refusal:
            plan(there, planned_on=local - DAY)
        assert "has passed" in refusal.value.message_dict["planned_on"][0]


@pytest.mark.parametrize(
    ("fields", "at"),
    [
        ({"planned_on": dt.date(2199, 1, 1)}, "planned_on"),
        ({"kind": "event"}, "event"),
        ({"kind": "other"}, "kind"),
        ({"note": "x" * 241}, "note"),
    ],
)
def test_what_cannot_be_planned_is_refused_at_its_field(bridge, fields, at):
    with pytest.raises(ValidationError) as refusal:
        plan(bridge, **fields)
    assert list(refusal.value.message_dict) == [at]


def test_an_event_of_other_bridges_is_refused(bridge):
    event = Event.objects.create(
        kind="flood", name="Flood", occurred_at=dt.datetime(2024, 1, 1, tzinfo=UTC), within_days=7
    )
    with pytest.raises(ValidationError, match="not among the bridges"):
        plan(bridge, event=event)


def test_two_visits_of_a_kind_on_one_day_are_refused_unless_the_first_is_cancelled(bridge):
    first = plan(bridge)
    with pytest.raises(ValidationError, match="already"):
        plan(bridge)
    plan(bridge, kind="in_depth")
    plan_visits.cancel_visit(visit=first)
    plan(bridge)


def test_a_change_keeps_an_old_day_and_leaves_its_history(bridge, lead):
    visit = plan(bridge)
    PlannedVisit.objects.filter(pk=visit.pk).update(planned_on=today() - DAY)
    engineer = make_user("engineer")
    changed = plan_visits.change_visit(
        visit=visit, kind="routine", planned_on=today() - DAY, lead=lead, user=engineer
    )
    assert changed.lead == lead
    assert changed.history.count() == 2
    assert changed.history.first().history_user == engineer


def test_an_interval_is_set_changed_and_ended_with_its_reasons(bridge):
    engineer = make_user("engineer")
    fields = {"bridge": bridge, "kind": "routine", "user": engineer}
    intervals.set_interval(months=12, reason="Drifts", **fields)
    interval = intervals.set_interval(months=6, reason="Drifts fast", **fields)
    assert Interval.objects.count() == 1
    assert Due.objects.get(bridge=bridge, reason="routine").months == 6
    intervals.end_interval(interval=interval, reason="Mended", user=engineer)
    assert Due.objects.get(bridge=bridge, reason="routine").months == 24
    kept = Interval.history.filter(bridge=bridge).order_by("history_date", "history_id")
    assert [(row.history_type, row.months) for row in kept] == [("+", 12), ("~", 6), ("-", 6)]
    assert kept.last().history_change_reason == "Mended"
    assert {row.history_user for row in kept} == {engineer}


@pytest.mark.parametrize(
    ("fields", "at"), [({"months": 0}, "months"), ({"months": 241}, "months"),
                       ({"reason": " "}, "reason"), ({"kind": "event"}, "kind")]
)  # fmt: skip
def test_an_interval_that_cannot_be_is_refused_at_its_field(bridge, fields, at):
    values = {"bridge": bridge, "kind": "routine", "months": 12, "reason": "Why"} | fields
    with pytest.raises(ValidationError) as refusal:
        intervals.set_interval(**values)
    assert at in refusal.value.message_dict


def test_an_interval_of_another_bridges_element_is_refused(bridge):
    other = make_bridge("P-2")
    element = make_element(make_unit(other))
    with pytest.raises(ValidationError, match="another bridge"):
        intervals.set_interval(bridge=bridge, element=element, kind="routine", months=3, reason="x")


def test_only_the_hash_of_a_calendar_key_is_kept(lead):
    key = calendar_keys.make_key(user=lead)
    row = CalendarKey.objects.get()
    assert row.digest == hashlib.sha256(key.encode()).hexdigest()
    assert len(key) >= 43  # 256 bits in base 64
    calendar_keys.end_key(key=row)
    ended = CalendarKey.objects.get().ended_at
    calendar_keys.end_key(key=row)
    assert CalendarKey.objects.get().ended_at == ended


def test_a_user_keeps_few_calendar_keys(lead):
    for _ in range(calendar_keys.MOST_KEYS):
        calendar_keys.make_key(user=lead)
    with pytest.raises(ValidationError, match="End one"):
        calendar_keys.make_key(user=lead)
