"""Intervals by the API: those in force, the agency's among them, and how they came to be."""

import pytest

from inspections.services.intervals import end_interval, set_interval
from tests.api.calls import Caller, fields_of, is_problem
from tests.inspections.desk_rows import words
from tests.make import make_bridge, make_element, make_unit, make_user

pytestmark = pytest.mark.django_db


@pytest.fixture
def engineer() -> Caller:
    return Caller(make_user("engineer"))


def in_force(caller, **query):
    rows = caller.get("intervals/in-force/", **query).json()["results"]
    return [(each["bridge"], each["element_code"], each["kind"], each["months"]) for each in rows]


def test_the_agencys_interval_stands_where_a_bridge_has_none_of_its_own(engineer, as_role):
    for code in ("B-1", "B-2"):
        make_element(make_unit(make_bridge(code)), "pot", code="P-1")
    make_bridge("EMPTY")
    client = as_role("engineer")
    page = words(client.get("/bridges/B-1/intervals/"))
    assert "routine every 24 months, in-depth every 72" in page
    body = {"bridge": "B-1", "kind": "routine", "months": 12, "reason": "Widened"}
    own = engineer.post("intervals/", body).json()
    bearing = engineer.get("elements/", bridge="B-1").json()["results"][0]["id"]
    engineer.post("intervals/", body | {"element": bearing, "months": 6})
    assert in_force(engineer) == [
        ("B-1", None, "routine", 12),
        ("B-1", None, "in_depth", 72),
        ("B-1", "P-1", "routine", 6),
        ("B-2", None, "routine", 24),
        ("B-2", None, "in_depth", 72),
    ]
    rows = engineer.get("intervals/in-force/", bridge="B-1").json()["results"]
    assert [(each["interval"], each["reason"]) for each in rows[:2]] == [
        (own["id"], "Widened"),
        (None, ""),
    ]


def test_a_change_of_the_agencys_interval_is_in_force_at_once(engineer):
    make_element(make_unit(make_bridge("B-1")), "pot")
    body = {"routine_interval_months": 18, "reason": "New rule", "based_on": 0}
    assert engineer.post("thresholds/", body).status_code == 200
    assert ("B-1", None, "routine", 18) in in_force(engineer)


def test_what_was_set_changed_and_ended_is_told_newest_first(engineer):
    bridge, user = make_bridge("B-1"), make_user("engineer", username="planner")
    values = {"bridge": bridge, "kind": "routine", "user": user}
    set_interval(**values, months=12, reason="Widened")
    interval = set_interval(**values, months=6, reason="Cracked")
    end_interval(interval=interval, reason="Mended", user=user)
    rows = engineer.get("intervals/changes/", bridge="B-1").json()["results"]
    assert [(each["what"], each["months"], each["reason"], each["by"]) for each in rows] == [
        ("ended", 6, "Mended", "planner"),
        ("changed", 6, "Cracked", "planner"),
        ("set", 12, "Widened", "planner"),
    ]
    assert engineer.get("intervals/changes/", bridge="B-2").json()["count"] == 0


@pytest.mark.parametrize("address", ["in-force", "changes"])
def test_a_bridge_that_cannot_be_meant_is_refused(engineer, address):
    told = is_problem(engineer.get(f"intervals/{address}/", bridge="\x00"), 400)
    assert fields_of(told) == ["bridge"]
    told = is_problem(engineer.get(f"intervals/{address}/", brigde="B-1"), 400)
    assert fields_of(told) == ["brigde"]


@pytest.mark.parametrize("address", ["in-force", "changes"])
def test_intervals_are_asked_for_no_more_often_for_many_bridges(
    engineer, address, django_assert_max_num_queries
):
    for number in range(4):
        bridge = make_bridge(f"B-{number}")
        bearing = make_element(make_unit(bridge), "pot")
        set_interval(bridge=bridge, element=bearing, kind="routine", months=12, reason="Old")
    engineer.get("intervals/")  # notes the first use of the key
    with django_assert_max_num_queries(9):
        assert engineer.get(f"intervals/{address}/").json()["count"] >= 4
