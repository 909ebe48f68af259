"""The queue and a flag's page: what is shown, in which order, and who may decide."""

import datetime as dt
import re

import pytest
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st

from inspections.desk.queue.shown import parts_of
from inspections.models import AgencySettings, Decision, Flag, SavedFilter
from inspections.services.judge import judge_bridges
from inspections.services.visits import submit
from inventory.models import Bridge
from tests.inspections.desk_rows import words
from tests.make import (
    SET_AT_20_C,
    judged_once,
    make_bridge,
    make_element,
    make_inspection,
    make_unit,
    make_user,
    read,
)

pytestmark = pytest.mark.django_db

DESIGN = {"movement_back_mm": 120.0, "movement_ahead_mm": 120.0}
DAY = dt.date(2024, 2, 1)


def flagged(*codes: str, bridge=None) -> list[Flag]:
    """Flags of bearings 30 mm ahead at -15 degC, where 41 mm back is free."""
    unit = make_unit(bridge or make_bridge())
    visit = make_inspection(unit.bridge, DAY)
    with judged_once():
        for code in codes:
            bearing = make_element(unit, code=code, installation=SET_AT_20_C, design=DESIGN)
            read(visit, bearing, "offset_along", 30.0, -15.0 if code == codes[0] else None)
    submit(inspection=visit)
    return [Flag.objects.get(element__code=code, cause="position") for code in codes]


def signed(**fields):
    return {"kind": "accept", "reason": "Stable for years", "until": "2090-01-01"} | fields


@pytest.mark.parametrize("role", ["inspector", "engineer", "manager"])
def test_who_may_see_elements_sees_what_is_to_be_decided(as_role, role):
    [flag] = flagged("B-1")
    client = as_role(role)
    assert "Away from its expected position" in words(client.get("/"))
    page = words(client.get(f"/flags/{flag.pk}/"))
    assert "expected −40.9" in page
    assert ("Sign the decision" in page) == (role == "engineer")


def test_the_form_says_where_a_restriction_of_traffic_is_kept(as_role):
    [flag] = flagged("B-1")
    client = as_role("engineer")
    for address in ("/", f"/flags/{flag.pk}/"):
        told = words(client.get(address))
        assert "Where load, speed or a lane is restricted meanwhile" in told
    assert "is restricted meanwhile" not in words(as_role("inspector").get(f"/flags/{flag.pk}/"))


@pytest.mark.parametrize("role", ["inspector", "manager", None])
def test_only_an_engineer_decides(as_role, role):
    [flag] = flagged("B-1")
    client = as_role(role)
    assert client.post(f"/flags/{flag.pk}/", signed()).status_code == 403
    assert client.post("/flags/decide/", signed(flag=flag.pk)).status_code == 403
    assert not Decision.objects.exists()


def test_an_outsider_sees_neither(as_role):
    [flag] = flagged("B-1")
    client = as_role(None)
    assert client.get("/").status_code == client.get(f"/flags/{flag.pk}/").status_code == 403


def test_a_signed_decision_takes_the_flag_out_of_what_is_to_be_decided(as_role):
    [flag] = flagged("B-1")
    client = as_role("engineer")
    answer = client.post(f"/flags/{flag.pk}/", signed(), follow=True)
    page = words(answer)
    assert "Signed: accepted for a time" in page
    assert "Stable for years" in page
    assert "B-1" not in words(client.get("/?cause=position"))
    assert "B-1" in words(client.get("/?show=waiting"))


def test_a_flag_that_an_engineer_closed_says_who_and_when(as_role):
    [flag] = flagged("B-1")
    client, at = as_role("engineer"), f"/flags/{flag.pk}/"
    client.post(at, signed(kind="close", until=""))
    decision = flag.decisions.get()
    told = words(client.get(at))
    assert f"Closed by {decision.decided_by}, {decision.as_of:%Y-%m-%d}." in told


def test_an_acceptance_whose_day_has_passed_is_to_be_decided_again(as_role):
    [flag] = flagged("B-1")
    client = as_role("engineer")
    client.post(f"/flags/{flag.pk}/", signed())
    Flag.objects.update(until=timezone.localdate() - dt.timedelta(days=1))
    assert "that day has passed" in words(client.get("/"))


def test_what_is_lacking_is_told_and_what_was_written_stays(as_role):
    [flag] = flagged("B-1")
    answer = as_role("engineer").post(f"/flags/{flag.pk}/", signed(until=""))
    assert answer.status_code == 200
    page = answer.content.decode()
    assert "Give the day until which this holds." in page
    assert "Stable for years" in page


