"""Jobs as their pages show them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cache

from django.contrib.auth.models import AbstractBaseUser, AnonymousUser
from django.db.models import QuerySet

from inspections.models import Job
from inspections.models.jobs import JobState
from inspections.roles import IMPORT_FOR_ALL
from inspections.services import job_files, jobs


def jobs_to_see(user: AbstractBaseUser | AnonymousUser) -> QuerySet[Job]:
    """Return the jobs that a user may see: one's own; whose work spans every district sees all."""
    rows = Job.objects.select_related("asked_by")
    return rows if user.has_perm(IMPORT_FOR_ALL) else rows.filter(asked_by_id=user.pk)


@dataclass(frozen=True, slots=True)
class Standing:
    """Where a job stands, in words and figures."""

    job: Job
    told: job_files.Told
    heard_at: dt.datetime | None
    is_silent: bool
    may_start_again: bool

    @property
    def words(self) -> str:
        """State and progress, such as ``Running: 12 of 59 elements``."""
        if self.job.state == JobState.DONE:
            return self.job.get_state_display()
        return ": ".join(filter(None, (self.job.get_state_display(), self.told.words)))

    @property
    def kept_until(self) -> dt.datetime | None:
        """Until when its files are kept."""
        return jobs.kept_until(self.job)


def standings_of(rows: Iterable[Job]) -> list[Standing]:
    """Return where some jobs stand, in no more queries than for one."""
    others_at_work = cache(jobs.any_at_work)
    return [standing_of(job, others_at_work) for job in rows]


def standing_of(job: Job, others_at_work: Callable[[], bool] = jobs.any_at_work) -> Standing:
    """Return where a job stands; what one at work tells is read from its file."""
    at_end = job_files.Told("", job.done_count, job.total_count, job.unit)
    if job.has_ended:
        return Standing(job, at_end, None, False, jobs.may_start_again(job))
    told = job_files.told(job.pk, job.attempt) or at_end
    silent = jobs.is_silent(job, others_at_work)
    return Standing(job, told, jobs.heard_at(job), silent, silent)
