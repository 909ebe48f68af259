"""What is printed, as a file to keep."""

from __future__ import annotations

import io
import re
from zoneinfo import ZoneInfo

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_safe

from inspections.desk.queue.access import flag_for
from inspections.field.access import ENTER, VIEW, inspection_for, require
from inspections.models import AgencySettings, Event, Flag
from inspections.paper.blank_form import write_blank_form
from inspections.paper.condition_report import write_condition_report
from inspections.paper.cover import Printing
from inspections.paper.district_summary import write_district_summary
from inspections.paper.element_card import write_element_card
from inspections.paper.event_report import write_event_report
from inspections.paper.frame import page_size_of
from inspections.paper.labels import write_labels
from inspections.paper.option_study import write_option_study
from inspections.paper.plain_page import TooLongError, write_plain_page
from inspections.paper.work_list import write_work_list
from inspections.preferences import system_of
from inspections.selectors.desk import elements
from inspections.selectors.district import district_summary
from inspections.selectors.field import elements_to_label
from inspections.selectors.options import study_rows
from inspections.selectors.packet import packet_of
from inspections.selectors.plain_pages import plain_now
from inspections.selectors.report import bridges_to_report
from inspections.selectors.work import orders
from inventory.models import Bridge, District

PRINT = "inspections.print_report"


@require_safe
@permission_required("inspections.print_report", raise_exception=True)
def bridge_report(request: HttpRequest, code: str) -> FileResponse:
    """The condition report of a bridge in the user's units, on the paper that goes with them."""
    bridge = get_object_or_404(bridges_to_report(), code=code)
    system, now = system_of(request), timezone.now()
    file = io.BytesIO()
    write_condition_report(
        bridge,
        file,
        system=system,
        printed_at=now,
        printed_by=_name(request),
        page_size=page_size_of(system),
    )
    return _pdf(file, f"{file_name(bridge.code)}-condition-{timezone.localdate(now):%Y-%m-%d}.pdf")


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
    return _pdf(file, f"{file_name(inspection.bridge.code)}-form-{inspection.date}.pdf")


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
    return _pdf(file, f"{file_name(bridge.code)}-labels.pdf")


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
    return _pdf(file, f"{file_name(study.bridge.code)}-options-{study.pk}.pdf")


@require_safe
def district_paper(request: HttpRequest) -> FileResponse:
    """The summary of the district that the address names, of all where it names none."""
    require(request.user, VIEW, PRINT)
    wanted = request.GET.get("district", "")
    district = get_object_or_404(District, code=wanted) if wanted else None
    file, printing = io.BytesIO(), _printing(request)
    write_district_summary(
        district_summary(district, timezone.localdate(printing.at)), file, printing
    )
    name = file_name(district.code) if district else "all-districts"
    return _pdf(file, f"{name}-summary-{timezone.localdate(printing.at):%Y-%m-%d}.pdf")


@require_safe
def element_card(request: HttpRequest, pk: int) -> FileResponse:
    """The history card of one element, its hours told at its bridge."""
    require(request.user, VIEW, PRINT)
    found = get_object_or_404(elements(), pk=pk)
    agency, file = AgencySettings.current(), io.BytesIO()
    printing = _printing(request, found.bridge.time_zone)
    write_element_card(found, file, printing, watch_use=agency.watch_use, currency=agency.currency)
    return _pdf(file, f"{file_name(found.bridge.code)}-{file_name(found.code)}-card.pdf")


@require_safe
def event_paper(request: HttpRequest, pk: int) -> FileResponse:
    """The report of one event."""
    require(request.user, VIEW, PRINT)
    found, file = get_object_or_404(Event, pk=pk), io.BytesIO()
    write_event_report(found, file, _printing(request))
    return _pdf(file, f"event-{found.pk}-{found.occurred_at:%Y-%m-%d}.pdf")


@require_safe
def work_list(request: HttpRequest) -> FileResponse:
    """Every work order with its costs."""
    require(request.user, VIEW, PRINT)
    file, printing = io.BytesIO(), _printing(request)
    write_work_list(orders(), file, printing, currency=AgencySettings.current().currency)
    return _pdf(file, f"work-{printing.local:%Y-%m-%d}.pdf")


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
    page, file = plain_now(bridge, flag, system_of(request)), io.BytesIO()
    try:
        write_plain_page(page, file, _printing(request, bridge.time_zone))
    except TooLongError as refusal:
        messages.error(request, f"{refusal} Shorten any of them, save, and print again.")
        if flag is None:
            return redirect("plain-bridge", bridge.code)
        return redirect("plain-flag", flag.pk)
    what = f"-{file_name(flag.element.code)}-{flag.cause}" if flag else ""
    return _pdf(file, f"{file_name(bridge.code)}{what}-in-plain-words.pdf")


def _printing(request: HttpRequest, zone_name: str = "") -> Printing:
    """Return how this user prints now: own units and their paper, the hour of a place or site."""
    system = system_of(request)
    zone = ZoneInfo(zone_name or timezone.get_current_timezone_name())
    return Printing(system, timezone.now(), _name(request), page_size_of(system), zone)


def _pdf(file: io.BytesIO, name: str) -> FileResponse:
    file.seek(0)
    response = FileResponse(file, as_attachment=True, filename=name)
    response["Content-Type"] = "application/pdf"
    response["Cache-Control"] = "private, no-store"
    return response


def _name(request: HttpRequest) -> str:
    return request.user.get_full_name() or request.user.get_username()


def file_name(code: str) -> str:
    """Return a bridge's code with nothing in it that a file system or a header minds."""
    return re.sub(r"[^A-Za-z0-9_-]+", "-", code).strip("-") or "bridge"
