"""Judging bridges again when something that all rest on has changed, as a job."""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterable

from django.conf import settings
from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction
from django.db.models import F, QuerySet
from django.utils.translation import gettext_noop as mark

from inspections.lookups.parts import in_parts
from inspections.models import Job, ToJudge
from inspections.models.jobs import JobKind
from inspections.services import jobs
from inspections.services.judge import judge_bridges
from inventory.scoping import seeing_all

log = logging.getLogger(__name__)


JUDGING_AGAIN = mark("Judging again by %(by)s")


@seeing_all
def ask(
    *,
    by: str,
    bridge_ids: Iterable[int],
    user: AbstractBaseUser | None,
    plan: bool = False,
) -> Job | None:
    """Write down the bridges to judge again and the job that does it; None if there is nothing.

    To be called in the transaction of the change, so that no page shows verdicts without
    telling that they are older; `jobs.start` comes after it.  Bridges that an earlier job still
    has before it are this one's from now on.

    Parameters
    ----------
    by : str
        By what they are to be judged, in words: «the settings of 2024-06-01 08:00».
    plan : bool
        Reckon what is due at every bridge as well.
    """
    found = sorted(set(bridge_ids))
    if not found and not plan:
        return None
    with transaction.atomic():
        job = jobs.ask_for(
            kind=JobKind.REASSESSMENT,
            title=JUDGING_AGAIN % {"by": by},
            parameters={"by": by, "plan": plan},
            user=user,
            unit="bridges",
            total=len(found),
        )
        for some in in_parts(found):
            ToJudge.objects.bulk_create(
                [ToJudge(bridge_id=pk, job=job) for pk in some],
                batch_size=500,
                update_conflicts=True,
                unique_fields=["bridge"],
                update_fields=["job", "failed_attempt"],
            )
    return job


@seeing_all
def judge_or_ask(*, by: str, bridge_ids: Iterable[int], user: AbstractBaseUser) -> None:
    """Judge bridges again at once, or by a worker after this transaction."""
    if not settings.WORKERS:
        judge_bridges(bridge_ids)
        return
    job = ask(by=by, bridge_ids=bridge_ids, user=user)
    if job is not None:
        jobs.start_after_commit(job)


@seeing_all
def judge_next(
    job: Job, most: int, progress: Callable[[int], None], among: list[int] | None = None
) -> int:
    """Judge bridges that a job still has before it and that nobody else has in hand.

    They leave the list and are counted in one transaction: where that is broken off, the
    database gives them back.  One that cannot be judged, nor when tried once more by itself,
    stops no other and is marked.

    Parameters
    ----------
    most : int
        How many at once; nobody else can write of these meanwhile.
    progress : callable
        Called after each bridge, before anything is certain.
    among : list of int, optional
        Take these only.

    Returns
    -------
    int
        How many were tried; 0 if none is free.
    """
    taken: list[int] = []
    try:
        with transaction.atomic():
            taken = _take(job, most, among)
            judge_bridges(taken, progress)
            Job.objects.filter(pk=job.pk).update(done_count=F("done_count") + len(taken))
    except Exception:
        if not taken:
            raise
        if among is None:
            # One of them, or somebody who wanted the same rows in another order: each by itself.
            return sum(judge_next(job, 1, progress, [bridge_id]) for bridge_id in taken)
        log.exception("Job %s: bridge %s could not be judged", job.pk, taken[0])
        mine = ToJudge.objects.filter(job=job, bridge_id=taken[0])
        mine.update(failed_attempt=job.attempt)
    return len(taken)


def _take(job: Job, most: int, among: list[int] | None) -> list[int]:
    """Lock bridges that a job has before it, and return them.

    What somebody else has locked is passed over, never waited for: whoever waits for one of these
    locks while holding another cannot wait for this one.
    """
    found = to_try(job) if among is None else to_try(job).filter(bridge_id__in=among)
    found = found.select_related("bridge").only("bridge_id", "bridge__code").order_by("bridge_id")
    locked = found.select_for_update(skip_locked=True, of=("self", "bridge"), no_key=True)
    return [row.bridge_id for row in locked[:most]]


def to_try(job: Job) -> QuerySet[ToJudge]:
    """Return the rows of a job that its present attempt has not tried in vain."""
    return ToJudge.objects.filter(job=job, failed_attempt__lt=job.attempt)


def failed_codes(job: Job) -> list[str]:
    """Return the codes of the bridges that the present attempt could not judge."""
    failed = ToJudge.objects.filter(job=job, failed_attempt=job.attempt)
    return list(failed.order_by("bridge_id").values_list("bridge__code", flat=True))
