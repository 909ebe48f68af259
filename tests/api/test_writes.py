"""Writes through the services of the pages; sent twice, they take place once."""

import datetime as dt
import json

import pytest
from django.test import Client
from django.utils import timezone

from inspections.models import (
    Condition,
    Decision,
    IdempotentAnswer,
    Inspection,
    Reading,
    TemperatureReading,
)
from tests import rows_desk
from tests.api.calls import Caller, fields_of, is_problem
from tests.make import make_bridge, make_element, make_inspection, make_unit, make_user

pytestmark = pytest.mark.django_db


@pytest.fixture
def caller() -> Caller:
    return Caller(make_user("inspector"))


@pytest.fixture
def bearing():
    return make_element(make_unit(make_bridge()), "pot")


def offset(at, typed="12.5 mm", **more):
    return {
        "element": at.pk,
        "quantity": "offset_along",
        "typed": typed,
        "taken_at": "2024-06-01T08:30:00Z",
    } | more


def shade(typed="68 F", **more):
    return {"place": "girder_web", "typed": typed, "taken_at": "2024-06-01T08:30:00Z"} | more


def test_a_visit_is_opened_filled_and_handed_in(caller, bearing):
    opened = caller.post(
        "inspections/",
        {"bridge": bearing.bridge.code, "date": "2024-06-01", "team": "two inspectors"},
    )
    assert opened.status_code == 201
    visit = opened.json()
    assert (visit["state"], visit["kind"]) == ("open", "routine")
    rows = {"readings": [offset(bearing, "1/2 in")], "temperatures": [shade()]}
    added = caller.post(f"inspections/{visit['id']}/records/", rows)
    assert added.status_code == 201
    assert added.json() == {"inspection": visit["id"], "added": 2, "already_there": 0}
    assert Reading.objects.get().value == pytest.approx(12.7)
    assert Reading.objects.get().typed == "1/2 in"
    assert TemperatureReading.objects.get().temperature_c == pytest.approx(20.0)
    handed_in = caller.post(f"inspections/{visit['id']}/hand-in/", {})
    assert handed_in.status_code == 200
    assert handed_in.json()["state"] == "submitted"
    assert Inspection.objects.get().created_by == caller.key.owner
    told = is_problem(caller.post(f"inspections/{visit['id']}/hand-in/", {}), 409)
    assert "handed in" in told["detail"]


def test_the_same_write_sent_twice_takes_place_once(caller, bearing):
    body = {"bridge": bearing.bridge.code, "date": "2024-06-01", "team": "two"}
    first = caller.post("inspections/", body, key="once-only-1")
    again = caller.post("inspections/", dict(reversed(body.items())), key="once-only-1")
    assert Inspection.objects.count() == 1
    assert (again.status_code, again.json()) == (201, first.json())
    assert again["Idempotency-Replayed"] == "true"
    assert "Idempotency-Replayed" not in first


def test_a_key_with_another_body_or_address_is_refused(caller, bearing):
    body = {"bridge": bearing.bridge.code, "date": "2024-06-01", "team": "two"}
    visit = caller.post("inspections/", body, key="once-only-1").json()
    is_problem(caller.post("inspections/", body | {"team": "three"}, key="once-only-1"), 422)
    is_problem(caller.post(f"inspections/{visit['id']}/hand-in/", {}, key="once-only-1"), 422)
    assert Inspection.objects.count() == 1


def test_keys_of_two_users_do_not_meet(caller, bearing):
    body = {"bridge": bearing.bridge.code, "date": "2024-06-01", "team": "two"}
    caller.post("inspections/", body, key="once-only-1")
    other = Caller(make_user("inspector")).post(
        "inspections/", body | {"date": "2024-06-02"}, key="once-only-1"
    )
    assert other.status_code == 201


def test_a_refused_write_leaves_its_key_free(caller, bearing):
    visit = make_inspection(bearing.bridge)
    is_problem(caller.post(f"inspections/{visit.pk}/hand-in/", {}, key="once-only-1"), 409)
    assert not IdempotentAnswer.objects.exists()
    caller.post(f"inspections/{visit.pk}/records/", {"readings": [offset(bearing)]})
    done = caller.post(f"inspections/{visit.pk}/hand-in/", {}, key="once-only-1")
    assert done.status_code == 200


def test_condition_states_alone_are_enough_to_hand_a_visit_in(caller, bearing):
    visit = make_inspection(bearing.bridge)
    Condition.objects.create(inspection=visit, element=bearing, defect=0, cs2=1, total=1)
    handed_in = caller.post(f"inspections/{visit.pk}/hand-in/", {})
    assert handed_in.status_code == 200
    assert handed_in.json()["state"] == "submitted"
    (told,) = caller.get("conditions/", inspection=visit.pk).json()["results"]
    assert (told["element"], told["cs2"], told["counts"]) == (bearing.pk, 1, True)


