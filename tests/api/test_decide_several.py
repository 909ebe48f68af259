"""One decision on several flags by the API, signed on all of them or on none."""

import pytest

from inspections.models import Decision, Flag
from tests.api.calls import Caller, fields_of, is_problem
from tests.inspections.work_rows import a_unit, off_joints, position
from tests.make import make_user

pytestmark = pytest.mark.django_db

ACCEPTED = {"kind": "accept", "reason": "Stable for years", "until": "2090-01-01"}


@pytest.fixture
def engineer() -> Caller:
    return Caller(make_user("engineer", username="engineer"))


@pytest.fixture
def flags() -> list[Flag]:
    return [position(each) for each in off_joints(a_unit("B-1"), "J-1", "J-2")]


def test_one_decision_is_signed_on_all_flags(engineer, flags):
    body = ACCEPTED | {"flags": [flag.pk for flag in flags]}
    answer = engineer.post("flags/decisions/", body, key="signed-once")
    assert answer.status_code == 201
    told = answer.json()["decisions"]
    assert [each["flag"] for each in told] == [flag.pk for flag in flags]
    assert {each["decided_by"] for each in told} == {"engineer"}
    assert len({each["together"] for each in told}) == 1
    assert len({each["digest"] for each in told}) == 2
    assert engineer.post("flags/decisions/", body, key="signed-once").json() == answer.json()
    assert Decision.objects.count() == 2
    assert {flag.state for flag in Flag.objects.filter(pk__in=body["flags"])} == {"accepted"}
    rows = engineer.get("flags/", state="accepted").json()["results"]
    assert [each["decisions"] for each in rows] == [[each] for each in told]


def test_a_flag_named_twice_is_decided_on_once(engineer, flags):
    body = ACCEPTED | {"flags": [flags[0].pk, flags[0].pk]}
    assert len(engineer.post("flags/decisions/", body).json()["decisions"]) == 1


def test_where_one_flag_refuses_none_is_signed_and_the_refusal_names_it(engineer, flags):
    Flag.objects.filter(pk=flags[0].pk).update(state="withdrawn")
    body = ACCEPTED | {"flags": [flag.pk for flag in flags]}
    told = is_problem(engineer.post("flags/decisions/", body), 409)
    assert "J-1" in told["detail"]
    assert "J-2" not in told["detail"]
    assert not Decision.objects.exists()


@pytest.mark.parametrize(
    ("change", "field"),
    [({"flags": []}, "flags"), ({"flags": [2**70]}, "flags"), ({"flags": [999_999]}, "flags"),
     ({"until": None}, "until"), ({"kind": "?"}, "kind"), ({"reason": ""}, "reason"),
     ({"flag": 1}, "flag")],
)  # fmt: skip
def test_a_wrong_decision_is_refused_at_its_field(engineer, flags, change, field):
    body = ACCEPTED | {"flags": [flag.pk for flag in flags]} | change
    assert fields_of(is_problem(engineer.post("flags/decisions/", body), 400)) == [field]
    assert not Decision.objects.exists()


@pytest.mark.parametrize("role", ["inspector", "manager"])
def test_who_may_not_decide_on_the_page_may_not_here(role, flags):
    body = ACCEPTED | {"flags": [flag.pk for flag in flags]}
    is_problem(Caller(make_user(role)).post("flags/decisions/", body), 403)
    assert not Decision.objects.exists()
