"""What a worker runs: an attempt at a job, or a share in it; its end is always written down."""

from __future__ import annotations

import logging

from django.db import OperationalError
from django.utils.translation import gettext_noop as mark
from django_scopes import scope
from django_tasks import task

from inspections.jobs.kinds import KINDS, MAY_NOT, Failed, Outcome, Refused
from inspections.models import Job
from inspections.models.jobs import JobKind, JobState
from inspections.rights import districts_of
from inspections.services import job_files, jobs
from inventory.scoping import DISTRICT
from inventory.services.authorship import changes_by
from inventory.words import in_english

log = logging.getLogger(__name__)
BUSY = mark(
    "The database was held by something else for too long, so nothing was done. Start the job again"
    " in a while."
)
FAULT = mark(
    "The program met a fault and stopped; what it was doing is undone, and the fault is in the log"
    " of the site under job %(number)s. Start the job again; if it stops again, tell whoever runs"
    " the site this number."
)


def _districts(job: Job, permission: str) -> list[int] | None:
    """Return where whoever asked may still do it; judging again is everybody's."""
    if job.kind == JobKind.REASSESSMENT:
        # What was changed must be judged again, whatever became of whoever changed it.
        return None
    return [] if job.asked_by is None else districts_of(job.asked_by, permission)


@task()
def run_job(job_id: int, attempt: int) -> None:
    """Do a job, unless another attempt at it is the one that counts."""
    job = jobs.take_up(job_id, attempt) or jobs.join(job_id, attempt)
    if job is None:
        return
    progress = job_files.Progress(
        job.pk, attempt, done=job.done_count, total=job.total_count, unit=job.unit
    )
    try:
        _do(job, progress)
    finally:
        progress.forget()


@in_english
def _do(job: Job, progress: job_files.Progress) -> None:
    kind = KINDS[JobKind(job.kind)]
    districts = _districts(job, kind.permission)
    try:
        if districts == []:
            raise Refused(MAY_NOT)
        with scope(**{DISTRICT: districts}), changes_by(job.asked_by):
            outcome = kind.work(job, progress)
    except jobs.NoLongerMine:
        return
    except Refused as refused:
        jobs.end(
            job,
            JobState.REFUSED,
            refused.message,
            progress=progress,
            told=refused.told,
            result_name=refused.result_name,
        )
    except Failed as failed:
        jobs.end(job, JobState.FAILED, str(failed), progress=progress)
    except OperationalError:
        log.exception("Job %s (%s) failed", job.pk, job.kind)
        jobs.end(job, JobState.FAILED, BUSY, progress=progress)
    except Exception:
        log.exception("Job %s (%s) failed", job.pk, job.kind)
        jobs.end(job, JobState.FAILED, FAULT % {"number": job.pk}, progress=progress)
    else:
        if isinstance(outcome, Outcome):
            jobs.end(
                job,
                JobState.DONE,
                outcome.message,
                progress=progress,
                told=outcome.told,
                result_name=outcome.result_name,
            )
