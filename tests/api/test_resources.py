"""Each resource: who may read it, its pages, filters, order, units, and its count of queries."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inventory.models import Bridge, Element
from tests.api.calls import (
    RESOURCES,
    WITHOUT_ID,
    Caller,
    fields_of,
    is_problem,
    one_more,
    one_of_each,
)
from tests.make import judged_once, make_bridge, make_user

pytestmark = pytest.mark.django_db
IN_FULL = {"option-studies": {"criteria", "means", "findings", "orders", "story"}}
"""What one row tells beyond the list."""


@pytest.fixture
def caller() -> Caller:
    return Caller(make_user("engineer"))


@pytest.mark.parametrize("role", ["inspector", "engineer", "manager"])
@pytest.mark.parametrize("resource", RESOURCES)
def test_every_role_reads_each_resource_by_session_as_on_the_pages(as_role, role, resource):
    one_more(resource)
    client = as_role(role)
    listed = client.get(f"/api/v1/{resource}/")
    assert listed.status_code == 200
    rows = listed.json()["results"]
    assert rows
    own = rows[0]["code"] if resource in ("districts", "bridges") else rows[0]["id"]
    one = client.get(f"/api/v1/{resource}/{own}/")
    assert one.status_code == 200
    more = one.json().keys() - rows[0].keys()
    assert more == IN_FULL.get(resource, set())
    assert {name: one.json()[name] for name in rows[0]} == rows[0]


@pytest.mark.parametrize("resource", [*RESOURCES, *WITHOUT_ID, "thresholds"])
def test_an_outsider_is_told_403_and_nobody_401(as_role, client, resource):
    told = is_problem(client.get(f"/api/v1/{resource}/"), 401)
    assert told["title"] == "Not signed in"
    is_problem(as_role(None).get(f"/api/v1/{resource}/"), 403)


@pytest.mark.parametrize("resource", RESOURCES)
def test_nothing_can_be_changed_or_removed(caller, resource):
    one_more(resource)
    row = caller.get(f"{resource}/").json()["results"][0]
    own = row["code"] if resource in ("districts", "bridges") else row["id"]
    address = f"/api/v1/{resource}/{own}/"
    for method in ("put", "patch", "delete"):
        is_problem(getattr(caller.client, method)(address, headers=caller.headers), 405)


@pytest.mark.parametrize("resource", [*RESOURCES, *WITHOUT_ID])
def test_queries_do_not_grow_with_rows(caller, resource):
    def queries() -> int:
        with CaptureQueriesContext(
            connection,
        ) as asked:
            assert caller.get(f"{resource}/").status_code == 200
        return len(asked)

    with judged_once():
        one_more(resource)
    queries()  # notes the first use of the key
    few = queries()
    with judged_once():
        for _ in range(4):
            one_more(resource)
    assert queries() == few <= 12


def test_a_list_comes_in_pages_of_the_size_asked_for(caller):
    for number in range(5):
        make_bridge(f"P-{number}")
    first = caller.get("bridges/", page_size=2).json()
    assert first["count"] == 5
    assert [row["code"] for row in first["results"]] == ["P-0", "P-1"]
    last = caller.get("bridges/", page_size=2, page=3).json()
    assert [row["code"] for row in last["results"]] == ["P-4"]
    assert last["next"] is None


@pytest.mark.parametrize(
    ("parameter", "value"),
    [
        ("page_size", "201"),
        ("page_size", "0"),
        ("page_size", "many"),
        ("units", "imperial"),
        ("ordering", "password"),
        ("state", "mislaid"),
        ("date_from", "yesterday"),
        ("event", "one"),
        ("bridge", "\x00"),
        ("brigde", "A-1"),
    ],
)
def test_a_bad_parameter_is_named_with_its_remedy(caller, parameter, value):
    told = is_problem(caller.get("inspections/", **{parameter: value}), 400)
    assert fields_of(told) == [parameter]


@pytest.mark.parametrize("time", ["noon", "0001-01-01T00:00:00+14:00", "9999-12-31T23:59:59-12:00"])
def test_a_time_that_cannot_be_meant_is_refused(caller, time):
    assert fields_of(is_problem(caller.get("readings/", taken_from=time), 400)) == ["taken_from"]


def test_readings_of_a_span_of_time_are_found(caller):
    one_of_each()
    taken = caller.get("readings/").json()["results"][0]["taken_at"]
    assert caller.get("readings/", taken_from=taken, taken_until=taken).json()["count"] == 1
    assert caller.get("readings/", taken_from="2024-06-02T00:00:00+02:00").json()["count"] == 0


@pytest.mark.parametrize("page", ["0", "99", "last-but-one", "9" * 40])
def test_a_page_that_is_none_is_not_known(caller, page):
    is_problem(caller.get("bridges/", page=page), 404)


@pytest.mark.parametrize(
    "path", ["bridges/NONE/", "elements/999999/", "elements/abc/", "nothing/", f"flags/{'9' * 30}/"]
)
def test_what_is_not_there_is_told_as_a_problem(caller, path):
    is_problem(caller.get(path), 404)


def test_lists_are_narrowed_and_ordered(caller):
    with judged_once():
        one_of_each()
        one_of_each()
    here, there = Bridge.objects.order_by("code")
    for resource in ("units", "supports", "elements", "readings", "verdicts", "flags"):
        rows = caller.get(f"{resource}/", bridge=here.code).json()["results"]
        assert {row["bridge"] for row in rows} == {here.code}
    downwards = caller.get("bridges/", ordering="-code").json()["results"]
    assert [row["code"] for row in downwards] == [there.code, here.code]
    judged = {row["verdict"] for row in caller.get("verdicts/").json()["results"]}
    for word in judged:
        found = caller.get("verdicts/", verdict=word).json()["results"]
        assert {row["verdict"] for row in found} == {word}
    assert caller.get("readings/", standing="false").json()["count"] == 0


def test_a_reading_says_its_quantity_and_unit_in_its_name(caller):
    one_of_each()
    metric = caller.get("readings/").json()["results"][0]
    assert metric["gap_mm"] == 45.5
    assert "gap_in" not in metric
    us = caller.get("readings/", units="us").json()["results"][0]
    assert us["gap_in"] == pytest.approx(45.5 / 25.4)
    assert "gap_mm" not in us
    assert us["typed"] == metric["typed"]


def test_us_units_reach_nested_rows_and_tell_points_from_differences(caller):
    one_of_each()
    element = caller.get("elements/", units="us").json()["results"][0]
    assert element["station_ft"] == pytest.approx(100 / 0.3048)
    device = element["current_installation"]
    assert device["setting_temperature_f"] == pytest.approx(50.0)
    assert device["joint_design"]["opening_max_in"] == pytest.approx(90 / 25.4)
    assert device["bearing_design"] is None
    assert not [name for name in device["joint_design"] if name.endswith("_mm")]
    verdict = caller.get("verdicts/", units="us").json()["results"][0]
    metric = caller.get("verdicts/").json()["results"][0]
    assert verdict["temperature_f"] == pytest.approx(68.0)
    assert verdict["u_temperature_delta_f"] == pytest.approx(1.8 * metric["u_temperature_k"])
    unit = caller.get("units/", units="us").json()["results"][0]
    assert unit["expansion_per_f"] == pytest.approx(6.5e-6)


def test_a_flag_comes_with_its_decisions(caller):
    one_of_each()
    flag = caller.get("flags/", cause="critical").json()["results"][0]
    assert [each["kind"] for each in flag["decisions"]] == ["work_ordered"]
    assert flag["element"] == Element.objects.get().pk


@pytest.mark.parametrize("resource", [*RESOURCES, *WITHOUT_ID])
def test_heads_and_options_are_answered_as_well(caller, resource):
    one_more(resource)
    for method in ("head", "options"):
        answer = getattr(caller.client, method)(f"/api/v1/{resource}/", headers=caller.headers)
        assert answer.status_code == 200
    is_problem(caller.client.options(f"/api/v1/{resource}/"), 401)


def test_another_format_is_told_to_be_none(caller):
    answer = caller.client.get(
        "/api/v1/bridges/", headers=caller.headers | {"Accept": "application/xml"}
    )
    is_problem(answer, 406)
