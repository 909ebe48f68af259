"""The condition report of a bridge as a PDF file."""

from __future__ import annotations

import datetime as dt
from typing import BinaryIO
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as mark
from reportlab.platypus import Flowable, PageBreak

from inspections.lookups.snapshot import one_state
from inspections.paper.contents import Later
from inspections.paper.cover import Front, Printing, pages_of, write_report
from inspections.paper.element_block import element_block, heading_of
from inspections.paper.frame import PageSize
from inspections.paper.method import method
from inspections.paper.progress import Count, to_nobody
from inspections.paper.summary import HEAD, summary
from inspections.paper.text import NOTE, Heading, para
from inspections.paper.units import units_section
from inspections.selectors.report import Report, ReportHead, elements_told, report_of
from inventory.facts import facts_of
from inventory.models import Bridge
from inventory.units import System

KEY = mark(
    "In the tables, the number in brackets after a temperature tells how it was got (see the end);"
    " «use» is the share of the nearer limit used now, when coldest and when hottest. Strips: the"
    " walls are the limits, the shaded bar is the expected band, the large mark the measured"
    " position, the small ones that position carried to the design extremes. Charts: solid, what is"
    " expected; dashed, the line fitted to the readings; over the years the temperature is taken"
    " out along that line; a square, a reading of a visit after an event."
)


def write_condition_report(
    bridge: Bridge,
    file: BinaryIO,
    *,
    system: System,
    printed_at: dt.datetime,
    printed_by: str,
    page_size: PageSize = "A4",
    progress: Count = to_nobody,
) -> None:
    """Write the condition report of a bridge.

    Parameters
    ----------
    bridge : Bridge
        Best from ``selectors.report.bridges_to_report``.
    file : binary file
        Written from where it stands.
    system : System
        Units of every figure.
    printed_at : datetime
        Told in the bridge's time zone.
    printed_by : str
        Name of the user or the program that asked for it.
    page_size : "A4" or "Letter"
    progress : callable, optional
        Told 1 for each element that has reached its page.
    """
    printing = Printing(system, printed_at, printed_by, page_size, _zone(bridge))
    front = Front(
        kind=_("Condition report"),
        name=f"{bridge.code} {bridge.name}",
        covers=_("Bearings, deck joints and restraints: readings, expected movement and verdicts"),
        running=(bridge.code, bridge.name),
        facts=[(each.label, each.text) for each in facts_of(bridge, HEAD, system)],
    )
    pages = pages_of(file, front, printing)
    # Elements are read while their pages come: all of them as they stood when the first was read.
    with one_state():
        story = _story(report_of(bridge), pages.room, printing, progress)
        write_report(pages, front, printing, story)


def _story(
    report: Report,
    room: float,
    printing: Printing,
    progress: Count,
) -> list[Flowable]:
    system, zone = printing.system, printing.zone

    told = elements_told(report)

    def part(title: str, key: str, found: list[ReportHead]) -> list[Flowable]:
        if not found:
            return []
        near = report.agency.watch_use

        def block(head: ReportHead) -> Later:
            heading = heading_of(head)
            # Pages come in the order of the heads, and so do the elements that are read for them.
            return Later(
                [heading],
                lambda: element_block(next(told), heading, room, system, zone, near, progress),
            )

        return [
            PageBreak(),
            Heading(title, key=key),
            *([] if found is report.others and report.flagged else [para(_(KEY), NOTE)]),
            *map(block, found),
        ]

    return [
        *summary(report, room, printing),
        *units_section(report, system),
        *part(_("Flagged elements"), "flagged", report.flagged),
        *part(_("Other elements") if report.flagged else _("Elements"), "others", report.others),
        PageBreak(),
        *method(report, room, system),
    ]


def _zone(bridge: Bridge) -> ZoneInfo:
    """Return the bridge's time zone, UTC where its name is not one."""
    try:
        return ZoneInfo(bridge.time_zone)
    except (ZoneInfoNotFoundError, ValueError):
        return ZoneInfo("UTC")
