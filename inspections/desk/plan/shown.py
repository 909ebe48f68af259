"""Rows of the plan's pages, with their words ready."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from inspections.models import ElementHistory, PlannedVisit
from inspections.models.desk_choices import FlagState
from inspections.selectors.plan import BridgeDue, Within
from inspections.selectors.plan_best_time import BridgeTime, ChannelTime
from inspections.wording import name_of
from inspections.wording_plan import (
    cautions,
    due_words,
    narrowing_words,
    outside_words,
    time_words,
    when_due,
)
from inventory.models import Bridge
from inventory.units import System

MOST_REASONS = 5
MOST_CHANNELS = 6


@dataclass(frozen=True, slots=True)
class WhyShown:
    """One thing due: when, how far away, and why."""

    due_on: dt.date
    when: str
    words: str
    flag_id: int | None
    late: bool


@dataclass(frozen=True, slots=True)
class BridgeShown:
    """A bridge of the overview; ``heads`` is True where a new stretch of time begins."""

    bridge: Bridge
    within: Within
    heads: bool
    whys: list[WhyShown]
    more: int
    plans: list[PlannedVisit]


def whys_shown(due: BridgeDue | Iterable, today: dt.date) -> list[WhyShown]:
    """Return what is due, in words."""
    rows = due.rows if isinstance(due, BridgeDue) else due
    return [
        WhyShown(
            row.due_on,
            when_due(row, today),
            due_words(row),
            row.flag_id if row.flag_id and row.flag.state != FlagState.WITHDRAWN else None,
            row.due_on < today,
        )
        for row in rows
    ]


def overview_shown(bridges: list[BridgeDue], today: dt.date) -> list[BridgeShown]:
    """Return the bridges of a page of the overview."""
    shown: list[BridgeShown] = []
    for each in bridges:
        whys = whys_shown(each, today)
        shown.append(
            BridgeShown(
                each.bridge,
                each.within,
                not shown or shown[-1].within != each.within,
                whys[:MOST_REASONS],
                max(0, len(whys) - MOST_REASONS),
                each.plans,
            )
        )
    return shown


@dataclass(frozen=True, slots=True, eq=False)
class ChannelShown:
    """A channel with not enough information, and when to read it next."""

    history: ElementHistory
    name: str
    best: str
    narrows: str
    known: bool
    by: str
    by_thumb: bool
    cautions: list[str]


def channels_shown(channels: Iterable[ChannelTime], system: System) -> list[ChannelShown]:
    """Return channels in words."""
    return [_channel(each, system) for each in channels]


def _channel(each: ChannelTime, system: System) -> ChannelShown:
    best = each.times.best if each.times else None
    return ChannelShown(
        each.history,
        name_of(each.history),
        time_words(each.times, system) or outside_words(each.earlier_c, system),
        narrowing_words(each),
        each.climate is not None,
        each.climate.by if each.climate and best else "",
        bool(each.climate and best and each.climate.rule_of_thumb),
        cautions(best) if best else [],
    )


@dataclass(frozen=True, slots=True)
class TimeShown:
    """When a bridge is best visited, in words."""

    best: str
    source: str
    narrows: list[str]
    more: int
    cautions: list[str]


def time_shown(found: BridgeTime, system: System) -> TimeShown:
    """Return the best time of a bridge, and what its elements would gain."""
    best = found.times.best if found.times else None
    narrows = list(dict.fromkeys(filter(None, map(narrowing_words, found.channels))))
    return TimeShown(
        time_words(found.times, system),
        found.climate.source if found.climate else "",
        narrows[:MOST_CHANNELS],
        max(0, len(narrows) - MOST_CHANNELS),
        cautions(best) if best else [],
    )
