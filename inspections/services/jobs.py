"""Jobs asked for, taken up, ended, started again; what one does stands in ``inspections.jobs``."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Any

from django.conf import settings
from django.contrib.auth.models import AbstractBaseUser
from django.core.exceptions import ValidationError
from django.db import connection, transaction
from django.utils import timezone
from django.utils.module_loading import import_string
from django.utils.translation import gettext as _
from django_tasks_db.models import DBTaskResult

from inspections.models import Job
from inspections.models.jobs import ENDED, REPORT_KINDS, SHARED_KINDS, JobKind, JobState
from inspections.services import job_files

UNFINISHED = (JobState.WAITING, JobState.RUNNING)
TASK = "inspections.jobs.running.run_job"


class NoLongerMine(Exception):  # noqa: N818 - reads as what happened
    """Another attempt has taken the job over, or has ended it."""


def ask_for(
    *,
    kind: JobKind,
    title: str,
    parameters: dict[str, Any],
    user: AbstractBaseUser | None,
    unit: str = "",
    total: int = 0,
    upload: bytes | None = None,
) -> Job:
    """Write down a job; `start` has it done.

    Results whose days are over are removed on this occasion.
    """
    drop_old_files()
    now = timezone.now()
    job = Job.objects.create(
        kind=kind,
        title=title[:200],
        parameters=parameters,
        asked_by=user,
        unit=unit,
        total_count=total,
        asked_at=now,
        queued_at=now,
    )
    if upload is not None:
        with job_files.whole(job_files.upload_path(job.pk)) as file:
            file.write(upload)
    return job


def same_unfinished(
    *, kind: JobKind, parameters: dict[str, Any], user: AbstractBaseUser
) -> Job | None:
    """Return the user's job of the same kind and parameters that has not ended yet."""
    mine = Job.objects.filter(kind=kind, asked_by=user, state__in=UNFINISHED)
    return next((job for job in mine if job.parameters == parameters), None)


def start(job: Job) -> Job:
    """Hand a job to whoever does it, and return it as it is then.

    To be called after the transaction that wrote it: without workers it is done at once.
    Where it gets lost in between, its page offers to start it again.
    """
    _enqueue(job)
    job.refresh_from_db()
    return job


def _enqueue(job: Job) -> None:
    import_string(TASK).enqueue(job.pk, job.attempt)


def start_after_commit(job: Job) -> None:
    """Start a job once the transaction around it has been written."""
    transaction.on_commit(lambda: start(job))


def start_again(*, job: Job) -> Job:
    """Start a job anew that failed or went silent; what its earlier attempt still does is void.

    Raises
    ------
    ValidationError
        If it is at work, done or refused.
    """
    with transaction.atomic():
        locked = Job.objects.select_for_update().get(pk=job.pk)
        if not may_start_again(locked):
            raise ValidationError(_("This job needs no new start: look at its state."))
        locked.state, locked.attempt = JobState.WAITING, locked.attempt + 1
        locked.queued_at = timezone.now()
        locked.started_at = locked.finished_at = locked.told = None
        locked.message = ""
        locked.save(
            update_fields=[
                "state",
                "attempt",
                "queued_at",
                "started_at",
                "finished_at",
                "told",
                "message",
            ]
        )
    return start(locked)


def may_start_again(job: Job) -> bool:
    """True for a job that failed or went silent, and for a report that is no longer kept."""
    return job.state == JobState.FAILED or is_silent(job) or report_is_gone(job)


def report_is_gone(job: Job) -> bool:
    """True for a report whose days are over."""
    return job.state == JobState.DONE and job.kind in REPORT_KINDS and not job.result_name


def take_up(job_id: int, attempt: int) -> Job | None:
    """Return a job that this attempt is to do now; None if it is not its to do."""
    mine = Job.objects.filter(pk=job_id, attempt=attempt, state=JobState.WAITING)
    if not mine.update(state=JobState.RUNNING, started_at=timezone.now()):
        return None
    return Job.objects.select_related("asked_by").get(pk=job_id)


