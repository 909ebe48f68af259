"""What the report tells of one element: register, finding, strip, charts, readings."""

from __future__ import annotations

from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop, ngettext
from reportlab.platypus import CondPageBreak, Flowable, KeepTogether, Spacer, Table

from inspections import wording
from inspections.drawing.chart import channels_of, expected_chart
from inspections.drawing.events import events_of
from inspections.drawing.pdf import to_pdf
from inspections.drawing.strips import travel_strip
from inspections.drawing.time_chart import time_chart
from inspections.models import Verdict
from inspections.paper.checks_table import checks_block
from inspections.paper.history_lines import history_lines, history_of
from inspections.paper.next_step import next_step_of
from inspections.paper.photos import photo_rows
from inspections.paper.progress import Count, Tick
from inspections.paper.readings_table import readings_table
from inspections.paper.register_words import register_words
from inspections.paper.summary import device_of, key_of
from inspections.paper.text import (
    BODY,
    INK,
    NOTE,
    SMALL,
    SMALL_BOLD,
    Caption,
    Heading,
    layout,
    mark,
    para,
)
from inspections.paper.words import word
from inspections.selectors.report import ReportElement, ReportHead
from inspections.selectors.statuses import FLAGGED
from inspections.wording_capacity import tell_checks
from inspections.wording_figures import going_on
from inspections.wording_status import raised_sentence, shortening_words
from inventory.units import System
from inventory.words import in_sentence

READINGS = gettext_noop("Readings of %(element)s, point by point.")
OVER_TEMPERATURE = gettext_noop("%(element)s, %(point)s over temperature.")
OVER_YEARS = gettext_noop("%(element)s, %(point)s over the years.")
SHORT_TABLE = 8
"""Readings up to which the table stays on one page."""
MORE_CHARTS = 4
"""Charts of channels beside the deciding one."""
CHART = (720.0, 240.0)
HALF_CHART = (360.0, 180.0)
BETWEEN = 8.0


def element_block(
    each: ReportElement,
    heading: Heading,
    room: float,
    system: System,
    zone: ZoneInfo,
    watch_use: float,
    progress: Count,
) -> list[Flowable]:
    """Return the flowables of one element under a heading of its own.

    A check of capacity is near from ``watch_use`` on.
    """
    channels = ordered(channels_of(each.verdicts), each.deciding)
    words = [
        *findings_in_words(each, channels, system, zone),
        *history_lines(each, system),
        *(
            [para(_("Next: %(step)s") % {"step": next_step_of(each)}, SMALL_BOLD)]
            if each.is_flagged
            else []
        ),
        para(register_words(each, system), NOTE),
    ]
    checks = checks_block(tell_checks(each.checks, system, watch_use), room)
    head: list[Flowable] = [Tick(progress), heading_line(each, heading, room)]
    if not channels:
        photos = photo_rows(each.photos, each.element.code, room, zone)
        return [KeepTogether([*head, *words]), *checks, *photos, Spacer(0, 10)]
    strip = to_pdf(travel_strip(each.deciding or channels[0][-1], system), room)
    # A flagged element gets one large chart; the others are drawn two abreast.
    small = channels[: MORE_CHARTS + 1]
    if each.is_flagged:
        first = small.pop(0)
        history = history_of(each, first)
        width, height = CHART
        events = events_of(first)
        large = expected_chart(
            first,
            system,
            history=history,
            events=events,
            width=width,
            height=height,
            on_paper=True,
        )
        head += [*words, strip, Spacer(0, 3), to_pdf(large, room), chart_caption(each, first)]
        charts = _half_charts(each, small, room, system, over_time(each, first, room, system))
    elif len(small) == 1:
        head += [strip, beside(half_chart(each, small[0], room, system), words, room)]
        charts = []
    else:
        head += [*words, strip]
        charts = _half_charts(each, small, room, system, [])
    caption = Caption("Table", _(READINGS) % {"element": each.element.code})
    readings: list[Flowable] = [caption, readings_table(channels, room, system, zone)]
    return [
        KeepTogether([*head, *charts[:1]]),
        *charts[1:],
        *(
            [KeepTogether([*readings, *checks[:1]]), *checks[1:]]
            if len(each.verdicts) <= SHORT_TABLE
            else [CondPageBreak(70), *readings, *checks]
        ),
        *photo_rows(each.photos, each.element.code, room, zone),
        *_notes(each, max(len(channels) - MORE_CHARTS - 1, 0)),
        Spacer(0, 9),
    ]


def ordered(channels: list[list[Verdict]], deciding: Verdict | None) -> list[list[Verdict]]:
    """Put the deciding channel first, then those flagged at their last reading."""

    def rank(channel: list[Verdict]) -> tuple[bool, bool]:
        decides = deciding is not None and any(each.pk == deciding.pk for each in channel)
        return (not decides, channel[-1].verdict not in FLAGGED)

    return sorted(channels, key=rank)


def heading_of(each: ReportHead, level: int = 1) -> Heading:
    """Return the heading of an element, with its verdict in the outline."""
    code = each.element.code
    outline = f"{code}: {in_sentence(each.word.label)}"
    return Heading(code, level=level, key=key_of(each), outline=outline)


