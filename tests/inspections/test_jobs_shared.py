"""A job that workers share: it gives way, is told as lost only when it is, and tries anew."""

import pytest
from django_tasks_db.models import DBTaskResult

from inspections.jobs import judging
from inspections.models import Job, ToJudge
from inspections.models.jobs import JobKind
from inspections.services import jobs
from tests.inspections.test_jobs import DATABASE, silent_for, site_folder  # noqa: F401
from tests.inspections.test_jobs_judging import bridges, flagged, save  # noqa: F401
from tests.make import make_user
from tests.rows_desk import job as a_job
from tests.worker import work

pytestmark = pytest.mark.django_db


@pytest.fixture
def workers(settings):
    settings.TASKS, settings.WORKERS = DATABASE, True
    return work


def test_judging_gives_way_to_a_report_asked_for_meanwhile(workers, monkeypatch):
    manager = make_user("manager")
    monkeypatch.setattr(judging, "SHARE_S", 0.0)
    job = save(watch_k=2.9)
    report = jobs.start(
        jobs.ask_for(
            kind=JobKind.CONDITION_REPORT,
            title="Condition report",
            parameters={"key": ToJudge.objects.first().bridge_id, "units": "si"},
            user=manager,
        )
    )
    workers()
    job.refresh_from_db()
    report.refresh_from_db()
    assert (job.state, report.state) == ("done", "done")
    assert (job.done_count, job.attempt) == (3, 1)
    assert job.started_at < report.started_at < report.finished_at < job.finished_at


def test_a_job_that_gave_way_is_not_told_as_lost_while_others_are_at_work(workers):
    job = save(watch_k=2.9)
    assert jobs.take_up(job.pk, 1) is not None
    silent_for(Job.objects.get(pk=job.pk), 60)
    job.refresh_from_db()
    assert jobs.is_silent(job)  # its call waits, but no worker does anything
    other = a_job()
    assert jobs.take_up(other.pk, 1) is not None
    assert not jobs.is_silent(job)
    DBTaskResult.objects.all().delete()
    assert jobs.is_silent(job)  # nobody is called to it any more


def test_a_later_change_has_a_bridge_tried_again_that_failed_before(workers, monkeypatch):
    first = save(watch_k=2.9)
    ToJudge.objects.update(failed_attempt=1)
    workers()
    first.refresh_from_db()
    assert first.state == "failed"
    save(watch_k=2.8)
    workers()
    assert not ToJudge.objects.exists()
    assert flagged() == set()
