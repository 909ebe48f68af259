"""Judging again, some bridges at a time; a new start goes on with what is left.

As many workers as are free share the bridges that are left, each taking the next that no other has
in hand; whoever finds none left writes down the end.
"""

from __future__ import annotations

import time

from django.conf import settings
from django.db import connection
from django.utils.translation import gettext_noop as mark

from inspections.jobs.kinds import Failed, Outcome
from inspections.models import Job
from inspections.services import jobs
from inspections.services.job_files import Progress
from inspections.services.plan import write_due_all
from inspections.services.reassessment import failed_codes, judge_next, to_try

MOST_NAMED = 10
RECKONING, JUDGING = mark("reckoning what is due"), mark("judging")
ALL_JUDGED = mark("Every bridge is judged by %(by)s, or by what came after it.")
NOT_JUDGED = mark(
    "Could not be judged: %(bridges)s. Their verdicts are those from before; all other bridges are"
    " judged. Start the job again, which goes on with these; if it stays so, tell whoever runs the"
    " site the number of the job, %(number)s."
)
SHARE_S = 60.0
"""After so long a worker gives way to what else waits, and takes its place behind that."""
LOOK_AGAIN_S = 0.2
MOST_AT_ONCE = 100
HELD_S, HELD_WITH_ALL_S = 1.0, 0.1
"""How long a transaction should last: where it locks its bridges, and where it locks the database,
so that tablets send in between."""


def judge_again(job: Job, progress: Progress) -> Outcome | None:
    """Judge bridges that a job has before it; None while others go on with it, or have ended it."""
    _begin(job, progress)
    give_way_at, at_once = time.monotonic() + SHARE_S, 1
    while (done := jobs.done_so_far(job)) is not None:
        progress.done = done
        progress(0)
        began = time.monotonic()
        tried = judge_next(job, at_once, lambda _count: progress(0))
        if tried:
            at_once = _how_many(tried, time.monotonic() - began)
            # Not before: a bridge that ends whoever takes it would end one worker after the other.
            if jobs.can_be_shared():
                jobs.call_another(job)
        elif not to_try(job).exists():
            return _end(job, progress)
        else:
            time.sleep(LOOK_AGAIN_S)  # others have the rest in hand, and may yet be killed
        if settings.WORKERS and time.monotonic() >= give_way_at:
            jobs.call_another(job)
            progress.goes_on = True
            return None
    return None


def _begin(job: Job, progress: Progress) -> None:
    """Do what comes before the first bridge."""
    progress.total = job.total_count
    if job.parameters.get("plan"):
        progress.phase(RECKONING)
        write_due_all(lambda _count: progress(0))
        job.parameters["plan"] = False
        job.save(update_fields=["parameters"])
    progress.phase(JUDGING)


def _how_many(tried: int, taken_s: float) -> int:
    """Return how many bridges to take next, twice as many as before at most."""
    shared = connection.features.has_select_for_update_skip_locked
    within_s = HELD_S if shared else HELD_WITH_ALL_S
    fitting = int(tried * within_s / max(taken_s, 1e-6))
    return max(1, min(fitting, 2 * tried, MOST_AT_ONCE))


def _end(job: Job, progress: Progress) -> Outcome:
    codes = failed_codes(job)
    progress.done = job.total_count - len(codes)
    if not codes:
        return Outcome(ALL_JUDGED % {"by": job.parameters["by"]})
    more = f" and {len(codes) - MOST_NAMED} more" if len(codes) > MOST_NAMED else ""
    raise Failed(
        NOT_JUDGED % {"bridges": f"{', '.join(codes[:MOST_NAMED])}{more}", "number": job.pk}
    )
