"""What is written is in the history as it stands, under the name of whoever wrote it."""

import datetime as dt

import pytest
from django.contrib.auth import get_user_model
from django.utils import timezone

from inspections.exchange.readings_csv import import_readings
from inspections.jobs.running import run_job
from inspections.models import Event, Inspection, Job, WorkItem
from inspections.selectors.changes import kinds
from inspections.services import events, intervals, options, plan_visits, work
from inspections.services.jobs import ask_for
from inspections.services.thresholds import present_version, save_settings
from inspections.services.visits import accept, return_to_team, submit
from inventory.exchange.register_csv import import_register
from inventory.models import Element
from inventory.services.authorship import changes_by
from tests.api.calls import Caller
from tests.inspections.test_import_pages import GOOD
from tests.inspections.work_rows import (
    a_unit,
    an_order,
    anew,
    finish,
    measure,
    off_joints,
    position,
)
from tests.make import UTC, make_bridge, make_element, make_unit, make_user, read

pytestmark = pytest.mark.django_db
PASSWORD = "corroded-rocker-41"


@pytest.fixture
def engineer():
    return make_user("engineer", username="the-engineer")


def unlike_their_history() -> list[str]:
    """Return the rows whose last state in the history is another than they have."""
    found = []
    for kind, model in kinds().items():
        fields = [each.attname for each in model.history.model.tracked_fields]
        newest = {}
        for state in model.history.order_by("history_id"):
            newest[state.id] = None if state.history_type == "-" else state
        newest = {pk: state for pk, state in newest.items() if state is not None}
        rows = {row.pk: row for row in model._base_manager.all()}
        found += [f"{kind} {pk}" for pk in {*rows} ^ {*newest}]
        for pk in {*rows} & {*newest}:
            row, state = rows[pk], newest[pk]
            same = all(getattr(row, name) == getattr(state, name) for name in fields)
            for each in model.history.model._history_m2m_fields:
                told = {one.user_id for one in getattr(state, each.name).all()}
                same = same and told == {one.pk for one in getattr(row, each.name).all()}
            found += [] if same else [f"{kind} {pk}"]
    return found


def names_since(moment: dt.datetime) -> set[str]:
    """Return who changed something since a moment, an empty name where nobody is told."""
    return {
        state.history_user.username if state.history_user else ""
        for model in kinds().values()
        for state in model.history.filter(history_date__gt=moment).select_related("history_user")
    }


def test_a_visit_from_its_plan_to_its_acceptance(engineer):
    element = make_element(make_unit(make_bridge("B-1")))
    lead, first, second = (make_user("inspector") for _ in range(3))
    began = timezone.now()
    said = {"kind": "routine", "planned_on": dt.date(2030, 5, 1), "lead": lead}
    visit = plan_visits.plan_visit(bridge=element.bridge, crew=[first], user=engineer, **said)
    plan_visits.change_visit(visit=visit, crew=[second], user=engineer, **said)
    inspection = plan_visits.open_visit(
        visit=visit, date=dt.date(2024, 6, 1), team="two", user=engineer
    )
    assert [*inspection.crew.all()] == [second]
    assert unlike_their_history() == []
    assert names_since(began) == {"the-engineer"}
    read(inspection, element, "offset_along", 5.0, 12.0)
    submit(inspection=inspection)
    return_to_team(inspection=inspection, note="Read it again", user=engineer)
    submit(inspection=inspection)
    accept(inspection=inspection, user=engineer)
    assert unlike_their_history() == []
    said = inspection.history.order_by("history_id").values_list("state", flat=True)
    assert [*dict.fromkeys(said)] == ["open", "submitted", "accepted"]
    states = inspection.history.filter(history_user=engineer).values_list("state", flat=True)
    assert {*states} == {"open", "accepted"}


def test_an_event_its_bridges_and_what_is_taken_off(engineer):
    began = timezone.now()
    with changes_by(engineer):
        bridges = [make_bridge(f"B-{number}") for number in range(3)]
        event = events.record_event(
            kind="flood", name="Flood", occurred_at=dt.datetime(2024, 5, 1, tzinfo=UTC),
            bridges=bridges[:2], user=engineer,
        )  # fmt: skip
        events.add_bridges(event=event, bridges=bridges[1:])
        events.remove_bridge(row=event.bridges.get(bridge=bridges[0]))
    events.open_inspections(
        event=event, bridges=bridges[1:], date=dt.date(2024, 5, 2), team="two",
        crew=[make_user("inspector")], user=engineer,
    )  # fmt: skip
    assert unlike_their_history() == []
    assert names_since(began) == {"the-engineer", ""}  # the account of the crew is nobody's
    off = Event.objects.get().bridges.model.history.get(history_type="-")
    assert (off.bridge, off.history_user) == (bridges[0], engineer)


