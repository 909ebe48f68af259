"""The summary of a district, or of all, as a PDF file."""

from __future__ import annotations

from collections.abc import Sequence
from typing import BinaryIO

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
from inspections.selectors.district import AGES, DistrictSummary
from inspections.wording_flags import evidence_in_short
from inventory.words import in_english

ORDER = (
    "In the order of the queue: four shares, of severity, of what rests on the element, of how near"
    " a limit is and of the flag's age, weighted as the agency has set. The weights are judgement."
)
TREND = (
    "Both columns go by the readings alone: the worst verdict of the last handed-in visit that"
    " tells something, by the day of the visit, judged by the register and settings of today."
    " What a history, a whole unit or an earlier finding that still stands adds to a verdict is"
    " not in them, so the first column may differ from the counts above. Elements not read by"
    " then are not counted."
)


@in_english
def write_district_summary(
    found: DistrictSummary, file: BinaryIO, printing: Printing, progress: Count = to_nobody
) -> None:
    """Write the summary of a district; best from ``selectors.district.district_summary``.

    ``progress`` is told 1 for each of its `PARTS`: it goes through all bridges in each.
    """
    name = str(found.district) if found.district else "All districts"
    code = found.district.code if found.district else "All districts"
    front = Front(
        kind="District summary",
        name=name,
        covers="Elements that matter most, verdicts by kind, the trend of a year, overdue"
        " inspections and open flags",
        running=(code, found.district.name if found.district else ""),
        facts=[
            ("As of", f"{found.today:%Y-%m-%d}"),
            ("Bridges", str(found.bridge_count)),
            ("Elements", str(found.element_count)),
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
    heading = Heading("Verdicts by kind of element", key="verdicts")
    if not found.element_count:
        return [heading, para("No element is on record here yet.", BODY)]
    total = sum(each[VerdictWord.OUT_OF_RANGE] for each in found.counts.values())
    watch = sum(each[VerdictWord.WATCH] for each in found.counts.values())
    drawn = count_bars({kind.label: row for kind, row in found.counts.items()})
    rows: list[list[object]] = [["Kind", *(word.label for word in WORST_FIRST), "All"]]
    rows += [
        [kind.label, *(str(row[word]) for word in WORST_FIRST), str(row.total())]
        for kind, row in found.counts.items()
    ]
    return [
        heading,
        para(
            f"Of {found.element_count} elements of {found.bridge_count} bridges,"
            f" {total} out of range and {watch} to watch, as last seen.",
            LEAD,
        ),
        KeepTogether(
            [
                to_pdf(drawn, room),
                Caption("Figure", "Elements by kind and verdict, as last seen."),
            ]
        ),
        KeepTogether(
            [
                Caption("Table", "Elements by kind and verdict, as last seen."),
                table(rows, [room - 350.0, *[70.0] * 5], [("ALIGN", (1, 0), (-1, -1), "RIGHT")]),
            ]
        ),
    ]


def _trend(found: DistrictSummary, room: float) -> list[Flowable]:
    rows: list[list[object]] = [
        ["", "Verdict", f"{found.year_before:%Y-%m-%d}", f"{found.today:%Y-%m-%d}", "Change"]
    ]
    for word in WORST_FIRST:
        change = found.now[word] - found.before[word]
        told = "0" if not change else f"{change:+d}".replace("-", "−")
        rows.append(
            [mark(word, 9), word.label, str(found.before[word]), str(found.now[word]), told]
        )
    rows.append(
        ["", "Elements read by then", str(found.before.total()), str(found.now.total()), ""]
    )
    return [
        KeepTogether(
            [
                Heading("Against the year before", key="trend"),
                Caption("Table", "Verdicts by readings alone, on two days a year apart."),
                table(
                    rows,
                    [18.0, room - 258.0, 80.0, 80.0, 80.0],
                    [("ALIGN", (2, 0), (-1, -1), "RIGHT")],
                ),
                Spacer(0, 3),
                para(TREND, NOTE),
            ]
        )
    ]


def _ranked(found: DistrictSummary, room: float) -> list[Flowable]:
    heading = Heading("What matters most", key="ranked")
    if not found.ranked:
        return [KeepTogether([heading, para("No flag is open here.", BODY)])]
    rows: list[list[object]] = [
        ["", "Score", "Bridge", "Element", "Flags, and what showed the weightiest", "State"]
    ]
    for each in found.ranked:
        first = each.flags[0]
        causes = ", ".join(FlagCause(flag.cause).label for flag in each.flags)
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
    widths = [18.0, 34.0, 110.0, 70.0, room - 322.0, 90.0]
    return [
        CondPageBreak(130),
        heading,
        para(ORDER, NOTE),
        Caption("Table", "Elements with open flags, what matters most first."),
        table(rows, widths),
        *_more(found.flagged_count - len(found.ranked), "element", "elements", "flags"),
    ]


def _overdue(found: DistrictSummary, room: float) -> list[Flowable]:
    heading = Heading("Overdue inspections", key="overdue")
    if not found.overdue:
        return [KeepTogether([heading, para("Nothing is overdue here.", BODY)])]
    rows: list[list[object]] = [["Due on", "Days late", "Bridge", "Element", "Why"]]
    rows += [
        [
            f"{each.due_on:%Y-%m-%d}",
            str((found.today - each.due_on).days),
            para(f"{each.bridge.code} {each.bridge.name}", SMALL),
            para(each.element.code if each.element else "all", SMALL),
            para(DueReason(each.reason).label, SMALL),
        ]
        for each in found.overdue
    ]
    return [
        CondPageBreak(110),
        heading,
        Caption("Table", "What is due and was not done, the longest overdue first."),
        table(rows, [64.0, 52.0, room - 336.0, 80.0, 140.0]),
        *_more(found.overdue_count - len(found.overdue), "line", "lines", "plan"),
    ]


def _flags(found: DistrictSummary, room: float) -> list[Flowable]:
    heading = Heading("Open flags by state and age", key="flags")
    if not found.ages:
        return [KeepTogether([heading, para("No flag is open here.", BODY)])]
    names = [name for name, _ in AGES]
    rows: list[list[object]] = [["State", *names, "All"]]
    rows += [
        [para(state.label, SMALL), *(str(row[name]) for name in names), str(row.total())]
        for state in FlagState
        if (row := found.ages.get(state))
    ]
    totals = [sum(row[name] for row in found.ages.values()) for name in names]
    rows.append(["All", *map(str, totals), str(sum(totals))])
    made = table(rows, [room - 370.0, *[74.0] * 5], [("ALIGN", (1, 0), (-1, -1), "RIGHT")])
    caption = Caption("Table", "Open flags by state and by the days since they were opened.")
    return [KeepTogether([heading, caption, made])]


def _more(count: int, one: str, many: str, page: str) -> Sequence[Flowable]:
    if count <= 0:
        return []
    told = f"1 more {one} is" if count == 1 else f"{count} more {many} are"
    return [para(f"{told} not printed: see the page of {page}.", NOTE)]


PARTS = (_verdicts, _trend, _ranked, _overdue, _flags)
