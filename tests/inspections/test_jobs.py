"""Long jobs: asked for, seen, ended, their files kept for some days, started again."""

import dataclasses
import datetime as dt
import io

import pytest
from django.core.management import call_command
from django.db import OperationalError, connection
from django.test.utils import CaptureQueriesContext
from pypdf import PdfReader

from inspections.jobs import reports
from inspections.jobs.running import run_job
from inspections.models import Job
from inspections.models.jobs import JobState
from inspections.services import job_files, jobs
from tests.inspections.desk_rows import words
from tests.inspections.test_condition_report import a_bridge
from tests.make import make_user
from tests.rows_desk import job
from tests.worker import work

pytestmark = pytest.mark.django_db
DATABASE = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}
REPORT = "/bridges/T-LONG/report.pdf"


@pytest.fixture(autouse=True)
def site_folder(settings, tmp_path):
    """A folder of the site of this test's own."""
    settings.LOCAL_DIR = tmp_path
    return tmp_path


@pytest.fixture
def bridge():
    """Three elements."""
    return a_bridge(code="T-LONG")


@pytest.fixture
def workers(settings):
    """Jobs wait for a worker; the function returned is one that does what waits and ends."""
    settings.TASKS, settings.WORKERS = DATABASE, True
    return work


@pytest.fixture
def as_user(client):
    def sign_in(user):
        client.force_login(user)
        return client

    return sign_in


def pages(response) -> int:
    return len(PdfReader(io.BytesIO(b"".join(response.streaming_content))).pages)


def ended_days_ago(days: float) -> None:
    ended = dt.timedelta(days=days)
    for row in Job.objects.all():
        Job.objects.filter(pk=row.pk).update(finished_at=row.finished_at - ended)


def silent_for(row: Job, minutes: float) -> None:
    """Let what was heard of a job lie back some minutes."""
    back = dt.timedelta(minutes=minutes)
    Job.objects.filter(pk=row.pk).update(
        queued_at=row.queued_at - back, started_at=row.started_at and row.started_at - back
    )


def test_a_small_report_is_answered_at_once_and_makes_no_job(as_role, bridge):
    response = as_role("manager").get(REPORT)
    assert response["Content-Type"] == "application/pdf"
    assert not Job.objects.exists()


def test_a_large_report_is_made_by_a_job_whose_page_has_the_file(as_role, settings, bridge):
    settings.LARGE_REPORT = 2
    client = as_role("manager")
    response = client.get(REPORT)
    found = Job.objects.get()
    assert (response.status_code, response["Location"]) == (303, f"/jobs/{found.pk}/")
    page = words(client.get(f"/jobs/{found.pk}/"))
    assert "Done. The report is made." in page
    assert "3 of 3 elements" in page
    file = client.get(f"/jobs/{found.pk}/result/")
    assert file["Content-Type"] == "application/pdf"
    assert file["Content-Disposition"].startswith('attachment; filename="T-LONG-condition-')
    assert file["Cache-Control"] == "private, no-store"
    assert pages(file) > 3


def test_with_workers_even_a_small_report_waits_for_one(as_role, workers, bridge):
    client = as_role("manager")
    where = client.get(REPORT)["Location"]
    assert "Waiting: 0 of 3 elements" in words(client.get(where))
    workers()
    assert "Done. The report is made." in words(client.get(where))
    assert pages(client.get(f"{where}result/")) > 3


def test_asked_for_again_before_its_end_a_report_is_the_same_job(as_role, workers, bridge):
    client = as_role("manager")
    assert client.get(REPORT)["Location"] == client.get(REPORT)["Location"]
    workers()
    client.get(REPORT)
    assert Job.objects.count() == 2


def test_a_look_at_the_head_of_a_large_report_asks_for_none(as_role, workers, bridge):
    assert as_role("manager").head(REPORT).status_code == 200
    assert not Job.objects.exists()


def test_others_do_not_find_a_job_and_staff_does(as_user, workers, bridge):
    mine, other, staff = (make_user(role) for role in ("manager", "manager", "engineer"))
    where = as_user(mine).get(REPORT)["Location"]
    workers()
    number = Job.objects.get().pk
    for address in (where, f"{where}state.json", f"{where}result/"):
        assert as_user(mine).get(address).status_code == 200
        assert as_user(other).get(address).status_code == 404
        assert as_user(staff).get(address).status_code == 200
    assert as_user(other).post(f"{where}again/").status_code == 404
    assert f"/jobs/{number}/" not in as_user(other).get("/jobs/").content.decode()
    assert f"/jobs/{number}/" not in as_user(staff).get("/jobs/").content.decode()
    assert f"/jobs/{number}/" in as_user(staff).get("/jobs/?of=all").content.decode()


@pytest.mark.parametrize("address", ["/jobs/", "/jobs/1/", "/jobs/1/state.json"])
def test_an_outsider_sees_no_jobs(as_role, address):
    assert as_role(None).get(address).status_code == 403


def test_the_list_has_the_newest_first_in_pages(as_user):
    user = make_user("manager")
    for number in range(30):
        row = job(user, title=f"Report {number:02}")
        row.asked_at += dt.timedelta(minutes=number)
        row.save()
    first = words(as_user(user).get("/jobs/"))
    assert first.index("Report 29") < first.index("Report 05")
    assert "Report 04" not in first
    assert "Report 04" in words(as_user(user).get("/jobs/?page=2"))