def test_a_watch_without_a_day_gets_the_one_that_was_shown(as_role):
    [flag] = flagged("B-1")
    client = as_role("engineer")
    shown = re.search(r"watched until (\S+),", words(client.get(f"/flags/{flag.pk}/")))
    client.post(f"/flags/{flag.pk}/", signed(kind="watch", until=""))
    assert str(Decision.objects.get().until) == shown.group(1)


def test_a_watch_ends_by_its_own_interval_and_not_that_of_what_is_well(as_role):
    AgencySettings.objects.update_or_create(
        defaults={"watch_interval_months": 3, "routine_interval_months": 24}
    )
    [flag] = flagged("B-1")
    as_role("engineer").post(f"/flags/{flag.pk}/", signed(kind="watch", until=""))
    days = (Decision.objects.get().until - timezone.localdate()).days
    # Long enough for a second reading, and far from the two years of the routine.
    assert 90 < days < 270


def test_a_watched_flag_says_by_when_it_is_looked_at_again(as_role):
    [flag] = flagged("B-1")
    client, at = as_role("engineer"), f"/flags/{flag.pk}/"
    client.post(at, signed(kind="watch", until="", interval_months=3))
    told = words(client.get(at))
    assert "2024-05-01" in told
    assert "B-1: Watched every 3 months (away from its expected position)" in told
    assert "Plan a visit" in told


def test_several_are_decided_together_and_the_list_stays_narrowed(as_role):
    flags = flagged("B-1", "B-2")
    answer = as_role("engineer").post(
        "/flags/decide/",
        signed(flag=[flag.pk for flag in flags], list="cause=position&page=1"),
    )
    assert answer.headers["Location"].startswith("/?cause=position")
    assert Decision.objects.count() == 2


def test_a_refused_bulk_decision_keeps_ticks_and_words_and_signs_nothing(as_role):
    flags = flagged("B-1", "B-2")
    answer = as_role("engineer").post(
        "/flags/decide/", signed(flag=[flags[0].pk], until="", list="cause=position")
    )
    page = answer.content.decode()
    assert answer.status_code == 200
    assert "Stable for years" in page
    assert re.search(rf'value="{flags[0].pk}" checked', page)
    assert not re.search(rf'value="{flags[1].pk}" checked', page)
    assert not Decision.objects.exists()


def test_a_refused_field_of_a_bulk_decision_names_the_flags_by_element_and_cause(as_role):
    flags = flagged("B-1", "B-2")
    page = words(
        as_role("engineer").post(
            "/flags/decide/", signed(flag=[flag.pk for flag in flags], until="")
        )
    )
    for code in ("B-1", "B-2"):
        assert f"{code}, away from its expected position" in page
    assert "position: Give the day until which this holds." in page


def test_a_bulk_decision_names_only_the_flags_that_are_in_its_way(as_role):
    flags = flagged("B-1", "B-2", "B-3")
    gone = [flags[0].pk, flags[2].pk]
    Flag.objects.filter(pk__in=gone).update(state="withdrawn")
    page = words(
        as_role("engineer").post("/flags/decide/", signed(flag=[flag.pk for flag in flags]))
    )
    refusal = re.search(r"([^.]*): No reading shows this any more", page).group(1)
    assert "B-1," in refusal
    assert "B-3," in refusal
    assert "B-2," not in refusal
    assert not Decision.objects.exists()


def test_a_refusal_of_many_flags_counts_them(as_role):
    flags = flagged(*(f"B-{number}" for number in range(1, 8)))
    page = words(
        as_role("engineer").post(
            "/flags/decide/", signed(flag=[flag.pk for flag in flags], until="")
        )
    )
    assert "All 7 flags: Give the day until which this holds." in page


def test_deciding_on_none_says_what_to_do(as_role):
    flagged("B-1")
    page = words(as_role("engineer").post("/flags/decide/", signed()))
    assert "Tick one at least" in page


def test_the_worked_example_sums_to_the_points_of_the_first_row(as_role):
    flagged("B-1")
    AgencySettings(weight_severity=10, weight_age=37).save()
    response = as_role("engineer").get("/")
    example = response.context["example"]
    row = response.context["rows"][0]
    assert example.total == round(row.flag.score, 1)
    assert sum(weight for _, _, weight in example.parts) == pytest.approx(100)
    for part, share, weight in example.parts:
        assert share * weight == pytest.approx(part.points, abs=0.1)
        assert 0 <= share <= 1