def heading_line(each: ReportElement, heading: Heading, room: float) -> Table:
    """Mark, code, device and the verdict in words on one line."""
    device = ": ".join(part for part in (device_of(each), each.element.name) if part)
    return layout(
        [[mark(each.word, 14), heading, para(device, SMALL_BOLD),
          para(each.word.label, SMALL_BOLD)]],
        [20.0, 0.3 * (room - 92.0), 0.7 * (room - 92.0), 72.0],
        [
            ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
            ("LINEABOVE", (0, 0), (-1, 0), 1.1, INK),
            ("RIGHTPADDING", (0, 0), (-1, -1), 6),
            ("TOPPADDING", (0, 0), (-1, -1), 4),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 3),
        ],
    )  # fmt: skip


def findings_in_words(
    each: ReportElement, channels: list[list[Verdict]], system: System, zone: ZoneInfo
) -> list[Flowable]:
    """Return what raised the verdict, the deciding sentence, and those of what else was found."""
    if each.deciding is None:
        return [para(wording.NEVER_READ if not channels else _only_open(), BODY)]
    visit = each.deciding.inspection_id
    others = [
        verdict
        for channel in channels
        for verdict in channel
        if (verdict.inspection_id == visit or verdict.stands)
        and verdict.pk != each.deciding.pk
        and verdict.verdict in FLAGGED
    ]
    raised = raised_sentence(each.status, system) if each.status else ""
    told = [para(raised, BODY)] if raised else []
    told.append(para(_dated(each.deciding, system, zone), BODY))
    shortened = shortening_words(each.deciding, system)
    if shortened:
        told.append(para(_("Of what is expected: %(told)s.") % {"told": shortened}, SMALL))
    told += [para(_dated(verdict, system, zone), SMALL) for verdict in others]
    return told


def _dated(verdict: Verdict, system: System, zone: ZoneInfo) -> str:
    return f"{verdict.taken_at.astimezone(zone):%Y-%m-%d}: {wording.sentence(verdict, system)}"


def _only_open() -> str:
    return _("Cannot judge: its readings stand in a visit that has not been handed in yet.")


def half_chart(
    each: ReportElement, channel: list[Verdict], room: float, system: System
) -> list[Flowable]:
    """Return the half chart of a channel over the temperature."""
    width, height = HALF_CHART
    history = history_of(each, channel)
    drawn = expected_chart(
        channel,
        system,
        history=history,
        events=events_of(channel),
        width=width,
        height=height,
        on_paper=True,
    )
    return [to_pdf(drawn, (room - BETWEEN) / 2), chart_caption(each, channel)]


def over_time(
    each: ReportElement, channel: list[Verdict], room: float, system: System
) -> list[Flowable]:
    """Return the half chart of a channel over the years; none where there are too few."""
    width, height = HALF_CHART
    drawn = time_chart(
        channel,
        history_of(each, channel),
        system,
        events=events_of(channel),
        width=width,
        height=height,
        on_paper=True,
    )
    if drawn is None:
        return []
    return [to_pdf(drawn, (room - BETWEEN) / 2), chart_caption(each, channel, OVER_YEARS)]


def chart_caption(
    each: ReportElement, channel: list[Verdict], against: str = OVER_TEMPERATURE
) -> Caption:
    """Return what a chart of a channel is."""
    name = wording.name_of(channel[-1])
    told = {"element": each.element.code, "point": going_on(name)}
    return Caption("Figure", word(against) % told)


def _half_charts(
    each: ReportElement,
    channels: list[list[Verdict]],
    room: float,
    system: System,
    before: list[Flowable],
) -> list[Flowable]:
    """Return charts of channels in rows of two, after those given."""
    first = [before] if before else []
    charts = [*first, *(half_chart(each, channel, room, system) for channel in channels)]
    return [
        beside(charts[start], charts[start + 1] if start + 1 < len(charts) else "", room)
        for start in range(0, len(charts), 2)
    ]


def beside(left: object, right: object, room: float) -> Table:
    """Return two things of half the room each, side by side."""
    half = (room - BETWEEN) / 2
    return layout([[left, right]], [half + BETWEEN, half], [("TOPPADDING", (0, 0), (-1, -1), 3)])


def _notes(each: ReportElement, without_chart: int) -> list[Flowable]:
    notes = []
    if without_chart:
        notes.append(without_chart_words(without_chart))
    if each.earlier_count:
        text = ngettext(
            "%(count)s reading of the devices that stood here before is not printed.",
            "%(count)s readings of the devices that stood here before are not printed.",
            each.earlier_count,
        )
        notes.append(text % {"count": each.earlier_count})
    return [para(" ".join(notes), NOTE)] if notes else []


def without_chart_words(count: int) -> str:
    """Return how many points have no chart."""
    text = ngettext(
        "%(count)s point has no chart here; the readings are in the table.",
        "%(count)s points have no chart here; the readings are in the table.",
        count,
    )
    return text % {"count": count}
