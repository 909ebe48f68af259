"""The front that all reports share: cover, who signs, and the contents."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from typing import BinaryIO
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as mark
from reportlab.platypus import Flowable, KeepTogether, PageBreak, Spacer, Table

from inspections.drawing import typeface
from inspections.paper.contents import contents, number_headings
from inspections.paper.frame import CAUTION, PageSize, ReportPages
from inspections.paper.text import (
    BODY,
    COVER_TITLE,
    INK,
    LEAD,
    NOTE,
    SMALL,
    SMALL_BOLD,
    SUBTITLE,
    facts_table,
    layout,
    para,
)
from inspections.selectors.reassessment import still_to_judge
from inventory.units import System
from inventory.zones import zone_words

UTC = ZoneInfo("UTC")
SIGNERS = (mark("Prepared by"), mark("Checked by"), mark("Approved by"))
TO_SIGN = (
    (mark("Name"), 0.32),
    (mark("Licence number"), 0.22),
    (mark("Signature"), 0.28),
    (mark("Date"), 0.18),
)
WHAT_TO_SIGN = mark(
    "Whoever signs takes the figures over after checking them against the bridge and its"
    " drawings; an unsigned print is a working paper."
)
UNITS = {System.SI: mark("SI (mm, °C, kN)"), System.US: mark("US customary (in, °F, kip)")}


@dataclass(frozen=True, slots=True)
class Front:
    """What the cover of a report says.

    ``kind`` is what sort of report it is, ``name`` what it is about, ``running`` what stands
    at the head of each page, bold and then plain.
    """

    kind: str
    name: str
    covers: str
    running: tuple[str, str]
    facts: Sequence[tuple[str, str]] = ()


@dataclass(frozen=True, slots=True)
class Printing:
    """How, when and by whom something is printed; ``zone`` is where the hour is told."""

    system: System
    at: dt.datetime
    by: str
    page_size: PageSize = "A4"
    zone: ZoneInfo = UTC

    @property
    def local(self) -> dt.datetime:
        """The hour of printing, in the zone."""
        return self.at.astimezone(self.zone)

    @property
    def told(self) -> str:
        """When and by whom, in words."""
        return when_words(self.local, self.zone.key, self.by)


def when_words(local: dt.datetime, zone: str, by: str) -> str:
    """Return when and by whom something is printed."""
    told = {"time": f"{local:%Y-%m-%d %H:%M}", "zone": zone_words(zone), "who": by}
    return _("%(time)s (%(zone)s), by %(who)s") % told


def printed_words(local: dt.datetime, zone: str, by: str) -> str:
    """Return the same as it stands at the foot of a page."""
    return _("Printed %(when)s") % {"when": when_words(local, zone, by)}


def pages_of(file: BinaryIO, front: Front, printing: Printing) -> ReportPages:
    """Return the empty pages of a report; their ``room`` is what the story is laid out for."""
    typeface.register()
    return ReportPages(
        file,
        printing.page_size,
        running=front.running,
        printed=printed_words(printing.local, printing.zone.key, printing.by),
        title=_("%(kind)s of %(name)s, %(day)s")
        % {"kind": front.kind, "name": front.name, "day": f"{printing.local:%Y-%m-%d}"},
        subject=front.covers,
        what=front.kind,
    )


def write_report(
    pages: ReportPages, front: Front, printing: Printing, story: list[Flowable]
) -> None:
    """Write cover, contents and story into the file of ``pages``."""
    headings = number_headings(story)
    pages.write(
        [
            *_cover(front, printing, pages.room),
            PageBreak(),
            para(_("Contents"), COVER_TITLE),
            Spacer(0, 4),
            *contents(headings, pages.room),
            PageBreak(),
            *story,
        ]
    )


def _cover(front: Front, printing: Printing, room: float) -> list[Flowable]:
    waiting = still_to_judge()
    return [
        Spacer(0, 90),
        para(front.kind, SUBTITLE),
        para(front.name, COVER_TITLE),
        para(front.covers, LEAD),
        Spacer(0, 12),
        facts_table(
            [
                *front.facts,
                *([(_("Older verdicts"), f"{waiting.words}.")] if waiting else []),
                (_("Printed"), printing.told),
                (_("Units"), _(UNITS[printing.system])),
            ],
            room,
            columns=1,
        ),
        Spacer(0, 24),
        KeepTogether([para(_(WHAT_TO_SIGN), SMALL), signatures(room)]),
        Spacer(0, 24),
        *(para(_(text), BODY) for text in CAUTION),
    ]


def signatures(room: float) -> Table:
    """Return blank lines for whoever prepared, checked and approves."""
    who, gap = 90.0, 8.0
    rest = room - who - gap * (len(TO_SIGN) - 1)
    head: list[object] = [""]
    widths = [who]
    for name, share in TO_SIGN:
        head += [para(_(name), NOTE), ""]
        widths += [share * rest, gap]
    blank = [""] * (len(widths) - 2)
    return layout(
        [head[:-1], *([para(_(each), SMALL_BOLD), *blank] for each in SIGNERS)],
        widths[:-1],
        [
            ("VALIGN", (0, 1), (0, -1), "BOTTOM"),
            *(
                ("LINEBELOW", (column, 1), (column, -1), 0.7, INK)
                for column in range(1, len(widths) - 1, 2)
            ),
        ],
        heights=[14.0, *[30.0] * len(SIGNERS)],
    )
