"""The summary: what a manager reads in a minute."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop, ngettext
from reportlab.platypus import CondPageBreak, Flowable, KeepTogether, Spacer, Table

from inspections.drawing.marks import WORST_FIRST
from inspections.drawing.pdf import to_pdf
from inspections.drawing.strips import elevation_strip
from inspections.models.choices import RaisedBy, VerdictWord
from inspections.paper.cover import Printing
from inspections.paper.decided_lately import LATELY, decided_lately
from inspections.paper.next_step import next_step_of
from inspections.paper.open_matters import open_matters
from inspections.paper.text import (
    HAIRLINE,
    LEAD,
    NOTE,
    SMALL,
    SMALL_BOLD,
    Caption,
    Heading,
    layout,
    linked,
    mark,
    para,
    table,
)
from inspections.paper.units import units_in_words
from inspections.paper.words import heads, word
from inspections.selectors.bridge_around import matters_of
from inspections.selectors.report import Report, ReportHead
from inspections.wording_explanation import explanation_in_short
from inspections.wording_status import status_in_short
from inventory.units import Dimension, System, shown
from inventory.words import in_sentence, word_of

HEAD = ("district", "carries", "crosses", "main_material", "year_built", "length_m")
FLAGGED = (
    "", gettext_noop("Element"), gettext_noop("Device and place"), gettext_noop("Why"),
    gettext_noop("What to do next"), gettext_noop("Last seen"),
)  # fmt: skip
INSPECTIONS = (
    gettext_noop("Date"), gettext_noop("Kind"), gettext_noop("State"),
    gettext_noop("Team"), gettext_noop("Weather"), gettext_noop("Readings"),
)  # fmt: skip
RATINGS = gettext_noop("Condition ratings of the national inventory (SNBI)")
STATION = gettext_noop("station %(station)s")
ON_FIRST_PAGE = 5
"""Flagged elements on the first page; where there are more, the whole list follows it."""


def key_of(each: ReportHead) -> str:
    """Return the name of an element's place in the file."""
    return f"element-{each.element.pk}"


def device_of(each: ReportHead) -> str:
    """Return what stands at a place, in words."""
    return word_of(each.element.current_installation, "device_type")


def place_of(each: ReportHead, system: System) -> str:
    """Return where it stands, in words."""
    element = each.element
    parts = [element.support.code, element.line]
    station = shown(element.station_m, Dimension.STATION, system)
    parts.append(word(STATION) % {"station": station})
    return ", ".join(part for part in parts if part)


def summary(report: Report, room: float, printing: Printing) -> list[Flowable]:
    """Return the flowables of the summary, and the list of flagged elements if it is long."""
    system, zone = printing.system, printing.zone
    story: list[Flowable] = [
        Heading(_("Summary"), key="summary"),
        to_pdf(elevation_strip(report.strip, system), room),
        Caption("Figure", _("The bridge along its stations, each element with its verdict.")),
        _counts(report, room),
        Spacer(0, 5),
        para(found_in_words(report), LEAD),
        *units_in_words(report),
    ]
    if report.flagged:
        few = report.flagged[:ON_FIRST_PAGE]
        what = _("Flagged elements, the worst first.")
        if len(few) < len(report.flagged):
            what = _("The %(count)s worst of the flagged elements.") % {"count": len(few)}
        story += [Caption("Table", what), _flagged_table(few, room, system)]
        left_out = len(report.flagged) - len(few)
        if left_out:
            text = _("And %(count)s more: see the whole list below.") % {"count": left_out}
            story.append(para(text, NOTE))
    matters = matters_of(report.bridge, printing.at - LATELY)
    story += open_matters(matters.flags, room, zone)
    story += decided_lately(matters.decided, room, zone)
    story += _last_inspections(report, room)
    if len(report.flagged) > ON_FIRST_PAGE:
        story += [
            CondPageBreak(200),
            Heading(_("All flagged elements"), key="all-flagged"),
            Caption("Table", _("All flagged elements, the worst first.")),
            _flagged_table(report.flagged, room, system),
        ]
    return story


