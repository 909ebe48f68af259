"""The history card of one element: two pages within cover and appendix, more for a longer one."""

from __future__ import annotations

from collections.abc import Sequence
from typing import BinaryIO

from reportlab.platypus import CondPageBreak, Flowable, KeepTogether, PageBreak, Spacer

from inspections.drawing.chart import channels_of
from inspections.drawing.pdf import to_pdf
from inspections.drawing.strips import travel_strip
from inspections.models import AgencySettings, Decision, Flag, Photo, WorkItem
from inspections.paper.cover import Front, Printing, pages_of, write_report
from inspections.paper.element_block import (
    beside,
    findings_in_words,
    half_chart,
    heading_line,
    heading_of,
    ordered,
    over_time,
)
from inspections.paper.history_lines import history_lines
from inspections.paper.method import appendix
from inspections.paper.photos import photo_rows
from inspections.paper.readings_table import readings_table
from inspections.paper.text import NOTE, SMALL, Caption, Heading, facts_table, mark, para, table
from inspections.selectors.desk import design_of, earlier_installations, extremes_of_units
from inspections.selectors.element_record import element_record
from inspections.selectors.report import ReportElement, element_to_report
from inspections.wording_capacity import checks_in_words, tell_checks
from inspections.wording_costs import cost_words
from inventory import facts
from inventory.models import Element
from inventory.units import System
from inventory.words import in_english

MOST_PHOTOS = 6
MOST_CHARTS = 3
"""Channels with charts; the readings of all are in the table."""


@in_english
def write_element_card(
    element: Element, file: BinaryIO, printing: Printing, *, watch_use: float, currency: str
) -> None:
    """Write the card of an element, best from ``selectors.desk.elements``."""
    bridge = element.bridge
    front = Front(
        kind="Element history card",
        name=f"{bridge.code} {element.code}",
        covers="Register, devices, position, readings, flags and work of one element",
        running=(f"{bridge.code} {element.code}", bridge.name),
        facts=[
            ("Bridge", f"{bridge.code} {bridge.name}"),
            ("Element", element.name or element.code),
            ("Device", element.current_installation.get_device_type_display()),
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
        *_devices(element, room),
        *_readings(each, channels, room, printing),
        *([para(checks_in_words(checks), SMALL)] if checks else []),
        *_flags(record.flags, room, printing),
        *_work(record.work, room, currency),
        *_photos(record.photos, record.photos_in_all, element, room, printing),
        PageBreak(),
        *_appendix(element, room, system),
    ]
    write_report(pages, front, printing, story)


def _position(each: ReportElement, room: float, system: System) -> list[Flowable]:
    if each.deciding is None:
        return []
    strip = to_pdf(travel_strip(each.deciding, system), room)
    caption = Caption("Figure", "Position now and at both design extremes.")
    return [KeepTogether([Spacer(0, 3), strip, caption])]


def _charts(each: ReportElement, channels: list, room: float, system: System) -> list[Flowable]:
    """Return both charts of each channel side by side: over temperature, and over the years."""
    rows: list[Flowable] = [
        beside(
            half_chart(each, channel, room, system),
            over_time(each, channel, room, system) or para("Too few for a chart by year.", NOTE),
            room,
        )
        for channel in channels[:MOST_CHARTS]
    ]
    left = len(channels) - MOST_CHARTS
    if left > 0:
        points = "1 point has" if left == 1 else f"{left} points have"
        rows.append(para(f"{points} no chart here; the readings are in the table.", NOTE))
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
        Heading("Register", key="register"),
        facts_table([("Support", str(element.support.code)), *told], room, columns=3),
        *(
            [
                para("Capacities", NOTE),
                facts_table([(fact.label, fact.text) for fact in capacities], room, columns=3),
            ]
            if capacities
            else [para("No capacity is on record.", NOTE)]
        ),
    ]


def _devices(element: Element, room: float) -> list[Flowable]:
    rows: list[list[object]] = [["Device", "Maker, lot", "Installed", "Ended", "By"]]
    for device in (element.current_installation, *earlier_installations(element)):
        made = ", ".join(part for part in (device.maker, device.lot) if part)
        rows.append(
            [
                para(device.get_device_type_display(), SMALL),
                para(made or "–", SMALL),
                f"{device.installed_on:%Y-%m-%d}",
                f"{device.removed_on:%Y-%m-%d}" if device.removed_on else "stands",
                para(device.get_end_reason_display() if device.removed_on else "", SMALL),
            ]
        )
    return [
        CondPageBreak(80),
        Heading("Devices at this place", key="devices"),
        Caption("Table", "Devices at this place, the present one first."),
        table(rows, [0.34 * room, 0.66 * room - 250.0, 66.0, 66.0, 118.0]),
    ]


