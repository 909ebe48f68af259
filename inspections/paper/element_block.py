"""What the report tells of one element: register, finding, strip, charts, readings."""

from __future__ import annotations

from zoneinfo import ZoneInfo

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
from inspections.paper.summary import device_of, key_of, place_of
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
from inspections.selectors.desk import design_of
from inspections.selectors.report import ReportElement, ReportHead
from inspections.selectors.statuses import FLAGGED
from inspections.wording_capacity import tell_checks
from inspections.wording_status import raised_sentence, shortening_words
from inventory.facts import Fact, capacities_of, facts_of
from inventory.units import System
from inventory.words import word_of

SETTING = (
    "setting_temperature_c", "setting_gap_mm", "setting_gap_axis", "setting_offset_along_mm",
    "setting_offset_across_mm", "setting_tilt_deg", "setting_rotation_mrad",
)  # fmt: skip
SHORT_TABLE = 8
"""Readings up to which the table stays on one page."""
MORE_CHARTS = 4
"""Charts of channels beside the deciding one."""
CHART = (720.0, 240.0)
HALF_CHART = (360.0, 166.0)
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
        *([para(f"Next: {next_step_of(each)}", SMALL_BOLD)] if each.is_flagged else []),
        para(_register(each, system), NOTE),
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
    caption = Caption("Table", f"Readings of {each.element.code}, point by point.")
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
    outline = f"{code}: {each.word.label.lower()}"
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


def _register(each: ReportElement, system: System) -> str:
    """Return what the register knows of it, in one paragraph."""
    element, device = each.element, each.element.current_installation
    units = " and ".join(unit.code for unit in (element.unit, element.unit_ahead) if unit)
    parts = [f"At {place_of(each, system)}; unit {units}"]
    parts.append(f"installed {device.installed_on:%Y-%m-%d}")
    parts += [f"{name} {text}" for name, text in (("maker", device.maker), ("lot", device.lot))
              if text]  # fmt: skip
    setting = [_told(fact) for fact in facts_of(device, SETTING, system)]
    parts.append(
        f"setting {word_of(device, 'setting_source').lower()}"
        + (f" ({'; '.join(setting)})" if setting else "")
    )
    capacities = [_told(fact) for fact in capacities_of(design_of(device), system)]
    parts.append(f"capacities: {'; '.join(capacities)}" if capacities else "no capacities recorded")
    access = facts_of(element, ("access", "replaceable", "replaceable_why"), system)
    parts += [_told(fact) for fact in access if not fact.text.startswith("Not known")]
    return f"{'. '.join(part[:1].upper() + part[1:] for part in parts)}."


def _told(fact: Fact) -> str:
    # A word in capitals, such as PTFE, stays as it is.
    label = fact.label if fact.label[:2].isupper() else f"{fact.label[:1].lower()}{fact.label[1:]}"
    return f"{label} {fact.text}"


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
        told.append(para(f"Of what is expected: {shortened}.", SMALL))
    told += [para(_dated(verdict, system, zone), SMALL) for verdict in others]
    return told


def _dated(verdict: Verdict, system: System, zone: ZoneInfo) -> str:
    return f"{verdict.taken_at.astimezone(zone):%Y-%m-%d}: {wording.sentence(verdict, system)}"


def _only_open() -> str:
    return "Cannot judge: its readings stand in a visit that has not been handed in yet."


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
    return [to_pdf(drawn, (room - BETWEEN) / 2), chart_caption(each, channel, "over the years")]


def chart_caption(
    each: ReportElement, channel: list[Verdict], against: str = "over temperature"
) -> Caption:
    """Return what a chart of a channel is."""
    name = wording.name_of(channel[-1])
    return Caption("Figure", f"{each.element.code}, {name[:1].lower()}{name[1:]} {against}.")


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
        points = "1 point has" if without_chart == 1 else f"{without_chart} points have"
        notes.append(f"{points} no chart here; the readings are in the table.")
    if each.earlier_count:
        rows = "1 reading" if each.earlier_count == 1 else f"{each.earlier_count} readings"
        notes.append(f"{rows} of the devices that stood here before are not printed.")
    return [para(" ".join(notes), NOTE)] if notes else []
