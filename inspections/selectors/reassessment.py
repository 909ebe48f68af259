"""What is still to be judged again, for the notice on every page and on paper."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import QuerySet
from django.utils.translation import gettext

from inspections.models import Job, ToJudge
from inspections.models.jobs import JobKind
from inspections.services.jobs import UNFINISHED
from inventory.words import is_english


@dataclass(frozen=True, slots=True)
class StillToJudge:
    """How many bridges a job still has before it."""

    job: Job
    left: int

    @property
    def words(self) -> str:
        """In words, without a full stop."""
        if not is_english():
            told = gettext("%(left)s of %(total)s bridges are still to be judged again")
            return told % {"left": self.left, "total": max(self.job.total_count, self.left)}
        bridges = f"{self.left} of {max(self.job.total_count, self.left)} bridges"
        be = "is" if self.left == 1 else "are"
        return f"{bridges} {be} still to be judged by {self.job.parameters['by']}"


def still_to_judge(job_id: int | None = None) -> StillToJudge | None:
    """Return what is still to be judged; None if nothing is.

    ``job_id`` is the newest job with bridges before it, where the caller knows it already.
    """
    if job_id is None:
        job_id = newest_waiting().first()
    if job_id is None:
        return None
    return StillToJudge(Job.objects.get(pk=job_id), bridges_waiting())


def bridges_waiting() -> int:
    """Return how many bridges are still to be judged."""
    return ToJudge.objects.count()


def newest_waiting() -> QuerySet[ToJudge, int]:
    """Return the keys of the jobs with bridges before them, the newest first."""
    return ToJudge.objects.order_by("-job_id").values_list("job_id", flat=True)


def waiting_bridges() -> set[int]:
    """Return the keys of the bridges whose verdicts and flags are those from before."""
    return set(ToJudge.objects.values_list("bridge_id", flat=True))


def unfinished_reassessment() -> Job | None:
    """Return the newest job that judges again, or still has bridges before it."""
    newest = Job.objects.filter(kind=JobKind.REASSESSMENT).first()
    if newest is None or (newest.state not in UNFINISHED and not newest.to_judge.exists()):
        return None
    return newest