def test_a_code_that_no_row_can_have_is_not_known(caller):
    sent = {"bridge": "\0", "date": "2024-06-01", "team": "two"}
    assert fields_of(is_problem(caller.post("inspections/", sent), 400)) == ["bridge"]


@pytest.mark.parametrize("key", ["", "short", "with a space", "x" * 101])
def test_a_write_needs_its_key(caller, bearing, key):
    told = is_problem(
        caller.client.post(
            "/api/v1/inspections/",
            {"bridge": bearing.bridge.code, "date": "2024-06-01", "team": "two"},
            content_type="application/json",
            headers=caller.headers | {"Idempotency-Key": key},
        ),
        400,
    )
    assert fields_of(told) == ["Idempotency-Key"]


def test_refused_rows_are_named_with_their_remedy_and_none_is_written(caller, bearing):
    visit = make_inspection(bearing.bridge)
    rows = [offset(bearing), offset(bearing, quantity="gap", axis="square", point="left")]
    told = is_problem(caller.post(f"inspections/{visit.pk}/records/", {"readings": rows}), 400)
    assert fields_of(told) == ["readings[1].quantity"]
    assert "Use " in told["errors"][0]["message"]
    assert not Reading.objects.exists()


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"typed": "12.5"}, "readings[0].typed"),
        ({"typed": "12.5 kN"}, "readings[0].typed"),
        ({"typed": "99 m"}, "readings[0].value"),
        ({"element": 999_999}, "readings[0].element"),
        ({"quantity": "weight"}, "readings[0].quantity"),
        ({"taken_at": "noon"}, "readings[0].taken_at"),
        ({"taken_at": "2024-06-01T08:30:00"}, "readings[0].taken_at"),
        ({"taken_at": "0001-01-01T00:00:00+14:00"}, "readings[0].taken_at"),
        ({"taken_at": "9999-12-31T23:59:59-12:00"}, "readings[0].taken_at"),
        ({"typed": "\x00"}, "readings[0].typed"),
        ({"taken_at": "2025-06-01T08:30:00Z"}, "readings[0].taken_at"),
        ({"remrak": "misspelt"}, "readings[0].remrak"),
    ],
)
def test_each_fault_of_a_reading_stands_at_its_field(caller, bearing, change, field):
    visit = make_inspection(bearing.bridge)
    body = {"readings": [offset(bearing, **change)]}
    told = is_problem(caller.post(f"inspections/{visit.pk}/records/", body), 400)
    assert fields_of(told) == [field]


def test_the_same_visit_twice_is_a_conflict(caller, bearing):
    body = {"bridge": bearing.bridge.code, "date": "2024-06-01", "team": "two"}
    caller.post("inspections/", body)
    assert "exists" in is_problem(caller.post("inspections/", body), 409)["detail"]


def test_an_engineer_decides_on_a_flag_and_an_inspector_does_not(caller):
    flag = rows_desk.flag()
    until = f"{timezone.localdate() + dt.timedelta(days=90)}"
    body = {"kind": "accept", "reason": "Within the range of the seal.", "until": until}
    is_problem(caller.post(f"flags/{flag.pk}/decisions/", body), 403)
    engineer = Caller(make_user("engineer"))
    told = is_problem(engineer.post(f"flags/{flag.pk}/decisions/", body | {"until": None}), 400)
    assert fields_of(told) == ["until"]
    signed = engineer.post(f"flags/{flag.pk}/decisions/", body)
    assert signed.status_code == 201
    row = Decision.objects.get()
    assert signed.json()["digest"] == row.digest
    assert (row.decided_by, row.signed_as) == (engineer.key.owner, "engineer")


@pytest.mark.parametrize(
    "body", ["", "[]", "null", "{", '{"team": NaN}', '{"team": "\\ud800"}', "[" * 100_000]
)
def test_a_body_that_is_no_object_is_told_so(caller, body):
    answer = caller.client.post(
        "/api/v1/inspections/",
        body,
        content_type="application/json",
        headers=caller.headers | {"Idempotency-Key": "once-only-1"},
    )
    is_problem(answer, 400)


def test_a_form_is_no_json(caller):
    answer = caller.client.post("/api/v1/inspections/", {"team": "two"}, headers=caller.headers)
    is_problem(answer, 415)


def test_a_session_writes_only_with_its_token(bearing):
    client = Client(enforce_csrf_checks=True)
    client.force_login(make_user("inspector"))
    body = {"bridge": bearing.bridge.code, "date": "2024-06-01", "team": "two"}
    answer = client.post("/api/v1/inspections/", json.dumps(body), content_type="application/json",
                         headers={"Idempotency-Key": "once-only-1"})  # fmt: skip
    is_problem(answer, 403)
    assert not Inspection.objects.exists()