def join(job_id: int, attempt: int) -> Job | None:
    """Return a job at which others are at work and which this worker may share; None otherwise."""
    shared = Job.objects.filter(kind__in=SHARED_KINDS, state=JobState.RUNNING)
    return shared.select_related("asked_by").filter(pk=job_id, attempt=attempt).first()


def can_be_shared() -> bool:
    """True if several workers get further than one: where rows are locked and not the database."""
    return settings.WORKERS and connection.features.has_select_for_update_skip_locked


def call_another(job: Job) -> None:
    """Let the next worker that is free share a job, unless one is called already.

    So there is one call for it in the queue while it is at work: workers that come later join,
    one that was killed is replaced, and what was asked for meanwhile has its turn.
    """
    if not _is_called(job):
        _enqueue(job)


def _is_called(job: Job) -> bool:
    """True if the queue holds a call for this attempt that no worker has taken up."""
    call = {"args": [job.pk, job.attempt], "kwargs": {}}
    waiting = DBTaskResult.objects.ready().filter(task_path=TASK, args_kwargs=call)
    return settings.WORKERS and waiting.exists()


def done_so_far(job: Job) -> int | None:
    """Return how much of a shared job is done; None if it is no longer this attempt's."""
    mine = Job.objects.filter(pk=job.pk, attempt=job.attempt, state=JobState.RUNNING)
    return mine.values_list("done_count", flat=True).first()


def hold(job: Job) -> None:
    """Lock the job's row in the transaction of its work, so that the work is done once.

    Raises
    ------
    NoLongerMine
        If another attempt was started meanwhile, or has ended it.
    """
    mine = Job.objects.select_for_update().filter(pk=job.pk, attempt=job.attempt)
    if mine.filter(state=JobState.RUNNING).first() is None:
        raise NoLongerMine


def end(
    job: Job,
    state: JobState,
    message: str,
    *,
    progress: job_files.Progress,
    told: dict[str, Any] | None = None,
    result_name: str = "",
) -> bool:
    """Write down what became of a job; False if it was no longer this attempt's."""
    mine = Job.objects.filter(pk=job.pk, attempt=job.attempt, state=JobState.RUNNING)
    return bool(
        mine.update(
            state=state,
            message=message,
            told=told,
            result_name=result_name,
            unit=progress.unit,
            done_count=progress.done,
            total_count=progress.total,
            finished_at=timezone.now(),
        )
    )


def heard_at(job: Job) -> dt.datetime:
    """Return when something was last heard of a job that has not ended."""
    told = job_files.told(job.pk, job.attempt)
    moments = (told and told.heard_at, job.started_at, job.queued_at)
    return max(moment for moment in moments if moment)


def any_at_work() -> bool:
    """True if any job is running and heard of."""
    return any(map(_is_heard, Job.objects.filter(state=JobState.RUNNING)))


def _is_heard(job: Job) -> bool:
    return timezone.now() - heard_at(job) <= dt.timedelta(minutes=settings.JOB_SILENT_MIN)


def is_silent(job: Job, others_at_work: Callable[[], bool] = any_at_work) -> bool:
    """True if a job should be at work and nothing was heard of it for too long.

    One that waits, or whose workers have given way to others, is in its place while those are
    at work.
    """
    if job.has_ended or _is_heard(job):
        return False
    waits = job.state == JobState.WAITING or (job.kind in SHARED_KINDS and _is_called(job))
    return not (waits and others_at_work())


def kept_until(job: Job) -> dt.datetime | None:
    """Return until when the files of a job that has ended are kept."""
    if job.finished_at is None:
        return None
    return job.finished_at + dt.timedelta(days=settings.JOB_RESULT_DAYS)


def drop_old_files() -> int:
    """Remove the results whose days are over, and return of how many jobs."""
    cutoff = timezone.now() - dt.timedelta(days=settings.JOB_RESULT_DAYS)
    old = Job.objects.filter(state__in=ENDED, finished_at__lt=cutoff).exclude(result_name="")
    found = list(old.values_list("pk", flat=True))
    for job_id in found:
        job_files.drop(job_id)
    old.filter(pk__in=found).update(result_name="")
    job_files.drop_older_than(cutoff)
    return len(found)
