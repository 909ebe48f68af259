"""Judging again by a job: nothing is shown in silence, nothing is judged twice, nothing is left."""

import csv
import io

import pytest
from django.core.management import call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext
from pypdf import PdfReader

from inspections.models import Due, ElementStatus, Instrument, Job, Reading, ToJudge, Verdict
from inspections.models.choices import VerdictWord
from inspections.services import judge, reassessment, thresholds
from inspections.services.visits import submit
from tests.html_form import form_values
from tests.inspections.desk_rows import words
from tests.inspections.test_jobs import DATABASE, silent_for
from tests.inspections.test_thresholds import form
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
from tests.worker import work

pytestmark = pytest.mark.django_db
CODES = ("B-1", "B-2", "B-3")


@pytest.fixture(autouse=True)
def site_folder(settings, tmp_path):
    """A folder of the site of this test's own."""
    settings.LOCAL_DIR = tmp_path
    return tmp_path


@pytest.fixture(autouse=True)
def bridges():
    """Three bridges, each with a bearing 2.2 standard uncertainties off, and one never read."""
    with judged_once():
        for code in CODES:
            unit = make_unit(make_bridge(code))
            visit = make_inspection(unit.bridge)
            bearing = make_element(
                unit,
                installation=SET_AT_20_C,
                design={"movement_back_mm": 120.0, "movement_ahead_mm": 120.0},
            )
            read(visit, bearing, "offset_along", -32.0, -15.0)
            submit(inspection=visit)
    make_element(make_unit(make_bridge("B-4")))


@pytest.fixture
def workers(settings):
    settings.TASKS, settings.WORKERS = DATABASE, True
    return work


def save(user=None, **figures) -> Job:
    thresholds.save_settings(
        figures=figures,
        reason="Agreed in the spring review",
        user=user or make_user("engineer"),
        based_on=thresholds.present_version(),
    )
    return Job.objects.first()


def flagged() -> set[str]:
    """Return the bridges with an element to watch."""
    found = ElementStatus.objects.filter(verdict=VerdictWord.WATCH)
    return set(found.values_list("element__bridge__code", flat=True))


def test_without_workers_all_is_judged_when_the_page_is_there(as_role):
    client = as_role("engineer")
    page = client.post(
        "/thresholds/", form(reason="Too many", watch_k=2.9, act="save"), follow=True
    )
    assert page.redirect_chain[0][0] == "/thresholds/"
    assert "still to be judged" not in words(page)
    assert flagged() == set()


def test_while_it_waits_every_page_says_so_and_leads_to_the_job(client, workers):
    engineer = make_user("engineer")
    client.force_login(engineer)
    job = save(engineer, watch_k=2.9)
    assert flagged() == set(CODES)
    told = f"3 of 3 bridges are still to be judged by {job.parameters['by']}"
    bearing = ElementStatus.objects.first().element
    pages = ("/", "/elements/", "/bridges/", "/bridges/B-1/", f"/elements/{bearing.pk}/", "/plan/")
    for address in pages:
        page = client.get(address)
        assert told in words(page), address
        assert f"/jobs/{job.pk}/" in page.content.decode()
    client.force_login(make_user("manager"))
    page = client.get("/bridges/B-1/")
    assert told in words(page)
    assert f"/jobs/{job.pk}/" not in page.content.decode()
    workers()
    assert flagged() == set()
    assert "still to be judged" not in words(client.get("/bridges/B-1/"))


def test_saving_with_workers_leads_to_the_job(as_role, workers):
    client = as_role("engineer")
    page = client.post(
        "/thresholds/", form(reason="Too many", watch_k=2.9, act="save"), follow=True
    )
    assert page.redirect_chain[0][0] == f"/jobs/{Job.objects.get().pk}/"
    assert "Saved: Watch above" in words(page)
    assert "Waiting: 0 of 3 bridges" in words(page)


