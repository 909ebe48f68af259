"""Thresholds by the API: what holds, what a change would do, and what it then does."""

import datetime as dt

import pytest

from inspections.models import AgencySettings, ElementStatus, Flag, Job, ToJudge
from inspections.selectors.thresholds import history_of_settings
from inspections.services.visits import submit
from tests.api.calls import Caller, fields_of, is_problem
from tests.inspections.desk_rows import words
from tests.make import (
    SET_AT_20_C,
    make_bridge,
    make_element,
    make_inspection,
    make_unit,
    make_user,
    read,
)

pytestmark = pytest.mark.django_db

WHY = {"reason": "Spring review", "based_on": 0}
MILD = {"watch_k": 9.9, "out_k": 20.0}


@pytest.fixture
def engineer() -> Caller:
    return Caller(make_user("engineer", username="engineer"))


@pytest.fixture
def bearing():
    """A bearing 2.2 standard uncertainties off, as one that is to watch by the defaults."""
    unit = make_unit(make_bridge("B-1"))
    visit = make_inspection(unit.bridge, dt.date(2024, 2, 1))
    made = make_element(
        unit,
        code="NEAR",
        installation=SET_AT_20_C,
        design={"movement_back_mm": 120.0, "movement_ahead_mm": 120.0},
    )
    read(visit, made, "offset_along", -32.0, -15.0)
    submit(inspection=visit)
    return made


@pytest.fixture
def committed(django_capture_on_commit_callbacks):
    """Post as where the transaction of the write ends with the request."""

    def post(caller, body, key=None):
        with django_capture_on_commit_callbacks(execute=True):
            return caller.post("thresholds/", body, key=key)

    return post


def test_a_change_holds_and_is_on_record_as_one_of_the_page(engineer, as_role, committed):
    answer = committed(engineer, {"watch_k": 1.5, "currency": "EUR"} | WHY)
    assert answer.status_code == 200
    told = answer.json()
    assert told == engineer.get("thresholds/").json()
    assert told["currency"] == "EUR"
    [figure] = [each for each in told["figures"] if each["name"] == "watch_k"]
    assert (figure["value"], figure["default"], figure["group"]) == (
        1.5,
        2.0,
        "Thresholds of the verdict",
    )
    [change] = history_of_settings()
    assert (change.by, change.reason) == ("engineer", "Spring review")
    assert change.figures == [("watch_k", 2.0, 1.5), ("currency", "USD", "EUR")]
    page = words(as_role("manager").get("/thresholds/"))
    assert "2.0 → 1.5" in page


def test_what_a_change_enters_is_judged_again_by_it(engineer, bearing, committed):
    assert ElementStatus.objects.get().get_verdict_display() == "Watch"
    told = committed(engineer, MILD | WHY).json()
    assert told["still_to_judge"]["left"] == 1
    assert ElementStatus.objects.get().get_verdict_display() == "In range"
    assert not Flag.objects.filter(element=bearing, cause="position").exists()
    assert not ToJudge.objects.exists()
    assert engineer.get("thresholds/").json()["still_to_judge"] is None


def test_weights_and_money_judge_nothing_again(engineer, bearing, committed):
    told = committed(engineer, {"weight_age": 50, "currency": "EUR"} | WHY).json()
    assert told["still_to_judge"] is None
    assert not Job.objects.exists()


def test_a_change_sent_twice_is_saved_once(engineer, bearing, committed):
    first = committed(engineer, {"watch_k": 1.5} | WHY, key="saved-once")
    again = committed(engineer, {"watch_k": 1.5} | WHY, key="saved-once")
    assert again.json() == first.json()
    assert again["Idempotency-Replayed"] == "true"
    assert len(history_of_settings()) == Job.objects.count() == 1


def test_a_change_of_what_somebody_else_has_changed_meanwhile_is_refused(engineer, committed):
    version = committed(engineer, {"watch_k": 1.5} | WHY).json()["version"]
    late = is_problem(engineer.post("thresholds/", {"watch_k": 1.2} | WHY), 409)
    assert "Somebody else has changed" in late["detail"]
    assert AgencySettings.current().watch_k == 1.5
    seen = {"watch_k": 1.2} | WHY | {"based_on": version}
    assert committed(engineer, seen).status_code == 200