def _readings(
    each: ReportElement, channels: list, room: float, printing: Printing
) -> list[Flowable]:
    heading = Heading("Readings", key="readings")
    if not channels:
        none = "No reading of the present device is on record."
        return [KeepTogether([heading, para(none, SMALL), *_earlier(each)])]
    return [
        CondPageBreak(110),
        heading,
        Caption("Table", "Readings of the present device, point by point."),
        readings_table(channels, room, printing.system, printing.zone),
        *_earlier(each),
    ]


def _earlier(each: ReportElement) -> list[Flowable]:
    if not each.earlier_count:
        return []
    rows = "1 reading" if each.earlier_count == 1 else f"{each.earlier_count} readings"
    return [
        para(
            f"{rows} of the devices that stood here before stand on the page of the element.", NOTE
        )
    ]


def _flags(
    found: list[tuple[Flag, Decision | None]], room: float, printing: Printing
) -> list[Flowable]:
    heading = Heading("Flags and decisions", key="flags")
    if not found:
        return [KeepTogether([heading, para("No flag was ever raised here.", SMALL)])]
    rows: list[list[object]] = [
        ["", "Flag", "State", "First seen", "Last seen", "Last decision, with its reason"]
    ]
    for flag, decision in found:
        told = "None yet"
        if decision is not None:
            signed = decision.decided_at.astimezone(printing.zone)
            until = f", until {decision.until:%Y-%m-%d}" if decision.until else ""
            told = (
                f"{signed:%Y-%m-%d} {decision.get_kind_display()}{until}, signed"
                f" {decision.signed_as}: {decision.reason}"
            )
        rows.append(
            [
                mark(flag.severity, 9),
                para(flag.get_cause_display(), SMALL),
                para(flag.get_state_display(), SMALL),
                *(
                    f"{at.astimezone(printing.zone):%Y-%m-%d}" if at else "–"
                    for at in (flag.first_seen_at, flag.last_seen_at)
                ),
                para(told, SMALL),
            ]
        )
    return [
        CondPageBreak(90),
        heading,
        Caption("Table", "Flags raised here, each with the decision signed last."),
        table(rows, [16.0, 96.0, 84.0, 54.0, 54.0, room - 304.0]),
    ]


def _work(items: list[WorkItem], room: float, currency: str) -> list[Flowable]:
    heading = Heading("Work", key="work")
    if not items:
        return [KeepTogether([heading, para("No work was ordered here.", SMALL)])]
    orders = {item.order_id: item for item in items}
    rows: list[list[object]] = [["Order", "Kind", "State", "Ordered", "Finished", "Cost", "Proved"]]
    for item in orders.values():
        order = item.order
        cost = order.cost if order.cost is not None else order.cost_estimate
        billed = "" if order.cost is not None or cost is None else " (estimate)"
        rows.append(
            [
                para(f"{order.code} {order.title}", SMALL),
                para(order.get_kind_display(), SMALL),
                order.get_state_display(),
                f"{order.ordered_on:%Y-%m-%d}",
                f"{order.finished_on:%Y-%m-%d}" if order.finished_on else "–",
                para(cost_words(cost, currency) + billed, SMALL),
                f"{item.proved_by.date:%Y-%m-%d}" if item.proved_by else "not yet",
            ]
        )
    return [
        CondPageBreak(80),
        heading,
        Caption("Table", "Work ordered on this element."),
        table(rows, [room - 374.0, 78.0, 54.0, 54.0, 54.0, 82.0, 52.0]),
    ]


def _photos(
    found: Sequence[Photo], count: int, element: Element, room: float, printing: Printing
) -> list[Flowable]:
    if not found:
        return []
    last = found[-MOST_PHOTOS:]
    left = count - len(last)
    told = "1 earlier photo stands" if left == 1 else f"{left} earlier photos stand"
    return [
        CondPageBreak(200),
        Heading("Photos", key="photos"),
        *photo_rows(last, element.code, room, printing.zone),
        *([para(f"{told} on the page of the element.", NOTE)] if left else []),
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