def test_while_it_waits_the_api_says_so_in_every_answer(client, workers):
    engineer = make_user("engineer")
    client.force_login(engineer)
    assert "Ledger-Still-To-Judge" not in client.get("/api/v1/verdicts/")
    job = save(engineer, watch_k=2.9)
    for resource in ("verdicts", "elements", "flags", "due", "histories", "diagnoses"):
        assert client.get(f"/api/v1/{resource}/")["Ledger-Still-To-Judge"] == "3", resource
    told = client.get("/api/v1/thresholds/").json()["still_to_judge"]
    assert told["left"] == 3
    assert told["told"].endswith(f"still to be judged by {job.parameters['by']}")
    workers()
    assert "Ledger-Still-To-Judge" not in client.get("/api/v1/verdicts/")


@pytest.mark.parametrize("address", ["/queue", "/elements", "/bridges", "/plan/due"])
def test_while_it_waits_a_list_as_a_file_says_of_which_rows(client, workers, address):
    engineer = make_user("engineer")
    client.force_login(engineer)
    query = "?verdict=all&show=all"

    def told() -> dict[str, str]:
        text = client.get(f"{address}.csv{query}").getvalue().decode()
        return {row["bridge"]: row["still_to_judge"] for row in csv.DictReader(io.StringIO(text))}

    save(engineer, watch_k=2.9)
    ToJudge.objects.get(bridge__code="B-2").delete()
    before = told()
    assert (before["B-1"], before["B-2"], before["B-3"]) == ("yes", "no", "yes")
    workers()
    assert set(told().values()) <= {"no"}


def test_an_outsider_is_not_told(as_role, workers):
    save(watch_k=2.9)
    page = as_role(None).get("/api-keys/")
    assert "still to be judged" not in page.content.decode()


def test_a_page_asks_no_more_often_for_it_while_nothing_waits(as_role):
    client = as_role("engineer")
    client.get("/bridges/")
    with CaptureQueriesContext(connection) as captured:
        client.get("/bridges/")
    asked = [each["sql"] for each in captured if "inspections_tojudge" in each["sql"]]
    assert len(asked) == 1
    assert "inspections_preference" in asked[0]  # the query that finds the user's units


def test_a_report_printed_meanwhile_says_so_on_its_cover(as_role, workers, settings):
    save(watch_k=2.9)
    settings.WORKERS = False
    file = as_role("manager").get("/bridges/B-1/report.pdf")
    cover = PdfReader(io.BytesIO(b"".join(file.streaming_content))).pages[0].extract_text()
    assert "still to be judged" in " ".join(cover.split())
    bearing = ElementStatus.objects.first().element
    file = as_role("manager").get(f"/elements/{bearing.pk}/card.pdf")
    card = PdfReader(io.BytesIO(b"".join(file.streaming_content))).pages[0].extract_text()
    assert "still to be judged" in " ".join(card.split())


def test_a_job_that_broke_off_goes_on_with_what_is_left(workers, monkeypatch):
    job = save(watch_k=2.9)
    judged = []

    def stops_after_one(bridge_ids, agency, real=judge._judge):
        if judged:
            raise SystemExit
        judged.extend(bridge_ids)
        real(bridge_ids, agency)

    with monkeypatch.context() as patch:
        patch.setattr(judge, "_judge", stops_after_one)
        workers()
    job.refresh_from_db()
    assert (job.state, ToJudge.objects.count()) == ("running", 2)
    silent_for(job, 11)
    first = Verdict.objects.filter(element__bridge_id=judged[0]).get()
    job.refresh_from_db()
    reassessment.jobs.start_again(job=job)
    workers()
    job.refresh_from_db()
    assert (job.state, job.done_count, job.total_count) == ("done", 3, 3)
    assert flagged() == set()
    assert Verdict.objects.filter(pk=first.pk).exists()  # it was not judged once more


