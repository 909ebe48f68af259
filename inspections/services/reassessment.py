"""Judging bridges again when something that all rest on has changed, as a job."""

from __future__ import annotations

from collections.abc import Iterable

from django.conf import settings
from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction

from inspections.models import Job, ToJudge
from inspections.models.jobs import JobKind
from inspections.services import jobs
from inspections.services.judge import judge_bridges
from inventory.models import Bridge
from inventory.scoping import seeing_all


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
            title=f"Judging again by {by}",
            parameters={"by": by, "plan": plan},
            user=user,
            unit="bridges",
            total=len(found),
        )
        ToJudge.objects.bulk_create(
            [ToJudge(bridge_id=pk, job=job) for pk in found],
            batch_size=500,
            update_conflicts=True,
            unique_fields=["bridge"],
            update_fields=["job"],
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
def judge_if_waiting(bridge_id: int) -> None:
    """Judge a bridge again, unless somebody else has done so meanwhile."""
    with transaction.atomic():
        Bridge.objects.select_for_update(no_key=True).filter(pk=bridge_id).first()
        if ToJudge.objects.filter(bridge_id=bridge_id).exists():
            judge_bridges([bridge_id])