@pytest.mark.parametrize(
    ("change", "field", "told"),
    [
        ({"watch_k": 99}, "watch_k", "10"),
        ({"watch_k": 5}, "watch_k", "not below 3"),
        ({"watch_k": None}, "watch_k", "null"),
        ({"watch_k": "nan"}, "watch_k", "number"),
        ({"watch_kk": 1.5}, "watch_kk", "There is no such field"),
        ({"currency": "eur"}, "currency", "three capital letters"),
        ({"frozen_below": 0.9}, "free_above", "Let the three rise"),
        ({"watch_k": 1.5, "reason": " "}, "reason", "blank"),
        ({"watch_k": 1.5, "reason": "x" * 101}, "reason", "100"),
        ({"watch_k": 1.5, "based_on": -1}, "based_on", "0"),
    ],
)
def test_what_cannot_be_saved_is_refused_at_its_field(engineer, change, field, told):
    refused = is_problem(engineer.post("thresholds/", WHY | change), 400)
    assert fields_of(refused) == [field]
    assert told in refused["detail"]
    assert not AgencySettings.objects.exists()


def test_a_change_of_nothing_is_refused(engineer):
    told = is_problem(engineer.post("thresholds/", WHY | {"watch_k": 2.0}), 409)
    assert "Nothing is different" in told["detail"]
    assert not AgencySettings.objects.exists()


def test_the_preview_of_a_bridge_tells_what_saving_then_gives(engineer, bearing, committed):
    flag = Flag.objects.get(element=bearing, cause="position")
    told = engineer.get("thresholds/preview/B-1/", **MILD).json()
    assert (told["verdicts_before"]["watch"], told["verdicts_after"]["watch"]) == (1, 0)
    assert told["verdicts_after"]["in_range"] == 1
    [change] = told["flags"]
    assert (change["flag"], change["cause"], change["what"]) == (flag.pk, "position", "goes")
    assert not AgencySettings.objects.exists()
    assert Flag.objects.filter(pk=flag.pk).exists()
    committed(engineer, MILD | WHY)
    assert ElementStatus.objects.get().get_verdict_display() == "In range"


def test_the_preview_counts_what_is_due_by_another_interval(engineer, bearing):
    told = engineer.get("thresholds/preview/B-1/", routine_interval_months=240).json()
    assert told["due_after"] == told["due_before"] - 1
    assert told["verdicts_before"] == told["verdicts_after"]
    assert told["flags"] == []


def test_the_preview_tells_the_figures_and_the_first_of_the_queue(engineer, bearing):
    told = engineer.get("thresholds/preview/", weight_age=90).json()
    assert [(each["name"], float(each["after"])) for each in told["figures"]] == [
        ("weight_age", 90.0)
    ]
    assert not told["by_bridge"]
    assert [(each["element_code"], each["place"], each["place_now"])
            for each in told["first_of_queue"]] == [("NEAR", 1, 1)]  # fmt: skip
    told = engineer.get("thresholds/preview/", **MILD).json()
    assert told["by_bridge"]
    assert told["first_of_queue"] == []


@pytest.mark.parametrize("address", ["", "B-1/"])
@pytest.mark.parametrize(
    ("query", "field"),
    [({"watch_k": "lots"}, "watch_k"), ({"watch_k": "5"}, "watch_k"), ({"reason": "?"}, "reason")],
)
def test_a_preview_of_what_cannot_be_is_refused(engineer, bearing, address, query, field):
    told = is_problem(engineer.get(f"thresholds/preview/{address}", **query), 400)
    assert fields_of(told) == [field]


def test_a_preview_of_a_bridge_that_holds_nothing_is_not_known(engineer):
    make_bridge("EMPTY")
    is_problem(engineer.get("thresholds/preview/EMPTY/", watch_k=1.5), 404)


@pytest.mark.parametrize("role", ["inspector", "manager"])
def test_who_may_not_change_the_figures_on_the_page_may_not_here(role, bearing):
    caller = Caller(make_user(role))
    assert caller.get("thresholds/").status_code == 200
    is_problem(caller.post("thresholds/", {"watch_k": 1.5} | WHY), 403)
    for address in ("thresholds/preview/", "thresholds/preview/B-1/"):
        is_problem(caller.get(address, watch_k=1.5), 403)
    assert not AgencySettings.objects.exists()


def test_a_key_that_may_only_read_changes_nothing():
    caller = Caller(make_user("engineer"), scopes="read")
    is_problem(caller.post("thresholds/", {"watch_k": 1.5} | WHY), 403)
    assert not AgencySettings.objects.exists()
