"""The report of one event: its bridges by worst step, what moved, what is not yet visited."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import BinaryIO

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop, ngettext
from reportlab.platypus import CondPageBreak, Flowable, KeepTogether, PageBreak, Spacer

from inspections import wording
from inspections.models import AgencySettings, Event
from inspections.paper.cover import Front, Printing, pages_of, write_report
from inspections.paper.event_words import WORDS, found_words, is_seen, km, size_words, where
from inspections.paper.method import appendix
from inspections.paper.progress import Count, Tick, to_nobody
from inspections.paper.text import BODY, LEAD, SMALL, Caption, Heading, mark, para, table
from inspections.paper.words import heads, percent
from inspections.selectors.event_steps import StepFound
from inspections.selectors.events import (
    BeforeAndAfter,
    BridgeAfter,
    before_and_after,
    bridges_after,
    summary_of,
)
from inventory.decimal_mark import with_mark
from inventory.units import Dimension, System, shown
from inventory.words import in_sentence
from inventory.zones import zone_words
from movement.event_step import StepWord, chance_beyond

METHOD = gettext_noop(
    "The last handed-in reading before the event is compared with the first after it, channel by"
    " channel; what temperature, creep and shrinkage account for is taken out of the step. Steps"
    " are told by Holm's method over all channels compared at a bridge: the chance of any false"
    " «stepped» at a bridge is at most {out} %, of any false «to watch» {watch} %. What"
    " lacks a temperature or an uncertainty cannot be told, and a step that is told is no"
    " finding of damage by itself."
)

VISITED = gettext_noop("%(seen)s of %(bridges)s bridges visited.")
VISITED_LATE = gettext_noop("%(seen)s of %(bridges)s bridges visited, %(late)s overdue.")
STEPPED = gettext_noop("Stepped at %(stepped)s, to watch at %(to_watch)s more.")
STILL = gettext_noop("At %(stood_still)s more, something does not follow the temperature.")
BRIDGES = (
    "", gettext_noop("Bridge"), gettext_noop("Distance"), gettext_noop("Inspection"),
    gettext_noop("Found"),
)  # fmt: skip
STEPS = (
    "", gettext_noop("Element"), gettext_noop("Before"), gettext_noop("After"),
    gettext_noop("Step"), gettext_noop("In its u"), gettext_noop("Limit used"),
)  # fmt: skip


def write_event_report(
    event: Event, file: BinaryIO, printing: Printing, progress: Count = to_nobody
) -> None:
    """Write the report of an event; hours are told in the zone of the printing.

    ``progress`` is told 1 for each bridge that has reached its last page.
    """
    rows = bridges_after(event)
    summary = summary_of(rows)
    seen = [each for each in rows if is_seen(each)]
    hour = event.occurred_at.astimezone(printing.zone)
    happened = f"{hour:%Y-%m-%d %H:%M} ({zone_words(printing.zone.key)})"
    front = Front(
        kind=_("Event report"),
        name=event.name,
        covers=_(
            "Bridges that the event may have touched, by their worst step; what moved; what is not"
            " yet visited"
        ),
        running=(event.get_kind_display(), event.name),
        facts=[
            (_("What"), event.get_kind_display()),
            (_("When"), happened),
            (_("Where"), where(event, printing.system)),
        ],
    )
    pages = pages_of(file, front, printing)
    room, system = pages.room, printing.system
    lead = [_(VISITED_LATE if summary.overdue else VISITED), _(STEPPED)]
    if summary.stood_still:
        lead.append(_(STILL))
    counts = {
        "seen": len(seen),
        "bridges": len(rows),
        "late": summary.overdue,
        "stepped": summary.stepped,
        "to_watch": summary.to_watch,
        "stood_still": summary.stood_still,
    }
    found = before_and_after(seen)
    agency = AgencySettings.current()
    limits = {"out": agency.out_k, "watch": agency.watch_k}
    story = [
        Heading(_("What happened"), key="event"),
        *([para(event.description, BODY)] if event.description else []),
        para(" ".join(lead) % counts, LEAD),
        *_bridges(rows, room, system, {each.row.pk for each in found}, progress),
        *_steps(found, room, printing, progress),
        *_waiting([each for each in rows if not is_seen(each)], room),
        KeepTogether(
            [
                Heading(_("How steps are told"), key="step-method"),
                para(
                    _(METHOD).format(
                        **{
                            name: with_mark(f"{100 * chance_beyond(k):.2g}")
                            for name, k in limits.items()
                        }
                    ),
                    BODY,
                ),
            ]
        ),
        PageBreak(),
        *appendix(agency, room, system),
    ]
    write_report(pages, front, printing, story)


def _bridges(
    rows: Sequence[BridgeAfter],
    room: float,
    system: System,
    told_below: Collection[int],
    progress: Count,
) -> list[Flowable]:
    heading = Heading(_("Bridges, the worst step first"), key="bridges")
    if not rows:
        return [KeepTogether([heading, para(_("No bridge stands here."), BODY)])]
    cells: list[list[object]] = [heads(BRIDGES)]
    for each in rows:
        found, told = found_words(each)
        visit = each.inspection
        state = (
            f"{visit.date:%Y-%m-%d} {in_sentence(visit.get_state_display())}"
            if visit
            else _("none")
        )
        bridge = each.row.bridge
        cells.append(
            [
                mark(WORDS[found][1], 9),
                [
                    *([] if each.row.pk in told_below else [Tick(progress)]),
                    para(f"{bridge.code} {bridge.name}", SMALL),
                ],
                km(each.row.distance_km, system),
                para(state, SMALL),
                para(told, SMALL),
            ]
        )
    return [
        CondPageBreak(110),
        heading,
        Caption("Table", _("Bridges of the event; those without a step by their distance.")),
        table(cells, [16.0, 0.5 * (room - 168.0), 52.0, 100.0, 0.5 * (room - 168.0)]),
    ]


def _steps(
    found: Sequence[BeforeAndAfter], room: float, printing: Printing, progress: Count
) -> list[Flowable]:
    heading = Heading(_("Steps found"), key="steps")
    if not found:
        return [KeepTogether([heading, para(_("Nothing has been compared yet."), BODY)])]
    story: list[Flowable] = [CondPageBreak(140), heading]
    for each in found:
        bridge = each.row.bridge
        story += [
            CondPageBreak(110),
            Heading(f"{bridge.code} {bridge.name}", level=1, key=f"bridge-{bridge.pk}"),
        ]
        telling = [step for step in each.steps if step.word != StepWord.NONE]
        if telling:
            told = _("Last reading before and first after the event at %(bridge)s.")
            told %= {"bridge": bridge.code}
            rows: list[list[object]] = [heads(STEPS)]
            rows += [_step(step, printing) for step in telling]
            shares = [16.0, room - 410.0, 92.0, 92.0, 110.0, 48.0, 52.0]
            right = [("ALIGN", (5, 0), (6, -1), "RIGHT")]
            story += [Caption("Table", told), table(rows, shares, right)]
        if quiet := len(each.steps) - len(telling):
            told = ngettext(
                "%(count)s point shows no step between the two readings.",
                "%(count)s points show no step between the two readings.",
                quiet,
            )
            story.append(para(told % {"count": quiet}, SMALL))
        if each.not_read:
            told = _("Read before, not read after:")
            story.append(para(f"{told} {'; '.join(each.not_read)}.", SMALL))
        if each.new:
            told = _("Read after, with nothing before to compare: %(names)s.")
            story.append(para(told % {"names": ", ".join(each.new)}, SMALL))
        story += [Tick(progress), Spacer(0, 6)]
    return story


def _step(step: StepFound, printing: Printing) -> list[object]:
    system = printing.system

    def read(side: str) -> object:
        row = getattr(step, side)
        told = shown(getattr(step, f"value_{side}"), step.dimension, system)
        if row.temperature_c is not None:
            at = shown(row.temperature_c, Dimension.TEMPERATURE, system)
            told = _("%(value)s at %(temperature)s") % {"value": told, "temperature": at}
        return para(f"{told}, {row.taken_at.astimezone(printing.zone):%Y-%m-%d}", SMALL)

    return [
        mark(WORDS[step.word][1], 9),
        para(f"{step.after.element.code}, {wording.name_of(step.after)}", SMALL),
        read("before"),
        read("after"),
        para(size_words(step, system), SMALL),
        "–" if step.in_u is None else with_mark(f"{step.in_u:.1f}".replace("-", "−")),
        "–" if step.use is None else percent(max(step.use, 0.0)),
    ]


def _waiting(rows: Sequence[BridgeAfter], room: float) -> list[Flowable]:
    heading = Heading(_("Not yet visited"), key="waiting")
    if not rows:
        return [KeepTogether([heading, para(_("Every bridge has been visited."), BODY)])]
    cells: list[list[object]] = [[_("Bridge"), _("Due on"), ""]]
    cells += [
        [
            para(f"{each.row.bridge.code} {each.row.bridge.name}", SMALL),
            f"{each.due_on:%Y-%m-%d}",
            _("overdue") if each.overdue else "",
        ]
        for each in sorted(rows, key=lambda each: (each.due_on, each.row.bridge.code))
    ]
    return [
        CondPageBreak(100),
        heading,
        Caption(
            "Table", _("Bridges without a handed-in visit for this event, the first due first.")
        ),
        table(cells, [room - 160.0, 80.0, 80.0]),
    ]
