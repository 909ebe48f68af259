"""Who changed what, when, from what to what."""

import csv
import datetime as dt

import pytest
from django.apps import apps

from inspections.models import AgencySettings
from inspections.selectors.changes import changes, changes_in_parts, kinds, told
from inspections.services.intervals import end_interval, set_interval
from inspections.services.invitations import open_or_close
from inspections.services.plan_visits import change_visit, plan_visit
from inspections.services.thresholds import present_version, save_settings
from inventory.models import District, Element
from inventory.units import System
from tests.inspections.desk_rows import words
from tests.make import make_bridge, make_element, make_unit, make_user

pytestmark = pytest.mark.django_db
APPEND_ONLY = {
    # Never changed once written, but for who has seen a finding first; a correction is a row of
    # its own that names the first.
    "Reading", "TemperatureReading", "Condition", "FieldNote", "CriticalFinding", "LeftOut",
    "Photo", "SetAside", "SignOff", "ComponentRating", "Decision", "PlainPage",
    "OptionJudgement", "TabletRecord", "Seal",
}  # fmt: skip
DERIVED = {
    "Verdict", "ElementStatus", "ElementHistory", "UnitDiagnosis", "Explanation",
    "CapacityCheck", "Sighting", "VisitSeen", "Flag", "Due",
}  # fmt: skip
FROM_FILES = {"AirTemperature", "AirDay", "ElementDataRow", "InventoryTold"}
TECHNICAL = {
    "ApiKey", "IdempotentAnswer", "Preference", "SavedFilter", "CalendarKey", "Job", "ToJudge",
    "BrowserSession",
}  # fmt: skip


def test_every_table_has_a_history_or_needs_none():
    tables = {
        model.__name__
        for app in ("inventory", "inspections")
        for model in apps.get_app_config(app).get_models()
        if not model.__name__.startswith("Historical")
    } | {"User"}
    kept = {model.__name__ for model in kinds().values()}
    without = APPEND_ONLY | DERIVED | FROM_FILES | TECHNICAL
    assert tables - kept == without
    assert not kept & without


def last(**narrowing):
    return next(told(changes(**narrowing)[:1], System.SI))


def test_a_change_tells_who_what_and_from_what_to_what_in_either_system():
    unit = make_unit(make_bridge("B-1"))
    unit.end_station_m = 91.44
    unit._history_user = by = make_user("engineer", username="the-engineer")
    unit.save()
    for system, before, after in (
        (System.SI, "100.00\u202fm", "91.44\u202fm"),
        (System.US, "328.08\u202fft", "300.00\u202fft"),
    ):
        change = next(told(changes(kind="unit", who=by), system))
        (one,) = change.differences
        assert (change.who, change.what, one.label) == (by, "changed", "End station")
        assert (one.before, one.after) == (before, after)
        assert change.record == "B-1 U1"


def test_what_was_made_and_removed_is_told_with_its_reason():
    bridge, by = make_bridge("B-1"), make_user("engineer")
    interval = set_interval(bridge=bridge, kind="routine", months=12, reason="Worn", user=by)
    made = last(kind="interval")
    assert (made.what, made.who) == ("made", by)
    assert {each.label: each.after for each in made.differences}["Every, months"] == "12"
    end_interval(interval=interval, reason="Mended", user=by)
    ended = last(kind="interval")
    assert (ended.what, ended.reason, ended.differences) == ("removed", "Mended", [])


def test_a_changed_threshold_stands_there_with_its_figure():
    by = make_user("engineer")
    for out_k in (4, 5):
        figures = {"out_k": float(out_k)}
        save_settings(figures=figures, reason="Stricter", user=by, based_on=present_version())
    change = last(kind=str(AgencySettings._meta.verbose_name))
    assert change.who == by
    assert [(each.before, each.after) for each in change.differences] == [("4", "5")]


def test_the_list_is_narrowed_by_person_record_bridge_and_days(as_role):
    client = as_role("manager")
    for code in ("B-1", "B-2"):
        make_element(make_unit(make_bridge(code)), code=f"P-{code[-1]}")
    page = words(client.get("/changes/", {"bridge": "B-1", "kind": "element"}))
    assert "P-1" in page
    assert "P-2" not in page
    later = dt.date(2199, 1, 1)
    assert "No change fits" in words(client.get("/changes/", {"first": f"{later}"}))
    assert "No change fits" in words(client.get("/changes/", {"bridge": "NONE"}))
    assert "Swap them" in words(
        client.get("/changes/", {"first": "2024-02-02", "last": "2024-02-01"})
    )


