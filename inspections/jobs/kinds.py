"""The kinds of job: what each needs of its user, and what does it.

The work is named by its path and loaded when it is to be done: services ask for jobs whose work
calls services.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.utils.module_loading import import_string
from django.utils.translation import gettext_noop as mark

from inspections.models import Job
from inspections.models.jobs import REPORT_KINDS, JobKind
from inspections.services.job_files import Progress

MAY_NOT = mark("You may no longer do this: your role has changed. Ask whoever gives out the roles.")
_PRINT = "inspections.print_report"


class Refused(Exception):  # noqa: N818 - reads as what happened
    """The work cannot be done as asked; the message says why and what to do."""

    def __init__(self, message: str, told: dict[str, Any] | None = None, result_name: str = ""):
        super().__init__(message)
        self.message, self.told, self.result_name = message, told, result_name


class Failed(Exception):  # noqa: N818 - reads as what happened
    """The work was not done to its end; the message says what is left and what to do."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of a job, in words, as figures for its page, and as a file."""

    message: str
    told: dict[str, Any] | None = None
    result_name: str = ""


Work = Callable[[Job, Progress], Outcome | None]
"""Does a job; None where it wrote down its end by itself, in the transaction of its work, or
where others go on with it."""


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of job."""

    permission: str
    path: str

    @property
    def work(self) -> Work:
        """What does it."""
        return import_string(self.path)


KINDS = {kind: Kind(_PRINT, "inspections.jobs.reports.print_report") for kind in REPORT_KINDS} | {
    JobKind.REASSESSMENT: Kind(
        "inspections.change_agencysettings", "inspections.jobs.judging.judge_again"
    ),
    JobKind.IMPORT: Kind("inspections.import_files", "inspections.jobs.imports.take_in"),
}