@given(shares=st.tuples(*[st.floats(0, 25)] * 4))
def test_rounded_parts_sum_to_the_rounded_score(shares):
    flag = Flag()
    names = ("severity", "consequence", "nearness", "age")
    for name, points in zip(names, shares, strict=True):
        setattr(flag, f"by_{name}", points)
    flag.score = sum(shares)
    parts = parts_of(flag)
    assert sum(round(10 * part.points) for part in parts) == round(10 * flag.score)
    for part, points in zip(parts, shares, strict=True):
        assert abs(part.points - points) <= 0.1 + 1e-9


@pytest.mark.parametrize(
    ("asked", "expected"),
    [
        ("q=B-2", ["B-2"]),
        ("kind=joint", []),
        ("cause=position&sort=element", ["B-1", "B-2"]),
        ("cause=position&sort=-element", ["B-2", "B-1"]),
        ("state=closed&show=all", []),
        ("severity=3&cause=position&sort=element", ["B-1", "B-2"]),
        ("severity=nonsense&show=nonsense&sort=nonsense&page=99", None),
    ],
)
def test_the_list_can_be_narrowed_and_sorted(as_role, asked, expected):
    flagged("B-1", "B-2")
    response = as_role("engineer").get(f"/?{asked}")
    assert response.status_code == 200
    if expected is not None:
        assert [row.flag.element.code for row in response.context["rows"]] == expected


def test_what_fits_in_another_list_is_led_to(as_role):
    [flag] = flagged("B-1")
    client = as_role("engineer")
    client.post(f"/flags/{flag.pk}/", signed())
    response = client.get("/?state=accepted")
    assert "In another list there are some that do: Waiting (1)" in words(response)
    assert 'href="/?state=accepted&amp;show=waiting"' in response.content.decode()
    assert "In another list" not in words(client.get("/?state=watched"))


def test_kept_lists_are_ones_own(client):
    flagged("B-1")
    mine, other = make_user("engineer"), make_user("engineer")
    client.force_login(mine)
    client.post("/lists/save/", {"name": "Frozen", "query": "cause=response&page=3"})
    row = SavedFilter.objects.get()
    assert (row.user, row.query) == (mine, "cause=response")
    assert "Frozen" in words(client.get("/"))
    client.force_login(other)
    assert "Frozen" not in words(client.get("/"))
    assert client.post(f"/lists/{row.pk}/remove/").status_code == 404
    client.force_login(mine)
    client.post(f"/lists/{row.pk}/rename/", {"name": "Stuck"})
    assert SavedFilter.objects.get().name == "Stuck"
    client.post(f"/lists/{row.pk}/remove/")
    assert not SavedFilter.objects.exists()


def test_a_list_without_a_name_is_not_kept_and_says_so(as_role):
    client = as_role("engineer")
    for name, said in ((" ", "Give the list a name"), ("Stuck\0", "Null characters")):
        answer = client.post("/lists/save/", {"name": name, "query": ""}, follow=True)
        assert said in words(answer)
    assert not SavedFilter.objects.exists()


def test_the_flag_tells_what_changed_since_it_was_decided_on(as_role):
    [flag] = flagged("B-1")
    client = as_role("engineer")
    client.post(f"/flags/{flag.pk}/", signed())
    earlier = make_inspection(flag.element.bridge, DAY - dt.timedelta(days=30))
    read(earlier, flag.element, "offset_along", 30.0, -15.0, accept=True)
    page = words(client.get(f"/flags/{flag.pk}/"))
    assert "The visit of 2024-01-02 said nothing of it, now it showed it as" in page
    assert "Evidence has changed" in words(client.get("/?cause=position"))


def test_the_queue_asks_as_often_for_50_flags_as_for_1(as_role, django_assert_max_num_queries):
    client = as_role("engineer")
    bridge = make_bridge()
    [first] = flagged("B-1", bridge=bridge)
    with django_assert_max_num_queries(30) as few:
        client.get("/?show=all")
    flagged(*(f"C-{number}" for number in range(60)))
    with django_assert_max_num_queries(30) as many:
        assert len(client.get("/?show=all").context["rows"]) == 50
    assert len(many) == len(few)
    with django_assert_max_num_queries(30):
        client.get(f"/flags/{first.pk}/")


def test_an_empty_ledger_and_an_empty_queue_say_what_belongs_there(as_role):
    client = as_role("engineer")
    assert "No element is on record yet" in words(client.get("/"))
    make_element(make_unit(make_bridge()))
    judge_bridges(Bridge.objects.values_list("pk", flat=True))
    assert "Nothing waits for a decision" in words(client.get("/"))