def test_each_record_leads_to_its_own_changes(as_role):
    joint = make_element(make_unit(make_bridge("B-1")), code="J-1")
    make_element(joint.unit, code="J-2")
    client = as_role("manager")
    address = f"/changes/?kind=element&amp;record={joint.pk}"
    assert address in client.get(f"/elements/{joint.pk}/").content.decode()
    page = words(client.get("/changes/", {"kind": "element", "record": joint.pk}))
    assert "J-1" in page
    assert "J-2" not in page
    assert "Only what was changed of one element." in page
    for kind, key in (("element", "x"), ("", joint.pk), ("element", 10**30), ("installation", 1)):
        page = words(client.get("/changes/", {"kind": kind, "record": key}))
        assert "No such record" in page


def test_a_visit_tells_who_was_to_go_before_and_after_in_one_change():
    first, second, lead = (make_user("inspector", username=name) for name in ("a", "b", "c"))
    said = {"kind": "routine", "planned_on": dt.date(2030, 5, 1), "lead": lead}
    visit = plan_visit(bridge=make_bridge("B-1"), crew=[first], user=lead, **said)
    change_visit(visit=visit, crew=[first, second], user=first, **said)
    change = last(kind="planned visit")
    assert (change.who, change.what, change.record) == (first, "changed", "B-1 2030-05-01")
    assert [(each.label, each.before, each.after) for each in change.differences] == [
        ("Crew", "a", "a, b")
    ]


def test_an_account_shows_its_changes_to_those_who_manage_it_alone(client):
    here, there = (District.objects.create(code=code, name=code) for code in ("N", "S"))
    somebody = make_user("inspector", district=here, username="somebody")
    other = make_user("inspector", district=there, username="another")
    boss = make_user("administrator", district=here)
    for each in (somebody, other):
        open_or_close(user=each, is_active=False, by=make_user("administrator"))
    client.force_login(boss)
    page = words(client.get("/changes/", {"kind": "user"}))
    assert "somebody" in page
    assert "another" not in page
    assert "Active: yes → no" in page
    client.force_login(make_user("engineer", district=here))
    assert "No change fits" in words(client.get("/changes/", {"kind": "user"}))


def test_the_file_holds_a_line_for_each_field(as_role):
    element = make_element(make_unit(make_bridge("B-1")))
    Element.objects.get(pk=element.pk)
    answer = as_role("engineer").get("/changes.csv", {"bridge": "B-1", "kind": "bridge"})
    rows = list(csv.DictReader(answer.getvalue().decode("utf-8-sig").splitlines()))
    assert {"Code", "Name"} <= {row["field"] for row in rows}
    assert {row["after"] for row in rows if row["field"] == "Code"} == {"B-1"}


def test_the_file_holds_all_in_the_order_of_the_list_however_many_parts_it_is_read_in(
    as_role, monkeypatch
):
    make_element(make_unit(make_bridge("B-1")), "pot", "P-1")
    client = as_role("engineer")
    whole = client.get("/changes.csv").getvalue()
    # All at one moment: what kind of record it is and its key alone put them in order.
    for model in kinds().values():
        model.history.update(history_date=dt.datetime(2025, 1, 1, tzinfo=dt.UTC))
    at_once = client.get("/changes.csv").getvalue()
    assert len(whole.splitlines()) == len(at_once.splitlines()) > 20
    monkeypatch.setattr("inspections.selectors.changes.FIRST_PART", 1)
    monkeypatch.setattr("inspections.selectors.changes.LATER_PARTS", 2)
    assert client.get("/changes.csv").getvalue() == at_once
    listed = [key[1:] for key in changes(accounts_of=None)]
    assert [key[1:] for part in changes_in_parts(accounts_of=None) for key in part] == listed


def test_an_inspector_does_not_look_over_shoulders(as_role):
    assert as_role("inspector").get("/changes/").status_code == 403


def test_a_longer_list_takes_no_more_queries(as_role, django_assert_max_num_queries):
    client = as_role("engineer")
    for number in range(3):
        make_element(make_unit(make_bridge(f"B-{number}")))
    client.get("/changes/")
    with django_assert_max_num_queries(45):
        client.get("/changes/")
    for number in range(3, 9):
        make_element(make_unit(make_bridge(f"B-{number}")))
    with django_assert_max_num_queries(45):
        client.get("/changes/")
