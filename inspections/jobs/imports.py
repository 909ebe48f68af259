"""Files that come in: checked by one job, taken in by another once that is confirmed.

A file is taken whole or not at all, in one transaction that also writes down the end of its job:
one that was broken off has taken nothing, and one that has taken it cannot do so again.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from django.conf import settings
from django.contrib.auth.models import AbstractBaseUser
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as mark

from inspections.exchange.kinds import KINDS, Kind
from inspections.exchange.kinds import Outcome as Imported
from inspections.jobs.kinds import MAY_NOT, Outcome, Refused
from inspections.models import Job
from inspections.models.jobs import JobKind, JobState
from inspections.rights import districts_of
from inspections.services import jobs
from inspections.services.job_files import Progress, result_path, upload_path, whole
from inventory.exchange.problems import ImportRefused, Problem, neutralise

MOST_SHOWN = 300
NO_LONGER_HERE = mark("The file that was sent is no longer here. Choose it again.")
CHECK_OF = mark("Check of %(file)s (%(kind)s)")
IMPORT_OF = mark("Import of %(file)s (%(kind)s)")
NOTHING_NEW = mark("There is nothing to import: the ledger holds all of it already.")
CAN_BE_TAKEN_IN = mark("The file can be taken in; nothing is written yet.")
NOTHING_WRITTEN = mark("Nothing was written.")
CHECKING, TAKING_IN = mark("checking"), mark("taking in")


def is_long(size: int) -> bool:
    """True if a file of this size [bytes] is for a job."""
    return settings.WORKERS or size > 1024 * settings.LARGE_IMPORT_KB


def ask_for_import(
    *,
    kind: Kind,
    file_name: str,
    content: bytes,
    options: Mapping[str, Any],
    dry_run: bool,
    user: AbstractBaseUser,
) -> Job:
    """Start the job that checks a file, or takes it in."""
    return jobs.start(_asked(kind, file_name, content, options, dry_run, user))


def _asked(
    kind: Kind,
    file_name: str,
    content: bytes,
    options: Mapping[str, Any],
    dry_run: bool,
    user: AbstractBaseUser,
) -> Job:
    return jobs.ask_for(
        kind=JobKind.IMPORT,
        title=(CHECK_OF if dry_run else IMPORT_OF)
        % {"file": file_name, "kind": kind.title.lower()},
        parameters={
            "of": kind.name,
            "file": file_name,
            "options": dict(options),
            "dry_run": dry_run,
        },
        user=user,
        unit=kind.counts,
        upload=content,
    )


def import_what_was_checked(*, checked: Job, user: AbstractBaseUser) -> Job:
    """Start the job that takes in a file that another has checked; twice, it is the same job.

    Raises
    ------
    ValidationError
        If the check has not said yes, or the file is no longer kept.
    """
    with transaction.atomic():
        locked = Job.objects.select_for_update().get(pk=checked.pk)
        said = locked.told or {}
        if "taken_by" in said:
            return Job.objects.get(pk=said["taken_by"])
        if not awaits_confirmation(locked):
            raise ValidationError(_(NO_LONGER_HERE))
        asked = locked.parameters
        job = _asked(
            KINDS[asked["of"]],
            asked["file"],
            upload_path(locked.pk).read_bytes(),
            asked["options"],
            False,
            user,
        )
        locked.told = said | {"taken_by": job.pk}
        locked.save(update_fields=["told"])
    upload_path(checked.pk).unlink(missing_ok=True)
    return jobs.start(job)


def awaits_confirmation(job: Job) -> bool:
    """True for a checked file that would change something and has not been taken in."""
    return (
        job.kind == JobKind.IMPORT
        and job.state == JobState.DONE
        and job.parameters["dry_run"]
        and bool(job.told and job.told["changes"] and "taken_by" not in job.told)
        and upload_path(job.pk).exists()
    )


def take_in(job: Job, progress: Progress) -> Outcome | None:
    """Check the file of a job, or take it in."""
    asked = job.parameters
    if districts_of(job.asked_by, KINDS[asked["of"]].permission) == []:
        raise Refused(MAY_NOT)
    try:
        content = upload_path(job.pk).read_bytes()
    except FileNotFoundError as error:
        raise Refused(NO_LONGER_HERE) from error
    run, options, dry_run = KINDS[asked["of"]].run, asked["options"], asked["dry_run"]
    progress.done = progress.total = 0
    progress.phase(CHECKING if dry_run else TAKING_IN)
    try:
        if dry_run:
            outcome = run(content, options, True, job.asked_by, progress)
            return Outcome(_checked(outcome), _told(outcome))
        with transaction.atomic():
            jobs.hold(job)
            outcome = run(content, options, False, job.asked_by, progress)
            message = f"{asked['file']} is imported; {outcome.in_short}."
            jobs.end(job, JobState.DONE, message, progress=progress, told=_told(outcome))
    except ImportRefused as refused:
        raise _refusal(job, refused.problems) from refused
    upload_path(job.pk).unlink(missing_ok=True)
    return None


def _checked(outcome: Imported) -> str:
    if not outcome.changes:
        return NOTHING_NEW
    return CAN_BE_TAKEN_IN


def _told(outcome: Imported) -> dict[str, Any]:
    more = max(0, len(outcome.notices) - MOST_SHOWN)
    return asdict(outcome) | {
        "notices": outcome.notices[:MOST_SHOWN],
        "more_notices": more,
        "changes": outcome.changes,
    }


def _refusal(job: Job, problems: list[Problem]) -> Refused:
    """Return why a file was refused; the page shows the first problems, a file has all."""
    name = ""
    if len(problems) > MOST_SHOWN:
        name = "problems.csv"
        with whole(result_path(job.pk)) as file:
            stream = io.TextIOWrapper(file, encoding="utf-8", newline="", write_through=True)
            writer = csv.writer(stream, lineterminator="\n")
            writer.writerow(["line", "column", "problem"])
            writer.writerows(
                [each.line or "", neutralise(each.column), neutralise(each.message)]
                for each in problems
            )
            stream.detach()
    upload_path(job.pk).unlink(missing_ok=True)
    told = {
        "problems": [asdict(each) for each in problems[:MOST_SHOWN]],
        "problem_count": len(problems),
    }
    return Refused(NOTHING_WRITTEN, told, name)