def test_who_may_no_longer_print_is_refused_when_the_job_is_done(as_user, workers, bridge):
    user = make_user("manager")
    where = as_user(user).get(REPORT)["Location"]
    user.held_roles.all().delete()
    workers()
    found = Job.objects.get()
    assert (found.state, found.result_name) == ("refused", "")
    assert "your role has changed" in found.message
    assert as_user(user).get(where).status_code == 403


def test_a_result_is_removed_after_its_days_and_can_be_made_again(as_role, settings, bridge):
    settings.LARGE_REPORT, settings.JOB_RESULT_DAYS = 2, 14
    client = as_role("manager")
    where = client.get(REPORT)["Location"]
    path = job_files.result_path(Job.objects.get().pk)
    ended_days_ago(13.9)
    assert jobs.drop_old_files() == 0
    assert path.exists()
    ended_days_ago(0.2)
    call_command("drop_job_files", stdout=io.StringIO())
    assert not path.exists()
    assert client.get(f"{where}result/").status_code == 404
    assert "is removed" in words(client.get(where))
    assert client.post(f"{where}again/")["Location"] == where
    assert pages(client.get(f"{where}result/")) > 3


def test_asking_for_a_job_removes_what_is_over(as_role, settings, bridge):
    settings.LARGE_REPORT = 2
    client = as_role("manager")
    client.get(REPORT)
    first = Job.objects.get()
    ended_days_ago(settings.JOB_RESULT_DAYS + 1)
    client.get(REPORT)
    assert not job_files.result_path(first.pk).exists()


def test_a_fault_is_told_in_plain_words_and_logged_with_its_trace(
    as_role, settings, bridge, monkeypatch, caplog
):
    settings.LARGE_REPORT = 2
    faulty = {**reports.REPORTS}
    kind, report = next(iter(faulty.items()))

    def breaks(*_given):
        raise ZeroDivisionError("division by zero")

    faulty[kind] = dataclasses.replace(report, write=breaks)
    monkeypatch.setattr(reports, "REPORTS", faulty)
    client = as_role("manager")
    where = client.get(REPORT)["Location"]
    page = words(client.get(where))
    assert "It did not get to its end." in page
    assert "Start the job again" in page
    assert "division" not in page
    assert "ZeroDivisionError" in caplog.text
    monkeypatch.undo()
    client.post(f"{where}again/")
    assert "Done." in words(client.get(where))


def test_a_busy_database_is_told_as_such(as_role, settings, bridge, monkeypatch):
    settings.LARGE_REPORT = 2

    def held(*_given, **_more):
        raise OperationalError("database is locked")

    monkeypatch.setattr(reports, "whole", held)
    client = as_role("manager")
    page = words(client.get(client.get(REPORT)["Location"]))
    assert "The database was held by something else for too long" in page


def test_a_job_of_which_nothing_is_heard_may_be_started_again(as_role, workers, bridge):
    client = as_role("manager")
    where = client.get(REPORT)["Location"]
    assert "Nothing was heard" not in words(client.get(where))
    client.post(f"{where}again/")
    assert Job.objects.get().attempt == 1  # it waits, as it should
    silent_for(Job.objects.get(), 11)
    page = words(client.get(where))
    assert "Nothing was heard of this job since" in page
    assert "No worker has taken it up" in page
    assert client.get(f"{where}state.json").json()["silent"]
    client.post(f"{where}again/")
    workers()
    found = Job.objects.get()
    assert (found.attempt, found.state) == (2, "done")


def test_a_job_that_waits_behind_one_at_work_is_not_told_as_lost(as_role, workers, bridge):
    other = job()
    assert jobs.take_up(other.pk, 1) is not None
    job_files.Progress(other.pk, 1)
    client = as_role("manager")
    where = client.get(REPORT)["Location"]
    silent_for(Job.objects.first(), 60)
    assert "Nothing was heard" not in words(client.get(where))
    job_files.progress_path(other.pk, 1).unlink()
    other.refresh_from_db()
    silent_for(other, 60)
    assert "No worker has taken it up" in words(client.get(where))


def test_the_list_asks_no_more_often_for_many_jobs(as_user, django_assert_num_queries):
    user = make_user("manager")
    client = as_user(user)
    job(user)
    with CaptureQueriesContext(connection) as few:
        client.get("/jobs/")
    for _ in range(20):
        job(user)
    with django_assert_num_queries(len(few)):
        client.get("/jobs/")


def test_what_an_attempt_does_that_was_given_up_no_longer_counts(workers, bridge, as_role):
    as_role("manager").get(REPORT)
    row = Job.objects.get()
    assert jobs.take_up(row.pk, 1) is not None
    silent_for(Job.objects.get(), 11)
    jobs.start_again(job=Job.objects.get())
    row.refresh_from_db()
    late = job_files.Progress(row.pk, 1)
    first = Job(pk=row.pk, attempt=1)
    assert not jobs.end(first, JobState.DONE, "Too late", progress=late)
    with pytest.raises(jobs.NoLongerMine):
        jobs.hold(first)
    workers()
    assert Job.objects.get().message == "The report is made."


def test_an_attempt_is_taken_up_once(bridge):
    row = job()
    assert jobs.take_up(row.pk, 1) is not None
    assert jobs.take_up(row.pk, 1) is None
    run_job.call(row.pk, 1)
    assert Job.objects.get().state == "running"


def test_a_report_on_what_is_gone_is_refused_with_what_to_do(workers, as_role, bridge):
    client = as_role("manager")
    where = client.get(REPORT)["Location"]
    Job.objects.update(parameters={"key": 0, "units": "si"})
    workers()
    assert "no longer on record. Ask for another report." in words(client.get(where))
