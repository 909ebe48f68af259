"""Judging again, bridge by bridge: what is done is done, and a new start goes on with the rest."""

from __future__ import annotations

import logging

from inspections.jobs.kinds import Failed, Outcome
from inspections.models import Job
from inspections.services.job_files import Progress
from inspections.services.plan import write_due_all
from inspections.services.reassessment import judge_if_waiting
from inventory.models import Bridge

log = logging.getLogger(__name__)
MOST_NAMED = 10


def judge_again(job: Job, progress: Progress) -> Outcome:
    """Judge the bridges that a job still has before it; one that fails does not stop the others."""
    if job.parameters.get("plan"):
        progress.phase("reckoning what is due")
        write_due_all(lambda _count: progress(0))
        job.parameters["plan"] = False
        job.save(update_fields=["parameters"])
    waiting = list(job.to_judge.order_by("bridge_id").values_list("bridge_id", flat=True))
    progress.total = job.total_count
    progress.done = job.total_count - len(waiting)
    progress.phase("judging")
    failed = []
    for bridge_id in waiting:
        try:
            judge_if_waiting(bridge_id)
        except Exception:
            log.exception("Job %s: bridge %s could not be judged", job.pk, bridge_id)
            failed.append(bridge_id)
        else:
            progress()
    if failed:
        raise Failed(_told(job, failed))
    return Outcome(f"Every bridge is judged by {job.parameters['by']}, or by what came after it.")


def _told(job: Job, failed: list[int]) -> str:
    codes = list(Bridge.objects.filter(pk__in=failed).values_list("code", flat=True))
    more = f" and {len(codes) - MOST_NAMED} more" if len(codes) > MOST_NAMED else ""
    return (
        f"Could not be judged: {', '.join(codes[:MOST_NAMED])}{more}. Their verdicts are those from"
        " before; all other bridges are judged. Start the job again, which goes on with these; if"
        f" it stays so, tell whoever runs the site the number of the job, {job.pk}."
    )
