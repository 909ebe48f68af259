"""The report of one event: its bridges by worst step, what moved, what is not yet visited."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import BinaryIO

from reportlab.platypus import CondPageBreak, Flowable, KeepTogether, PageBreak, Spacer

from inspections import wording
from inspections.models import AgencySettings, Event
from inspections.models.choices import VerdictWord
from inspections.paper.cover import Front, Printing, pages_of, write_report
from inspections.paper.method import appendix
from inspections.paper.progress import Count, Tick, to_nobody
from inspections.paper.text import BODY, LEAD, SMALL, Caption, Heading, mark, para, table
from inspections.selectors.event_steps import StepFound
from inspections.selectors.events import (
    BeforeAndAfter,
    BridgeAfter,
    before_and_after,
    bridges_after,
    summary_of,
)
from inspections.selectors.plan_facts import HANDED_IN
from inspections.wording_plan import distance_words
from inventory.units import Dimension, System, shown
from inventory.words import in_english
from movement.event_step import StepWord, chance_beyond

WORDS = {
    StepWord.STEPPED: ("stepped", VerdictWord.OUT_OF_RANGE),
    StepWord.WATCH: ("to watch", VerdictWord.WATCH),
    StepWord.NONE: ("no step", VerdictWord.IN_RANGE),
    StepWord.CANNOT_COMPARE: ("cannot be told", VerdictWord.CANNOT_JUDGE),
}
METHOD = (
    "The last handed-in reading before the event is compared with the first after it, channel by"
    " channel; what temperature, creep and shrinkage account for is taken out of the step. Steps"
    " are told by Holm's method over all channels compared at a bridge: the chance of any false"
    " «stepped» at a bridge is at most {out:.2g} %, of any false «to watch» {watch:.2g} %. What"
    " lacks a temperature or an uncertainty cannot be told, and a step that is told is no"
    " finding of damage by itself."
)


@in_english
def write_event_report(
    event: Event, file: BinaryIO, printing: Printing, progress: Count = to_nobody
) -> None:
    """Write the report of an event; hours are told in the zone of the printing.

    ``progress`` is told 1 for each bridge that has reached its last page.
    """
    rows = bridges_after(event)
    summary = summary_of(rows)
    seen = [each for each in rows if _is_seen(each)]
    happened = f"{event.occurred_at.astimezone(printing.zone):%Y-%m-%d %H:%M} ({printing.zone.key})"
    front = Front(
        kind="Event report",
        name=event.name,
        covers="Bridges that the event may have touched, by their worst step; what moved; what is"
        " not yet visited",
        running=(event.get_kind_display(), event.name),
        facts=[
            ("What", event.get_kind_display()),
            ("When", happened),
            ("Where", _where(event, printing.system)),
        ],
    )
    pages = pages_of(file, front, printing)
    room, system = pages.room, printing.system
    late = f", {summary.overdue} overdue" if summary.overdue else ""
    lead = (
        f"{len(seen)} of {len(rows)} bridges visited{late}. Stepped at {summary.stepped}, to watch"
        f" at {summary.to_watch} more."
    )
    found = before_and_after(seen)
    agency = AgencySettings.current()
    limits = {"out": agency.out_k, "watch": agency.watch_k}
    story = [
        Heading("What happened", key="event"),
        *([para(event.description, BODY)] if event.description else []),
        para(lead, LEAD),
        *_bridges(rows, room, system, {each.row.pk for each in found}, progress),
        *_steps(found, room, printing, progress),
        *_waiting([each for each in rows if not _is_seen(each)], room),
        KeepTogether(
            [
                Heading("How steps are told", key="step-method"),
                para(
                    METHOD.format(**{name: 100 * chance_beyond(k) for name, k in limits.items()}),
                    BODY,
                ),
            ]
        ),
        PageBreak(),
        *appendix(agency, room, system),
    ]
    write_report(pages, front, printing, story)


def _is_seen(each: BridgeAfter) -> bool:
    return each.inspection is not None and each.inspection.state in HANDED_IN


def _where(event: Event, system: System) -> str:
    if event.latitude_deg is None or event.longitude_deg is None:
        return "Bridges by list"
    at = f"{event.latitude_deg:.3f}, {event.longitude_deg:.3f}"
    return f"{at}, within {distance_words(event.radius_km, system)}" if event.radius_km else at


def _km(km: float | None, system: System) -> str:
    return "–" if km is None else distance_words(km, system)


def _found(each: BridgeAfter) -> tuple[StepWord, str]:
    if not _is_seen(each):
        return StepWord.CANNOT_COMPARE, "not yet visited"
    compared = len(each.channels.compared)
    if not compared:
        return StepWord.CANNOT_COMPARE, "nothing to compare with"
    untold = f", {each.not_told} cannot be told" if each.not_told else ""
    if each.stepped:
        watch = f", {each.to_watch} to watch" if each.to_watch else ""
        return StepWord.STEPPED, f"{each.stepped} stepped{watch}, of {compared} compared{untold}"
    if each.to_watch:
        return StepWord.WATCH, f"{each.to_watch} to watch, of {compared} compared{untold}"
    if each.not_told == compared:
        return StepWord.CANNOT_COMPARE, f"none of {compared} can be told"
    return StepWord.NONE, f"no step in {compared} comparisons{untold}"


def _bridges(
    rows: Sequence[BridgeAfter],
    room: float,
    system: System,
    told_below: Collection[int],
    progress: Count,
) -> list[Flowable]:
    heading = Heading("Bridges, the worst step first", key="bridges")
    if not rows:
        return [KeepTogether([heading, para("No bridge stands here.", BODY)])]
    cells: list[list[object]] = [["", "Bridge", "Distance", "Inspection", "Found"]]
    for each in rows:
        word, told = _found(each)
        visit = each.inspection
        state = f"{visit.date:%Y-%m-%d} {visit.get_state_display().lower()}" if visit else "none"
        bridge = each.row.bridge
        cells.append(
            [
                mark(WORDS[word][1], 9),
                [
                    *([] if each.row.pk in told_below else [Tick(progress)]),
                    para(f"{bridge.code} {bridge.name}", SMALL),
                ],
                _km(each.row.distance_km, system),
                para(state, SMALL),
                para(told, SMALL),
            ]
        )
    return [
        CondPageBreak(110),
        heading,
        Caption("Table", "Bridges of the event; those without a step by their distance."),
        table(cells, [16.0, 0.5 * (room - 168.0), 52.0, 100.0, 0.5 * (room - 168.0)]),
    ]


def _steps(
    found: Sequence[BeforeAndAfter], room: float, printing: Printing, progress: Count
) -> list[Flowable]:
    heading = Heading("Steps found", key="steps")
    if not found:
        return [KeepTogether([heading, para("Nothing has been compared yet.", BODY)])]
    story: list[Flowable] = [CondPageBreak(140), heading]
    for each in found:
        bridge = each.row.bridge
        story += [
            CondPageBreak(110),
            Heading(f"{bridge.code} {bridge.name}", level=1, key=f"bridge-{bridge.pk}"),
        ]
        telling = [step for step in each.steps if step.word != StepWord.NONE]
        if telling:
            told = f"Last reading before and first after the event at {bridge.code}."
            rows: list[list[object]] = [
                ["", "Element", "Before", "After", "Step", "In its u", "Limit used"]
            ]
            rows += [_step(step, printing) for step in telling]
            shares = [16.0, room - 410.0, 92.0, 92.0, 110.0, 48.0, 52.0]
            right = [("ALIGN", (5, 0), (6, -1), "RIGHT")]
            story += [Caption("Table", told), table(rows, shares, right)]
        if quiet := len(each.steps) - len(telling):
            told = "1 point shows" if quiet == 1 else f"{quiet} points show"
            story.append(para(f"{told} no step between the two readings.", SMALL))
        if each.not_read:
            story.append(para(f"Read before, not read after: {'; '.join(each.not_read)}.", SMALL))
        if each.new:
            told = f"Read after, with nothing before to compare: {', '.join(each.new)}."
            story.append(para(told, SMALL))
        story += [Tick(progress), Spacer(0, 6)]
    return story


def _step(step: StepFound, printing: Printing) -> list[object]:
    system = printing.system
    word, verdict = WORDS[step.word]

    def read(side: str) -> object:
        row = getattr(step, side)
        told = shown(getattr(step, f"value_{side}"), step.dimension, system)
        if row.temperature_c is not None:
            told += f" at {shown(row.temperature_c, Dimension.TEMPERATURE, system)}"
        return para(f"{told}, {row.taken_at.astimezone(printing.zone):%Y-%m-%d}", SMALL)

    size = word
    if step.size is not None:
        size = f"{word}: {shown(step.size, step.dimension, system, sign=True)}"
        if step.u is not None:
            size += f" ± {shown(step.u, step.dimension, system)}"
    elif step.why_not:
        size = f"{word}: {step.why_not}"
    if step.stood_still:
        size += "; reads as before though the temperature called for it to move: does not follow"
    return [
        mark(verdict, 9),
        para(f"{step.after.element.code}, {wording.name_of(step.after)}", SMALL),
        read("before"),
        read("after"),
        para(size, SMALL),
        "–" if step.in_u is None else f"{step.in_u:.1f}".replace("-", "−"),
        "–" if step.use is None else f"{max(step.use, 0.0):.0%}",
    ]


def _waiting(rows: Sequence[BridgeAfter], room: float) -> list[Flowable]:
    heading = Heading("Not yet visited", key="waiting")
    if not rows:
        return [KeepTogether([heading, para("Every bridge has been visited.", BODY)])]
    cells: list[list[object]] = [["Bridge", "Due on", ""]]
    cells += [
        [
            para(f"{each.row.bridge.code} {each.row.bridge.name}", SMALL),
            f"{each.due_on:%Y-%m-%d}",
            "overdue" if each.overdue else "",
        ]
        for each in sorted(rows, key=lambda each: (each.due_on, each.row.bridge.code))
    ]
    return [
        CondPageBreak(100),
        heading,
        Caption("Table", "Bridges without a handed-in visit for this event, the first due first."),
        table(cells, [room - 160.0, 80.0, 80.0]),
    ]
