"""What the desk writes, by the API: visits planned, intervals, work ordered, events recorded."""

import datetime as dt

import pytest
from django.utils import timezone

from inspections.models import Decision, Event, Interval, PlannedVisit, WorkOrder
from tests.api.calls import Caller, fields_of, is_problem
from tests.inspections.work_rows import a_unit, off_joints, position
from tests.make import make_bridge, make_element, make_unit, make_user

pytestmark = pytest.mark.django_db


@pytest.fixture
def engineer() -> Caller:
    return Caller(make_user("engineer"))


@pytest.fixture
def bridge():
    made = make_bridge("B-1")
    make_element(make_unit(made), "pot", code="P-1")
    return made


def in_days(count: int) -> str:
    return f"{timezone.localdate() + dt.timedelta(days=count)}"


def test_a_visit_is_planned_moved_and_opened(engineer, bridge):
    lead = make_user("inspector", username="lead")
    body = {"bridge": "B-1", "kind": "routine", "planned_on": in_days(20), "lead": "lead"}
    made = engineer.post("planned-visits/", body, key="planned-once").json()
    assert (made["bridge"], made["lead"]) == ("B-1", "lead")
    assert engineer.post("planned-visits/", body, key="planned-once").json() == made
    assert PlannedVisit.objects.count() == 1
    address = f"planned-visits/{made['id']}"
    later = {"kind": "in_depth", "planned_on": in_days(30), "lead": "lead", "note": "With a lift"}
    moved = engineer.post(f"{address}/change/", later)
    assert (moved.status_code, moved.json()["kind"]) == (200, "in_depth")
    today = {"date": in_days(0), "team": "lead and one"}
    opened = engineer.post(f"{address}/open/", today)
    assert (opened.status_code, opened.json()["lead"]) == (201, "lead")
    assert PlannedVisit.objects.get().inspection_id == opened.json()["id"]
    assert lead.pk == PlannedVisit.objects.get().inspection.lead_id
    is_problem(engineer.post(f"{address}/cancel/", {}), 409)


def test_a_visit_is_cancelled_and_stays_on_record(engineer, bridge):
    body = {"bridge": "B-1", "kind": "routine", "planned_on": in_days(20)}
    made = engineer.post("planned-visits/", body).json()
    gone = engineer.post(f"planned-visits/{made['id']}/cancel/", {})
    assert gone.status_code == 200
    assert gone.json()["cancelled_at"]


@pytest.mark.parametrize(
    ("change", "field"),
    [({"planned_on": "2020-01-01"}, "planned_on"), ({"lead": "nobody"}, "lead"),
     ({"event": 2**70}, "event"), ({"kind": "?"}, "kind"), ({"crow": []}, "crow")],
)  # fmt: skip
def test_a_wrong_plan_is_refused_at_its_field(engineer, bridge, change, field):
    body = {"bridge": "B-1", "kind": "routine", "planned_on": in_days(20)} | change
    assert fields_of(is_problem(engineer.post("planned-visits/", body), 400)) == [field]
    assert not PlannedVisit.objects.exists()


def test_an_interval_is_set_anew_and_ended(engineer, bridge):
    body = {"bridge": "B-1", "kind": "routine", "months": 12, "reason": "Widened"}
    first = engineer.post("intervals/", body).json()
    second = engineer.post("intervals/", body | {"months": 6}).json()
    assert (second["id"], second["months"]) == (first["id"], 6)
    address = f"intervals/{first['id']}/end/"
    assert fields_of(is_problem(engineer.post(address, {"reason": " "}), 400)) == ["reason"]
    assert engineer.post(address, {"reason": "Settled"}).status_code == 200
    assert not Interval.objects.exists()


def test_work_on_a_flag_is_a_signed_decision_and_goes_its_way(engineer):
    (joint,) = off_joints(a_unit("B-2"), "J-1")
    flag = position(joint)
    body = {
        "bridge": "B-2", "kind": "reset", "title": "Reset the joint", "ordered_on": in_days(0),
        "flags": [flag.pk], "reason": "It has moved", "cost_estimate": "1200.50",
    }  # fmt: skip
    told = is_problem(engineer.post("work-orders/", body | {"reason": ""}), 400)
    assert fields_of(told) == ["reason"]
    made = engineer.post("work-orders/", body).json()
    assert (made["state"], made["cost_estimate"]) == ("ordered", "1200.50")
    assert [each["element"] for each in made["items"]] == [joint.pk]
    assert Decision.objects.get(flag=flag).reason == "It has moved"
    address = f"work-orders/{made['id']}"
    changed = {"title": "Reset it", "planned_on": in_days(9), "cost": "900.00"}
    assert engineer.post(f"{address}/change/", changed).json()["cost"] == "900.00"
    begun = engineer.post(f"{address}/begin/", {"begun_on": in_days(0)})
    assert (begun.status_code, begun.json()["state"]) == (200, "begun")
    gone = engineer.post(f"{address}/cancel/", {"reason": "Wrong joint"}).json()
    assert (gone["state"], gone["cancelled_why"]) == ("cancelled", "Wrong joint")
    flag.refresh_from_db()
    assert flag.state == "open"


def test_work_on_another_bridges_element_is_refused(engineer, bridge):
    (joint,) = off_joints(a_unit("B-2"), "J-1")
    body = {
        "bridge": "B-1", "kind": "repair", "title": "Mend", "ordered_on": in_days(0),
        "elements": [joint.pk],
    }  # fmt: skip
    is_problem(engineer.post("work-orders/", body), 400)
    assert not WorkOrder.objects.exists()


def test_an_event_is_recorded_with_its_bridges(engineer, bridge):
    body = {
        "kind": "flood", "name": "Spring flood", "occurred_at": "2025-04-02T06:00:00+02:00",
        "bridges": ["B-1"],
    }  # fmt: skip
    made = engineer.post("events/", body)
    assert (made.status_code, made.json()["bridge_count"]) == (201, 1)
    wrong = {"bridges": []} | {"occurred_at": "2090-01-01T00:00:00Z"}
    told = is_problem(engineer.post("events/", body | wrong), 400)
    assert set(fields_of(told)) <= {"bridges", "occurred_at"}
    assert Event.objects.count() == 1


NEEDED = {
    "planned-visits/": "inspections.plan_visits", "intervals/": "inspections.plan_visits",
    "work-orders/": "inspections.manage_work", "events/": "inspections.plan_visits",
}  # fmt: skip


@pytest.mark.parametrize("role", ["inspector", "engineer", "manager"])
@pytest.mark.parametrize("address", NEEDED)
def test_who_may_not_write_it_on_the_pages_may_not_here(role, address):
    caller = Caller(make_user(role))
    may = caller.key.owner.has_perm(NEEDED[address])
    assert may or role != "engineer"
    is_problem(caller.post(address, {}), 400 if may else 403)
