"""The demo does the whole job once: what was planted is found, and a second run changes nothing."""

import csv
import io
import re

import pytest
from django.apps import apps
from django.conf import settings as project
from django.contrib.auth import get_user_model
from django.core.management import CommandError, call_command
from django.db import transaction
from django.test import override_settings
from django.utils.html import strip_tags
from pypdf import PdfReader

from inspections.models import (
    Decision,
    Due,
    ElementStatus,
    Event,
    Flag,
    Inspection,
    Interval,
    OptionStudy,
    PlannedVisit,
    Reading,
)
from inspections.models.choices import VerdictWord
from inspections.models.desk_choices import FlagState
from inspections.paper.plain_page import words_too_many
from inspections.selectors.events import before_and_after, bridges_after
from inspections.selectors.flags import flags
from inspections.selectors.plain_pages import plain_now
from inventory.models import Bridge, Element
from inventory.units import System
from movement.event_step import StepWord
from tests.inspections.plain_rows import hard_to_read, unexplained

pytestmark = pytest.mark.django_db


def frozen_rocker() -> Element:
    return Element.objects.get(code="A2-B2", unit__bridge__code="QB-1")


TOUR = [
    (1, "engineer", lambda: "/"),
    (2, "engineer", lambda: "/bridges/QB-1/"),
    (
        3,
        "engineer",
        lambda: f"/elements/{Element.objects.get(code='A2-B2', unit__bridge__code='QB-1').pk}/",
    ),
    (4, "engineer", lambda: f"/flags/{flags().first().pk}/"),
    (6, "manager", lambda: "/bridges/QB-1/"),
]
"""Steps of the tour in README.md; what a tablet shows is followed in a browser."""
WORDS = {
    "out_of_range": VerdictWord.OUT_OF_RANGE,
    "watch": VerdictWord.WATCH,
    "cannot_judge": VerdictWord.CANNOT_JUDGE,
}


def run_demo(folder) -> str:
    """Run the demo in a folder of its own and return what it printed."""
    out = io.StringIO()
    with override_settings(LOCAL_DIR=folder, REPORT_DIR=folder / "reports"):
        call_command("demo", "--no-serve", stdout=out)
    return out.getvalue()


@pytest.fixture(scope="module")
def demo(django_db_setup, django_db_blocker, tmp_path_factory):
    """Run the demo once for this module: its folder and what it printed."""
    folder = tmp_path_factory.mktemp("demo")
    with django_db_blocker.unblock(), transaction.atomic():
        yield folder, run_demo(folder)
        transaction.set_rollback(True)


def planted() -> dict[tuple[str, str], int]:
    path = project.BASE_DIR / "fixtures" / "demo" / "planted.csv"
    with path.open(encoding="utf-8", newline="") as file:
        return {
            (row["bridge_code"], row["element_code"]): WORDS[row["verdict"]]
            for row in csv.DictReader(file)
        }


def test_every_planted_fault_is_found_and_no_healthy_element_is_flagged(demo):
    found = {
        (bridge, element): verdict
        for bridge, element, verdict in ElementStatus.objects.values_list(
            "element__bridge__code", "element__code", "verdict"
        )
        if verdict != VerdictWord.IN_RANGE
    }
    assert found == planted()


def test_the_scenario_is_as_large_as_the_manual_says(demo):
    assert Bridge.objects.count() >= 3
    assert Element.objects.count() >= 60
    assert Inspection.objects.count() >= 8
    years = {date.year for date in Inspection.objects.values_list("date", flat=True)}
    assert len(years) >= 5


def test_an_engineer_has_decided_on_some_of_what_is_flagged_and_left_the_rest(demo):
    states = {
        (flag.element.bridge.code, flag.element.code, flag.cause): flag.state
        for flag in Flag.objects.select_related("element__bridge")
    }
    assert states["TD-2", "A1-B1", "limit"] == FlagState.ACCEPTED
    assert {states["QB-1", f"A1-B{line}", "position"] for line in range(1, 5)} == {
        FlagState.WATCHED
    }
    assert states["OS-3", "P2-B1", "limit"] == FlagState.TO_MEASURE
    assert states["QB-1", "A2-B2", "response"] == FlagState.IN_WORK
    assert states["OS-3", "A2-H2", "limit"] == FlagState.MENDED
    assert states["QB-1", "A1-J", "position"] == FlagState.OPEN
    together = Decision.objects.filter(flag__element__code__startswith="A1-B", kind="watch")
    assert len(set(together.values_list("together", flat=True))) == 1
    assert not Decision.objects.filter(reason="").exists()