def test_a_bridge_that_fails_stops_no_other_and_may_be_tried_again(client, workers, monkeypatch):
    engineer = make_user("engineer")
    client.force_login(engineer)
    job = save(engineer, watch_k=2.9)
    bad = ToJudge.objects.get(bridge__code="B-2").bridge_id

    def fails(bridge_ids, agency, real=judge._judge):
        if bad in bridge_ids:
            raise ZeroDivisionError
        real(bridge_ids, agency)

    with monkeypatch.context() as patch:
        patch.setattr(judge, "_judge", fails)
        workers()
    assert flagged() == {"B-2"}
    page = words(client.get(f"/jobs/{job.pk}/"))
    assert "Could not be judged: B-2." in page
    assert "1 of 3 bridges is still to be judged" in page
    client.post(f"/jobs/{job.pk}/again/")
    workers()
    assert flagged() == set()


def test_a_later_change_takes_over_what_an_earlier_one_has_left(workers):
    first, second = save(watch_k=2.9), save(watch_k=1.9)
    assert set(ToJudge.objects.values_list("job_id", flat=True)) == {second.pk}
    workers()
    assert flagged() == set(CODES)
    first.refresh_from_db()
    assert first.state == "done"
    assert set(Job.objects.values_list("state", flat=True)) == {"done"}


def test_whoever_judges_a_bridge_meanwhile_takes_it_off_the_list(workers):
    save(watch_k=2.9)
    judge.judge_bridges([ToJudge.objects.get(bridge__code="B-3").bridge_id])
    assert flagged() == {"B-1", "B-2"}
    assert set(ToJudge.objects.values_list("bridge__code", flat=True)) == {"B-1", "B-2"}


def test_what_changes_only_days_is_reckoned_by_the_job_too(workers):
    save(routine_interval_months=1.0)
    before = set(Due.objects.values_list("due_on", flat=True))
    workers()
    assert set(Due.objects.values_list("due_on", flat=True)) != before
    assert not ToJudge.objects.exists()


def test_who_changed_the_settings_may_leave_and_all_is_still_judged(workers):
    engineer = make_user("engineer")
    save(engineer, watch_k=2.9)
    engineer.held_roles.all().delete()
    workers()
    assert flagged() == set()


def test_an_instrument_is_judged_by_after_its_page_is_saved(
    client, workers, django_capture_on_commit_callbacks
):
    tape = Instrument.objects.create(code="TAPE", name="Tape", dimension="mm", accuracy=1.0)
    Reading.objects.filter(element__bridge__code="B-1").update(instrument=tape)
    client.force_login(make_user("engineer"))
    there = f"/admin/inspections/instrument/{tape.pk}/change/"
    values = form_values(client.get(there), "instrument_form") | {"accuracy": "40"}
    with django_capture_on_commit_callbacks(execute=True):
        assert client.post(there, values).status_code == 302
    assert ToJudge.objects.get().bridge.code == "B-1"
    before = Verdict.objects.get(element__bridge__code="B-1").u_reading
    workers()
    assert Verdict.objects.get(element__bridge__code="B-1").u_reading > before
    assert not ToJudge.objects.exists()


def test_an_older_model_is_judged_again_in_the_background(client, workers):
    Verdict.objects.filter(element__bridge__code="B-1").update(model_version="0.1")
    out = io.StringIO()
    call_command("judge_outdated", "--background", stdout=out)
    job = Job.objects.get()
    assert out.getvalue().startswith(f"Job {job.pk}, Judging again by movement model ")
    client.force_login(make_user("manager"))
    assert "1 of 1 bridges is still to be judged" in words(client.get("/bridges/B-1/"))
    workers()
    assert not Verdict.objects.filter(model_version="0.1").exists()
    out = io.StringIO()
    call_command("judge_outdated", "--background", stdout=out)
    assert "nothing to judge again" in out.getvalue()


def test_what_a_lost_job_left_is_judged_by_the_command(workers):
    save(watch_k=2.9)
    call_command("judge_outdated", stdout=io.StringIO())
    assert flagged() == set()
    assert not ToJudge.objects.exists()