def test_work_from_its_order_to_its_proof(engineer):
    (joint,) = off_joints(a_unit(), "J-1")
    order = an_order([position(joint)], user=engineer)
    with changes_by(engineer):
        work.begin_order(order=order, begun_on=dt.date(2024, 6, 20))
    finish(order, engineer, anew(joint))
    item = WorkItem.objects.get()
    told = item.history.order_by("history_id")
    assert [row.installation_after_id for row in told] == [None, item.installation_after_id]
    assert {row.history_user for row in told} == {engineer}
    assert unlike_their_history() == []
    measure(joint, 70.0)
    assert WorkItem.objects.get().proved_by is not None
    assert item.history.count() == 2, "what follows from readings is no change of a person"
    assert unlike_their_history() == []


def test_options_intervals_and_thresholds(engineer):
    bridge = make_bridge("B-1")
    began = timezone.now()
    study = options.open_study(
        bridge=bridge, title="Frozen", question="How?", user=engineer,
        criteria=[options.NewCriterion("access")],
    )  # fmt: skip
    with changes_by(engineer):
        first, second = (
            options.add_option(study=study, name=name) for name in ("Clean", "Replace")
        )
        options.weigh(study=study, weights=[(study.criteria.get(), 3.0)])
    options.drop_option(option=first, why="Too short-lived", user=engineer)
    options.take_up_option(option=first, why="Cheaper by now", user=engineer)
    options.choose_option(study=study, option=second, why="It lasts", user=engineer)
    row = intervals.set_interval(
        bridge=bridge, kind="routine", months=12, reason="Worn", user=engineer
    )
    intervals.end_interval(interval=row, reason="Mended", user=engineer)
    save_settings(
        figures={"out_k": 4.0}, reason="Stricter", user=engineer, based_on=present_version()
    )
    assert unlike_their_history() == []
    assert names_since(began) == {"the-engineer"}


def test_files_of_the_register_and_of_readings(engineer):
    element = make_element(make_unit(make_bridge("B-1")), code="P")
    began = timezone.now()
    text = "record,bridge_code,element_code,name\nbridge,B-1,,Renamed\nelement,B-1,P,West\n"
    import_register(text_or_file=text, user=engineer)
    import_readings(GOOD.encode(), state="accepted", user=engineer)
    assert Element.objects.get(pk=element.pk).name == "West"
    assert Inspection.objects.get().state == "accepted"
    assert unlike_their_history() == []
    assert names_since(began) == {"the-engineer"}


def test_a_worker_writes_in_the_name_of_whoever_asked(engineer, settings, tmp_path):
    settings.LOCAL_DIR = tmp_path
    make_element(make_unit(make_bridge("B-1")), code="P")
    began = timezone.now()
    parameters = {"of": "readings", "file": "a.csv", "options": {"state": "open"}, "dry_run": False}
    job = ask_for(
        kind="import", title="Import", parameters=parameters, user=engineer, unit="",
        upload=GOOD.encode(),
    )  # fmt: skip
    run_job.func(job.pk, job.attempt)
    assert Job.objects.get().state == "done"
    assert Inspection.objects.get().history.get().history_user == engineer
    assert names_since(began) == {"the-engineer"}


def test_what_comes_by_a_key_is_written_in_the_name_of_its_owner(engineer):
    element = make_element(make_unit(make_bridge("B-1")))
    caller = Caller(engineer)
    began = timezone.now()
    visit = caller.post("inspections/", {"bridge": "B-1", "date": "2024-06-01", "team": "two"})
    made = caller.post(
        "work-orders/",
        {"bridge": "B-1", "kind": "repair", "title": "Clean", "ordered_on": "2024-06-01",
         "elements": [element.pk]},
    )  # fmt: skip
    changed = caller.post(f"work-orders/{made.json()['id']}/change/", {"title": "Clean and paint"})
    assert [each.status_code for each in (visit, made, changed)] == [201, 201, 200]
    assert Inspection.objects.get().history.get().history_user == engineer
    order = element.bridge.work_orders.get()
    assert [(row.title, row.history_user) for row in order.history.all()] == [
        ("Clean and paint", engineer), ("Clean", engineer),
    ]  # fmt: skip
    assert names_since(began) == {"the-engineer"}
    assert unlike_their_history() == []


def test_an_account_keeps_its_changes_and_neither_password_nor_sign_ins(client):
    somebody = make_user("manager", username="somebody", email="a@example.org")
    somebody.email = "b@example.org"
    somebody.save()
    somebody.set_password(PASSWORD)
    somebody.save(update_fields=["password"])
    client.post("/sign-in/", {"username": "somebody", "password": PASSWORD})
    assert get_user_model().objects.get().last_login is not None
    told = get_user_model().history.order_by("history_id")
    assert [(row.email, row.history_change_reason) for row in told] == [
        ("a@example.org", None),
        ("b@example.org", None),
        ("b@example.org", "New password"),
    ]
    kept = {each.name for each in told.model._meta.fields}
    assert not {"password", "last_login"} & kept


def test_a_name_holds_for_what_is_written_within_and_no_longer(engineer):
    other = make_user("engineer")
    with changes_by(engineer):
        with changes_by(other):
            inner = make_bridge()
        outer = make_bridge()
        with changes_by(None):
            kept = make_bridge()
    after = make_bridge()
    told = [each.history.get().history_user for each in (inner, outer, kept, after)]
    assert told == [other, engineer, engineer, None]