def found_in_words(report: Report) -> str:
    """Return what was found, in one or two sentences."""
    if not report.count:
        return _(
            "No bearing, joint or restraint of this bridge is on record yet, so nothing can be"
            " said of their condition."
        )
    counts = report.counts
    elements = ngettext("%(count)s element", "%(count)s elements", report.count)
    named: dict[str, object] = {"elements": elements % {"count": report.count}}
    if not report.flagged:
        unjudged = counts[VerdictWord.CANNOT_JUDGE]
        if not unjudged:
            return _("Every one of the %(elements)s is in range, as last seen.") % named
        text = _(
            "Nothing is out of range or to watch. Of %(elements)s, %(unjudged)s cannot be judged:"
            " their pages say what to measure."
        )
        return text % (named | {"unjudged": unjudged})
    worst = report.flagged[0]
    why = status_in_short(worst.status)
    out, watch = counts[VerdictWord.OUT_OF_RANGE], counts[VerdictWord.WATCH]
    text = ngettext(
        "Of %(elements)s, %(out)s is out of range and %(watch)s to watch, as last seen. The"
        " weightiest is %(element)s, a %(device)s at %(support)s: %(why)s.",
        "Of %(elements)s, %(out)s are out of range and %(watch)s to watch, as last seen. The"
        " weightiest is %(element)s, a %(device)s at %(support)s: %(why)s.",
        out,
    )
    return text % {
        **named,
        "out": out or _("none"),
        "watch": watch or _("none"),
        "element": worst.element.code,
        "device": in_sentence(device_of(worst)),
        "support": worst.element.support.code,
        "why": why,
    }


def _counts(report: Report, room: float) -> Table:
    """The four verdicts with their marks and numbers, side by side."""
    cells: list[object] = []
    for each in WORST_FIRST:
        cells += [
            mark(each, 13),
            para(f"{report.counts[each]} {in_sentence(each.label)}", SMALL_BOLD),
        ]
    return layout(
        [cells],
        [18.0, room / 4 - 18.0] * 4,
        [
            ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
            ("BOX", (0, 0), (-1, -1), 0.6, HAIRLINE),
            ("LEFTPADDING", (0, 0), (-1, -1), 4),
            ("TOPPADDING", (0, 0), (-1, -1), 3),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 3),
        ],
    )


def _flagged_table(flagged: Sequence[ReportHead], room: float, system: System) -> Table:
    rows: list[list[object]] = [heads(FLAGGED)]
    for each in flagged:
        rows.append(
            [
                mark(each.word, 9.5),
                linked(each.element.code, key_of(each)),
                para(f"{device_of(each)}, {place_of(each, system)}", SMALL),
                para(_why(each), SMALL),
                para(next_step_of(each), SMALL),
                _seen(each),
            ]
        )
    fixed = 15.0 + 58.0 + 52.0
    rest = room - fixed
    return table(rows, [15.0, 58.0, 0.30 * rest, 0.25 * rest, 0.45 * rest, 52.0])


def _why(each: ReportHead) -> str:
    """Return the reasons of a status, and what explains its unit where that names it."""
    told = status_in_short(each.status)
    if each.explanation is None or (each.status and each.status.raised_by == RaisedBy.UNIT):
        return told
    cause = explanation_in_short(each.explanation)
    return f"{told}; {_('whole unit: %(cause)s') % {'cause': cause}}"


def _seen(each: ReportHead) -> str:
    seen: dt.date | None = each.status.last_seen_on if each.status else None
    return f"{seen:%Y-%m-%d}" if seen else _("never")


def _last_inspections(report: Report, room: float) -> list[Flowable]:
    if not report.inspections:
        return [Spacer(0, 6), para(_("No inspection of this bridge is on record yet."), NOTE)]
    rows: list[list[object]] = [heads(INSPECTIONS)]
    rows += [
        [
            f"{each.date:%Y-%m-%d}",
            each.get_kind_display(),
            each.get_state_display(),
            para(each.team, SMALL),
            each.get_weather_display(),
            str(each.reading_count),
        ]
        for each in report.inspections
    ]
    widths = [84.0, 72.0, 58.0, room - 84 - 72 - 58 - 88 - 50, 88.0, 50.0]
    return [
        Spacer(0, 8),
        KeepTogether(
            [Caption("Table", _("Last inspections, the newest first.")), table(rows, widths)]
        ),
        *_ratings(report),
    ]


def _ratings(report: Report) -> list[Flowable]:
    """Return the national condition ratings in a line each; nothing where none was given."""
    told = []
    for each in report.ratings:
        text = _("%(item)s: rated %(code)s on %(day)s") % {
            "item": each.get_item_display(),
            "code": each.get_code_display(),
            "day": f"{each.inspection.date:%Y-%m-%d}",
        }
        told.append(para(f"{text}: {each.reason}" if each.reason else text))
    if not told:
        return []
    return [Spacer(0, 8), para(_(RATINGS), NOTE), *told]
