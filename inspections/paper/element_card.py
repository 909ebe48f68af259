"""The history card of one element: two pages within cover and appendix, more for a longer one."""

from __future__ import annotations

from collections.abc import Sequence
from typing import BinaryIO

from django.utils.translation import gettext as _
from django.utils.translation import ngettext, pgettext
from reportlab.platypus import CondPageBreak, Flowable, KeepTogether, PageBreak, Spacer

from inspections.drawing.chart import channels_of
from inspections.drawing.pdf import to_pdf
from inspections.drawing.strips import travel_strip
from inspections.models import AgencySettings, Photo
from inspections.paper.card_tables import devices_table, flags_table, work_table
from inspections.paper.cover import Front, Printing, pages_of, write_report
from inspections.paper.element_block import (
    beside,
    findings_in_words,
    half_chart,
    heading_line,
    heading_of,
    ordered,
    over_time,
    without_chart_words,
)
from inspections.paper.history_lines import history_lines
from inspections.paper.method import appendix
from inspections.paper.photos import photo_rows
from inspections.paper.readings_table import readings_table
from inspections.paper.text import NOTE, SMALL, Caption, Heading, facts_table, para
from inspections.selectors.desk import design_of, extremes_of_units
from inspections.selectors.element_record import element_record
from inspections.selectors.report import ReportElement, element_to_report
from inspections.wording_capacity import checks_in_words, tell_checks
from inventory import facts
from inventory.models import Element
from inventory.units import System

MOST_PHOTOS = 6
MOST_CHARTS = 3
"""Channels with charts; the readings of all are in the table."""


def write_element_card(
    element: Element, file: BinaryIO, printing: Printing, *, watch_use: float, currency: str
) -> None:
    """Write the card of an element, best from ``selectors.desk.elements``."""
    bridge = element.bridge
    front = Front(
        kind=_("Element history card"),
        name=f"{bridge.code} {element.code}",
        covers=_("Register, devices, position, readings, flags and work of one element"),
        running=(f"{bridge.code} {element.code}", bridge.name),
        facts=[
            (_("Bridge"), f"{bridge.code} {bridge.name}"),
            (_("Element"), element.name or element.code),
            (
                pgettext("in a bridge", "Device"),
                element.current_installation.get_device_type_display(),
            ),
        ],
    )
    pages = pages_of(file, front, printing)
    each = element_to_report(element)
    channels = ordered(channels_of(each.verdicts), each.deciding)
    room, system = pages.room, printing.system
    record = element_record(element)
    checks = tell_checks(each.checks, system, watch_use)
    story = [
        heading_line(each, heading_of(each, level=0), room),
        *findings_in_words(each, channels, system, printing.zone),
        *history_lines(each, system),
        *_position(each, room, system),
        *_charts(each, channels, room, system),
        *_register(element, room, system),
        *devices_table(element, room),
        *_readings(each, channels, room, printing),
        *([para(checks_in_words(checks), SMALL)] if checks else []),
        *flags_table(record.flags, room, printing),
        *work_table(record.work, room, currency),
        *_photos(record.photos, record.photos_in_all, element, room, printing),
        PageBreak(),
        *_appendix(element, room, system),
    ]
    write_report(pages, front, printing, story)


def _position(each: ReportElement, room: float, system: System) -> list[Flowable]:
    if each.deciding is None:
        return []
    strip = to_pdf(travel_strip(each.deciding, system), room)
    caption = Caption("Figure", _("Position now and at both design extremes."))
    return [KeepTogether([Spacer(0, 3), strip, caption])]


def _charts(each: ReportElement, channels: list, room: float, system: System) -> list[Flowable]:
    """Return both charts of each channel side by side: over temperature, and over the years."""
    rows: list[Flowable] = [
        beside(
            half_chart(each, channel, room, system),
            over_time(each, channel, room, system) or para(_("Too few for a chart by year."), NOTE),
            room,
        )
        for channel in channels[:MOST_CHARTS]
    ]
    left = len(channels) - MOST_CHARTS
    if left > 0:
        rows.append(para(without_chart_words(left), NOTE))
    return rows


def _register(element: Element, room: float, system: System) -> list[Flowable]:
    device = element.current_installation
    known = [
        *facts.facts_of(element, (*facts.PLACE, *facts.ACCESS), system),
        *facts.facts_of(device, (*facts.DEVICE, *facts.SETTING), system),
    ]
    capacities = facts.capacities_of(design_of(device), system)
    told = [(fact.label, fact.text) for fact in known]
    return [
        CondPageBreak(90),
        Heading(_("Register"), key="register"),
        facts_table([(_("Support"), str(element.support.code)), *told], room, columns=3),
        *(
            [
                para(_("Capacities"), NOTE),
                facts_table([(fact.label, fact.text) for fact in capacities], room, columns=3),
            ]
            if capacities
            else [para(_("No capacity is on record."), NOTE)]
        ),
    ]


def _readings(
    each: ReportElement, channels: list, room: float, printing: Printing
) -> list[Flowable]:
    heading = Heading(_("Readings"), key="readings")
    if not channels:
        none = _("No reading of the present device is on record.")
        return [KeepTogether([heading, para(none, SMALL), *_earlier(each)])]
    return [
        CondPageBreak(110),
        heading,
        Caption("Table", _("Readings of the present device, point by point.")),
        readings_table(channels, room, printing.system, printing.zone),
        *_earlier(each),
    ]


def _earlier(each: ReportElement) -> list[Flowable]:
    if not each.earlier_count:
        return []
    told = ngettext(
        "%(count)s reading of the devices that stood here before stands on the page of the"
        " element.",
        "%(count)s readings of the devices that stood here before stand on the page of the"
        " element.",
        each.earlier_count,
    )
    return [para(told % {"count": each.earlier_count}, NOTE)]


def _photos(
    found: Sequence[Photo], count: int, element: Element, room: float, printing: Printing
) -> list[Flowable]:
    if not found:
        return []
    last = found[-MOST_PHOTOS:]
    left = count - len(last)
    told = ngettext(
        "%(count)s earlier photo stands on the page of the element.",
        "%(count)s earlier photos stand on the page of the element.",
        left,
    )
    return [
        CondPageBreak(200),
        Heading(_("Photos"), key="photos"),
        *photo_rows(last, element.code, room, printing.zone),
        *([para(told % {"count": left}, NOTE)] if left else []),
    ]


def _appendix(element: Element, room: float, system: System) -> list[Flowable]:
    bridge = element.bridge
    basis = getattr(bridge, "temperature_basis", None)
    units = [unit for unit in (element.unit, element.unit_ahead) if unit]
    return appendix(
        AgencySettings.current(),
        room,
        system,
        extremes=extremes_of_units(basis, units),
        basis=basis,
        station=bridge.air_station,
    )