def test_three_ways_to_mend_were_weighed_and_the_chosen_one_is_ordered(demo):
    study = OptionStudy.objects.get()
    assert (study.options.count(), study.criteria.count()) == (3, 4)
    dropped = study.options.get(dropped_at__isnull=False)
    assert "freeze again" in dropped.dropped_why
    assert study.chosen not in (None, dropped)
    order = study.work_orders.get()
    assert order.cost_estimate == study.chosen.cost
    assert "A2-B2" in order.items.values_list("element__code", flat=True)


def test_the_plan_shows_what_is_due_who_goes_and_why(demo):
    reasons = set(Due.objects.values_list("reason", flat=True))
    assert {"watch", "measure_again", "proving", "routine", "acceptance"} <= reasons
    assert Interval.objects.count() == 2
    assert PlannedVisit.objects.filter(lead__username="inspector").count() >= 2


def test_after_a_tremor_one_bridge_was_visited_and_compared_with_what_was_read_before(demo):
    after = bridges_after(Event.objects.get())
    assert [each.row.bridge.code for each in after] == ["OS-3"]
    assert after[0].inspection.kind == "event"
    [compared] = before_and_after(after)
    assert len(compared.steps) > 10
    # None is planted; the crew's scatter, larger than the tape's, makes one of 3 mm at most.
    stepped = [step for step in compared.steps if step.word == StepWord.STEPPED]
    assert len(stepped) <= 1
    assert all(abs(step.size) < 3.0 for step in stepped)


def test_it_prints_the_flagged_table_the_reports_and_the_accounts(demo):
    folder, printed = demo
    for (bridge, element), verdict in planted().items():
        if verdict != VerdictWord.CANNOT_JUDGE:
            assert any(
                line.startswith(bridge) and f" {element} " in line for line in printed.splitlines()
            )
    assert "inspector, engineer, manager" in printed
    for bridge in ("OS-3", "QB-1", "TD-2"):
        path = folder / "reports" / f"{bridge}.pdf"
        assert str(path) in printed
        assert "Summary" in PdfReader(path).pages[1].extract_text()


def test_the_accounts_can_sign_in_with_the_password_printed(demo, client):
    password = (demo[0] / "demo-password").read_text()
    for role in ("inspector", "engineer", "manager"):
        answer = client.post("/sign-in/", {"username": role, "password": password})
        assert answer.status_code == 302
        assert client.get("/bridges/").context["user"].username == role
        client.logout()


def test_a_second_run_changes_nothing(demo):
    folder, _ = demo

    def state():
        models = [each for each in apps.get_models() if each._meta.app_label != "sessions"]
        rows = {model.__name__: model.objects.count() for model in models}
        readings = list(Reading.objects.order_by("pk").values_list("pk", "value", "created_at"))
        flags = list(Flag.objects.order_by("pk").values_list("pk", "state", "until", "times_seen"))
        files = {path.name: path.stat().st_mtime_ns for path in (folder / "reports").iterdir()}
        return rows, readings, flags, files

    before = state()
    run_demo(folder)
    assert state() == before


def test_it_refuses_to_run_on_a_production_site(settings, tmp_path):
    settings.PRODUCTION = True
    with pytest.raises(CommandError, match="does not run"):
        run_demo(tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_every_flag_of_the_demo_has_a_page_in_plain_words(demo):
    for flag in flags():
        for system in System:
            page = plain_now(flag.element.bridge, flag, system)
            assert hard_to_read(page.texts) == []
            assert unexplained(page.texts) == []
            assert words_too_many(page.texts) == 0


@pytest.mark.parametrize(("step", "role", "path"), TOUR)
def test_the_tour_of_the_readme_finds_what_it_names(demo, client, step, role, path):
    tour = (project.BASE_DIR / "README.md").read_text().partition("## Five minutes")[2]
    told = tour.partition("\n##")[0].partition(f"\n{step}. ")[2].partition(f"\n{step + 1}. ")[0]
    client.force_login(get_user_model().objects.get(username=role))
    named = re.findall("«(.+?)»|`(A2-B2|QB-1)`", told)
    page = " ".join(strip_tags(client.get(path()).content.decode()).split())
    assert named
    assert [word for word in map("".join, named) if word not in page] == []
