"""The summary of a district, or of all, as a PDF file."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import BinaryIO

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop, ngettext, pgettext
from reportlab.platypus import CondPageBreak, Flowable, KeepTogether, PageBreak, Spacer

from inspections.drawing.count_bars import count_bars
from inspections.drawing.marks import WORST_FIRST
from inspections.drawing.pdf import to_pdf
from inspections.models import AgencySettings
from inspections.models.choices import VerdictWord
from inspections.models.desk_choices import DueReason, FlagCause, FlagState
from inspections.paper.cover import Front, Printing, pages_of, write_report
from inspections.paper.method import appendix
from inspections.paper.progress import Count, Tick, to_nobody
from inspections.paper.text import BODY, LEAD, NOTE, SMALL, Caption, Heading, mark, para, table
from inspections.paper.words import heads
from inspections.selectors.district import AGES, DistrictSummary
from inspections.wording_flags import evidence_in_short
from inventory.words import in_sentence

ORDER = gettext_noop(
    "In the order of the queue: four shares, of severity, of what rests on the element, of how near"
    " a limit is and of the flag's age, weighted as the agency has set. The weights are judgement."
)
TREND = gettext_noop(
    "Both columns go by the readings alone: the worst verdict of the last handed-in visit that"
    " tells something, by the day of the visit, judged by the register and settings of today."
    " What a history, a whole unit or an earlier finding that still stands adds to a verdict is"
    " not in them, so the first column may differ from the counts above. Elements not read by"
    " then are not counted."
)

RANKED = (
    "", gettext_noop("Score"), gettext_noop("Bridge"), gettext_noop("Element"),
    gettext_noop("Flags, and what showed the weightiest"), gettext_noop("State"),
)  # fmt: skip
OVERDUE = (
    gettext_noop("Due on"), gettext_noop("Days late"), gettext_noop("Bridge"),
    gettext_noop("Element"), gettext_noop("Why"),
)  # fmt: skip


def write_district_summary(
    found: DistrictSummary, file: BinaryIO, printing: Printing, progress: Count = to_nobody
) -> None:
    """Write the summary of a district; best from ``selectors.district.district_summary``.

    ``progress`` is told 1 for each of its `PARTS`: it goes through all bridges in each.
    """
    name = str(found.district) if found.district else _("All districts")
    code = found.district.code if found.district else _("All districts")
    front = Front(
        kind=_("District summary"),
        name=name,
        covers=_(
            "Elements that matter most, verdicts by kind, the trend of a year, overdue"
            " inspections and open flags"
        ),
        running=(code, found.district.name if found.district else ""),
        facts=[
            (_("As of"), f"{found.today:%Y-%m-%d}"),
            (_("Bridges"), str(found.bridge_count)),
            (_("Elements"), str(found.element_count)),
        ],
    )
    pages = pages_of(file, front, printing)
    room = pages.room
    story = [
        *(each for part in PARTS for each in (*part(found, room), Tick(progress))),
        PageBreak(),
        *appendix(AgencySettings.current(), room, printing.system),
    ]
    write_report(pages, front, printing, story)


def _verdicts(found: DistrictSummary, room: float) -> list[Flowable]:
    heading = Heading(_("Verdicts by kind of element"), key="verdicts")
    if not found.element_count:
        return [heading, para(_("No element is on record here yet."), BODY)]
    total = sum(each[VerdictWord.OUT_OF_RANGE] for each in found.counts.values())
    watch = sum(each[VerdictWord.WATCH] for each in found.counts.values())
    drawn = count_bars({kind.label: row for kind, row in found.counts.items()})
    rows: list[list[object]] = [[_("Kind"), *(each.label for each in WORST_FIRST), _("All")]]
    rows += [
        [kind.label, *(str(row[word]) for word in WORST_FIRST), str(row.total())]
        for kind, row in found.counts.items()
    ]
    return [
        heading,
        para(
            _(
                "Of %(elements)s elements of %(bridges)s bridges, %(out)s out of range and"
                " %(watch)s to watch, as last seen."
            )
            % {
                "elements": found.element_count,
                "bridges": found.bridge_count,
                "out": total,
                "watch": watch,
            },
            LEAD,
        ),
        KeepTogether(
            [
                to_pdf(drawn, room),
                Caption("Figure", _("Elements by kind and verdict, as last seen.")),
            ]
        ),
        KeepTogether(
            [
                Caption("Table", _("Elements by kind and verdict, as last seen.")),
                table(rows, [room - 350.0, *[70.0] * 5], [("ALIGN", (1, 0), (-1, -1), "RIGHT")]),
            ]
        ),
    ]


def _trend(found: DistrictSummary, room: float) -> list[Flowable]:
    rows: list[list[object]] = [
        [
            "",
            _("Verdict"),
            f"{found.year_before:%Y-%m-%d}",
            f"{found.today:%Y-%m-%d}",
            pgettext("difference", "Change"),
        ]
    ]
    for word in WORST_FIRST:
        change = found.now[word] - found.before[word]
        told = "0" if not change else f"{change:+d}".replace("-", "−")
        rows.append(
            [mark(word, 9), word.label, str(found.before[word]), str(found.now[word]), told]
        )
    rows.append(
        ["", _("Elements read by then"), str(found.before.total()), str(found.now.total()), ""]
    )
    return [
        KeepTogether(
            [
                Heading(_("Against the year before"), key="trend"),
                Caption("Table", _("Verdicts by readings alone, on two days a year apart.")),
                table(
                    rows,
                    [18.0, room - 258.0, 80.0, 80.0, 80.0],
                    [("ALIGN", (2, 0), (-1, -1), "RIGHT")],
                ),
                Spacer(0, 3),
                para(_(TREND), NOTE),
            ]
        )
    ]


def _ranked(found: DistrictSummary, room: float) -> list[Flowable]:
    heading = Heading(_("What matters most"), key="ranked")
    if not found.ranked:
        return [KeepTogether([heading, para(_("No flag is open here."), BODY)])]
    rows: list[list[object]] = [heads(RANKED)]
    for each in found.ranked:
        first = each.flags[0]
        labels = [f"{FlagCause(flag.cause).label}" for flag in each.flags]
        causes = "; ".join([*labels[:1], *map(in_sentence, labels[1:])])
        why = evidence_in_short(each.sighting.evidence) if each.sighting else ""
        bridge = each.element.bridge
        rows.append(
            [
                mark(first.severity, 9),
                f"{each.score:.0f}",
                para(f"{bridge.code} {bridge.name}", SMALL),
                para(each.element.code, SMALL),
                para(f"{causes}: {why}" if why else causes, SMALL),
                para(FlagState(first.state).label, SMALL),
            ]
        )
    widths = [18.0, 34.0, 100.0, 50.0, room - 292.0, 90.0]
    return [
        CondPageBreak(130),
        heading,
        para(_(ORDER), NOTE),
        Caption("Table", _("Elements with open flags, what matters most first.")),
        table(rows, widths),
        *_more(_more_elements, found.flagged_count - len(found.ranked)),
    ]


def _overdue(found: DistrictSummary, room: float) -> list[Flowable]:
    heading = Heading(_("Overdue inspections"), key="overdue")
    if not found.overdue:
        return [KeepTogether([heading, para(_("Nothing is overdue here."), BODY)])]
    rows: list[list[object]] = [heads(OVERDUE)]
    rows += [
        [
            f"{each.due_on:%Y-%m-%d}",
            str((found.today - each.due_on).days),
            para(f"{each.bridge.code} {each.bridge.name}", SMALL),
            para(each.element.code if each.element else _("all"), SMALL),
            para(DueReason(each.reason).label, SMALL),
        ]
        for each in found.overdue
    ]
    return [
        CondPageBreak(110),
        heading,
        Caption("Table", _("What is due and was not done, the longest overdue first.")),
        table(rows, [64.0, 52.0, room - 336.0, 80.0, 140.0]),
        *_more(_more_lines, found.overdue_count - len(found.overdue)),
    ]


def _flags(found: DistrictSummary, room: float) -> list[Flowable]:
    heading = Heading(_("Open flags by state and age"), key="flags")
    if not found.ages:
        return [KeepTogether([heading, para(_("No flag is open here."), BODY)])]
    names = [name for name, _most in AGES]
    rows: list[list[object]] = [[_("State"), *map(_, names), _("All")]]
    rows += [
        [para(state.label, SMALL), *(str(row[name]) for name in names), str(row.total())]
        for state in FlagState
        if (row := found.ages.get(state))
    ]
    totals = [sum(row[name] for row in found.ages.values()) for name in names]
    rows.append([_("All"), *map(str, totals), str(sum(totals))])
    made = table(rows, [room - 370.0, *[74.0] * 5], [("ALIGN", (1, 0), (-1, -1), "RIGHT")])
    caption = Caption("Table", _("Open flags by state and by the days since they were opened."))
    return [KeepTogether([heading, caption, made])]


def _more(words: Callable[[int], str], count: int) -> Sequence[Flowable]:
    return [para(words(count) % {"count": count}, NOTE)] if count > 0 else []


def _more_elements(count: int) -> str:
    return ngettext(
        "%(count)s more element is not printed: see the page of flags.",
        "%(count)s more elements are not printed: see the page of flags.",
        count,
    )


def _more_lines(count: int) -> str:
    return ngettext(
        "%(count)s more line is not printed: see the page of plan.",
        "%(count)s more lines are not printed: see the page of plan.",
        count,
    )


PARTS = (_verdicts, _trend, _ranked, _overdue, _flags)
