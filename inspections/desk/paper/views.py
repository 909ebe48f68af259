"""What is printed, as a file to keep."""

from __future__ import annotations

import io
from typing import Any

from django.contrib import messages
from django.http import (
    FileResponse,
    HttpRequest,
    HttpResponse,
    HttpResponseBase,
    HttpResponseRedirect,
)
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from inspections.desk.plain.forms import language_of
from inspections.desk.queue.access import flag_for
from inspections.field.access import ENTER, VIEW, inspection_for
from inspections.jobs.reports import (
    REPORTS,
    ask_for_report,
    file_stem,
    is_long,
    orders_narrowed,
    printing_for,
)
from inspections.lookups.field import elements_to_label
from inspections.lookups.options import study_rows
from inspections.models import AgencySettings, Event, Flag
from inspections.models.jobs import JobKind
from inspections.paper.blank_form import write_blank_form
from inspections.paper.element_card import write_element_card
from inspections.paper.frame import page_size_of
from inspections.paper.labels import write_labels
from inspections.paper.option_study import write_option_study
from inspections.paper.plain_page import TooLongError, write_plain_page
from inspections.paper.progress import to_nobody
from inspections.preferences import system_of
from inspections.rights import needs, require
from inspections.selectors.desk import elements
from inspections.selectors.packet import packet_of
from inspections.selectors.plain_pages import plain_now
from inspections.selectors.report import bridges_to_report
from inventory.models import Bridge, District

PRINT = "inspections.print_report"


@require_safe
@needs("inspections.print_report")
def bridge_report(request: HttpRequest, code: str) -> HttpResponseBase:
    """The condition report of a bridge in the user's units, on the paper that goes with them."""
    bridge = get_object_or_404(bridges_to_report(), code=code)
    return _report(request, JobKind.CONDITION_REPORT, bridge.pk, bridge)


@require_safe
def inspection_form(request: HttpRequest, pk: int) -> FileResponse:
    """The form of an inspection to fill in by hand."""
    inspection = inspection_for(request.user, pk, ENTER)
    system, file = system_of(request), io.BytesIO()
    write_blank_form(
        packet_of(inspection, request.user, system, build=""),
        file,
        system=system,
        base_url=request.build_absolute_uri("/"),
        printed_at=timezone.now(),
        printed_by=_name(request),
        page_size=page_size_of(system),
    )
    return _pdf(file, f"{file_stem(inspection.bridge.code)}-form-{inspection.date}.pdf")


@require_safe
def bridge_labels(request: HttpRequest, code: str) -> FileResponse:
    """A sheet of labels for the places of a bridge."""
    require(request.user, VIEW, ENTER)
    bridge = get_object_or_404(Bridge, code=code)
    file = io.BytesIO()
    write_labels(
        elements_to_label(bridge),
        file,
        base_url=request.build_absolute_uri("/"),
        page_size=page_size_of(system_of(request)),
    )
    return _pdf(file, f"{file_stem(bridge.code)}-labels.pdf")


@require_safe
def study_paper(request: HttpRequest, pk: int) -> FileResponse:
    """A study of options on one page."""
    require(request.user, VIEW, "inspections.print_report")
    study = get_object_or_404(study_rows(), pk=pk)
    system, file = system_of(request), io.BytesIO()
    write_option_study(
        study,
        file,
        currency=AgencySettings.current().currency,
        printed_at=timezone.now(),
        printed_by=_name(request),
        page_size=page_size_of(system),
    )
    return _pdf(file, f"{file_stem(study.bridge.code)}-options-{study.pk}.pdf")


@require_safe
def district_paper(request: HttpRequest) -> HttpResponseBase:
    """The summary of the district that the address names, of all where it names none."""
    require(request.user, VIEW, PRINT)
    wanted = request.GET.get("district", "")
    district = get_object_or_404(District, code=wanted) if wanted else None
    return _report(request, JobKind.DISTRICT_SUMMARY, district and district.pk, district)


@require_safe
def element_card(request: HttpRequest, pk: int) -> FileResponse:
    """The history card of one element, its hours told at its bridge."""
    require(request.user, VIEW, PRINT)
    found = get_object_or_404(elements(), pk=pk)
    agency, file = AgencySettings.current(), io.BytesIO()
    printing = printing_for(request.user, system_of(request), found.bridge.time_zone)
    write_element_card(found, file, printing, watch_use=agency.watch_use, currency=agency.currency)
    return _pdf(file, f"{file_stem(found.bridge.code)}-{file_stem(found.code)}-card.pdf")


@require_safe
def event_paper(request: HttpRequest, pk: int) -> HttpResponseBase:
    """The report of one event."""
    require(request.user, VIEW, PRINT)
    return _report(request, JobKind.EVENT_REPORT, pk, get_object_or_404(Event, pk=pk))


@require_safe
def work_list(request: HttpRequest) -> HttpResponseBase:
    """Work orders with their costs, as the list of them is narrowed."""
    require(request.user, VIEW, PRINT)
    narrowed = request.GET.urlencode()
    return _report(request, JobKind.WORK_LIST, narrowed, orders_narrowed(narrowed))


def _report(
    request: HttpRequest, kind: JobKind, key: int | str | None, subject: Any
) -> HttpResponseBase:
    """Answer with a report, or, where that takes long, with the job that makes it.

    The address is that of a link, and asking once more before the end leads to the same job.
    """
    report, system = REPORTS[kind], system_of(request)
    if is_long(report.size(subject)):
        if request.method == "HEAD":
            return HttpResponse(content_type="application/pdf")
        job = ask_for_report(kind, key, subject, request.user, system)
        return HttpResponseRedirect(reverse("job", args=[job.pk]), status=303)
    file, printing = io.BytesIO(), printing_for(request.user, system)
    report.write(subject, file, printing, to_nobody)
    return _pdf(file, report.file_name(subject, printing))


@require_safe
def plain_flag(request: HttpRequest, pk: int) -> HttpResponse:
    """The page of a flag in plain words."""
    flag = flag_for(request.user, pk, PRINT)
    return _plain(request, flag.element.bridge, flag)


@require_safe
def plain_bridge(request: HttpRequest, code: str) -> HttpResponse:
    """The page in plain words of a bridge without an open flag."""
    require(request.user, VIEW, PRINT)
    return _plain(request, get_object_or_404(Bridge, code=code), None)


def _plain(request: HttpRequest, bridge: Bridge, flag: Flag | None) -> HttpResponse:
    asked = language_of(request.GET, "language")
    page, file = plain_now(bridge, flag, system_of(request), asked), io.BytesIO()
    try:
        write_plain_page(
            page, file, printing_for(request.user, system_of(request), bridge.time_zone)
        )
    except TooLongError as refusal:
        told = _("%(refusal)s Shorten any of them, save, and print again.")
        messages.error(request, told % {"refusal": refusal})
        back = (
            reverse("plain-flag", args=[flag.pk])
            if flag
            else reverse("plain-bridge", args=[bridge.code])
        )
        return redirect(f"{back}?language={page.language}")
    what = f"-{file_stem(flag.element.code)}-{flag.cause}" if flag else ""
    return _pdf(file, f"{file_stem(bridge.code)}{what}-in-plain-words.pdf")


def _pdf(file: io.BytesIO, name: str) -> FileResponse:
    file.seek(0)
    response = FileResponse(file, as_attachment=True, filename=name)
    response["Content-Type"] = "application/pdf"
    response["Cache-Control"] = "private, no-store"
    return response


def _name(request: HttpRequest) -> str:
    return request.user.get_full_name() or request.user.get_username()
