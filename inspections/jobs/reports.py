"""Reports as PDF: what each is about, how large it is, and how it is printed.

A page answers with a small one at once and has a large one made by a job; both print it here.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, BinaryIO
from zoneinfo import ZoneInfo

from django.conf import settings
from django.contrib.auth.models import AbstractBaseUser
from django.core.exceptions import ObjectDoesNotExist
from django.http import QueryDict
from django.utils import timezone
from django.utils.translation import get_language, override
from django.utils.translation import gettext_noop as mark

from inspections.jobs.kinds import Outcome, Refused
from inspections.models import AgencySettings, Event, Job
from inspections.models.jobs import JobKind
from inspections.order_filter import OrderFilter
from inspections.paper.condition_report import write_condition_report
from inspections.paper.cover import Printing
from inspections.paper.district_summary import PARTS, write_district_summary
from inspections.paper.event_report import write_event_report
from inspections.paper.frame import page_size_of
from inspections.paper.progress import Count
from inspections.paper.work_list import write_work_list
from inspections.selectors.district import district_summary
from inspections.selectors.report import bridges_to_report
from inspections.selectors.work import orders
from inspections.services import jobs
from inspections.services.job_files import Progress, result_path, whole
from inventory.models import Bridge, District
from inventory.units import System
from inventory.words import in_english

GONE = mark("What this report was to tell of is no longer on record. Ask for another report.")
CONDITION_OF = mark("Condition report of %(bridge)s")
SUMMARY_OF = mark("Summary of %(district)s")
ALL_DISTRICTS = mark("all districts")
REPORT_OF = mark("Report of %(event)s")
WORK_LIST = mark("List of work")
MADE = mark("The report is made.")
GATHERING, PRINTING = mark("gathering"), mark("printing")


@dataclass(frozen=True, slots=True)
class Report:
    """One kind of report.

    Attributes
    ----------
    unit : str
        What its progress counts, in the plural.
    subject : callable
        Returns what it is about by its key, or raises ObjectDoesNotExist.
    title, size, write, file_name : callable
        Of the subject: a line about it; how large it is; the printing; the name of the file.
    total : callable, optional
        How many units its progress goes to, where that is not its size.
    """

    unit: str
    subject: Callable[[Any], Any]
    title: Callable[[Any], str]
    size: Callable[[Any], int]
    write: Callable[[Any, BinaryIO, Printing, Count], None]
    file_name: Callable[[Any, Printing], str]
    total: Callable[[Any], int] | None = None

    def units(self, subject: Any) -> int:
        """Return to what its progress goes."""
        return (self.total or self.size)(subject)


def _condition(bridge: Bridge, file: BinaryIO, printing: Printing, progress: Count) -> None:
    write_condition_report(
        bridge,
        file,
        system=printing.system,
        printed_at=printing.at,
        printed_by=printing.by,
        page_size=printing.page_size,
        progress=progress,
    )


def _district(
    district: District | None, file: BinaryIO, printing: Printing, progress: Count
) -> None:
    found = district_summary(district, timezone.localdate(printing.at))
    write_district_summary(found, file, printing, progress)


def orders_narrowed(query: str | None) -> OrderFilter:
    """Return work orders as an address narrows the list of them; all where it says nothing."""
    return OrderFilter(QueryDict(query or ""), queryset=orders())


def _work(found: OrderFilter, file: BinaryIO, printing: Printing, progress: Count) -> None:
    write_work_list(
        found.qs,
        file,
        printing,
        currency=AgencySettings.current().currency,
        narrowed_to=found.narrowed_to if found.is_valid() else (),
        progress=progress,
    )


def file_stem(code: str) -> str:
    """Return a bridge's code with nothing in it that a file system or a header minds."""
    return re.sub(r"[^A-Za-z0-9_-]+", "-", code).strip("-") or "bridge"


REPORTS = {
    JobKind.CONDITION_REPORT: Report(
        "elements",
        lambda pk: bridges_to_report().get(pk=pk),
        lambda bridge: CONDITION_OF % {"bridge": bridge},
        lambda bridge: bridge.elements.count(),
        _condition,
        lambda bridge, printing: (
            f"{file_stem(bridge.code)}-condition-{printing.local:%Y-%m-%d}.pdf"
        ),
    ),
    JobKind.DISTRICT_SUMMARY: Report(
        "parts",
        lambda pk: None if pk is None else District.objects.get(pk=pk),
        lambda district: SUMMARY_OF % {"district": district or ALL_DISTRICTS},
        lambda district: Bridge.objects.filter(
            **{"district": district} if district else {}
        ).count(),
        _district,
        lambda district, printing: (
            f"{file_stem(district.code) if district else 'all-districts'}-summary"
            f"-{printing.local:%Y-%m-%d}.pdf"
        ),
        total=lambda _district: len(PARTS),
    ),
    JobKind.EVENT_REPORT: Report(
        "bridges",
        lambda pk: Event.objects.get(pk=pk),
        lambda event: REPORT_OF % {"event": event},
        lambda event: event.bridges.count(),
        write_event_report,
        lambda event, _printing: f"event-{event.pk}-{event.occurred_at:%Y-%m-%d}.pdf",
    ),
    JobKind.WORK_LIST: Report(
        "orders",
        orders_narrowed,
        lambda _found: WORK_LIST,
        lambda found: found.qs.count(),
        _work,
        lambda _found, printing: f"work-{printing.local:%Y-%m-%d}.pdf",
    ),
}


def printing_for(user: AbstractBaseUser, system: System, zone_name: str = "") -> Printing:
    """Return how a user prints now: units and their paper, the hour of a place or the site."""
    return Printing(
        system,
        timezone.now(),
        user.get_full_name() or user.get_username(),
        page_size_of(system),
        ZoneInfo(zone_name or timezone.get_current_timezone_name()),
    )


def is_long(size: int) -> bool:
    """True if a report of this size is for a job."""
    return settings.WORKERS or size > settings.LARGE_REPORT


def ask_for_report(
    kind: JobKind, key: Any, subject: Any, user: AbstractBaseUser, system: System
) -> Job:
    """Start the job that prints a report; asked for again before its end, it is the same job."""
    report = REPORTS[kind]
    parameters = {"key": key, "units": system.value, "language": get_language()}
    same = jobs.same_unfinished(kind=kind, parameters=parameters, user=user)
    if same is not None:
        return same
    return jobs.start(
        jobs.ask_for(
            kind=kind,
            # What a job keeps is English, and put into words where it is shown.
            title=in_english(report.title)(subject),
            parameters=parameters,
            user=user,
            unit=report.unit,
            total=report.units(subject),
        )
    )


def print_report(job: Job, progress: Progress) -> Outcome:
    """Print the report that a job is for.  It only reads, so that it may be printed anew."""
    report = REPORTS[JobKind(job.kind)]
    try:
        subject = report.subject(job.parameters["key"])
    except ObjectDoesNotExist as error:
        raise Refused(GONE) from error
    progress.done, progress.total = 0, report.units(subject)
    printing = printing_for(job.asked_by, System(job.parameters["units"]))
    progress.phase(GATHERING)

    def printed(count: int) -> None:
        progress.phase_words = PRINTING
        progress(count)

    # In the language in which it was asked for, by whichever worker it is made.
    language = job.parameters.get("language") or settings.LANGUAGE_CODE
    with whole(result_path(job.pk)) as file, override(language):
        report.write(subject, file, printing, printed)
    return Outcome(MADE, result_name=report.file_name(subject, printing))
