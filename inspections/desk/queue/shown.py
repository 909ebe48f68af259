"""What the pages of the queue show of a flag."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as mark

from inspections.models import Decision, Flag, Inspection, Sighting, Verdict
from inspections.models.choices import ResponseWord, VerdictWord
from inspections.models.desk_choices import DecisionKind, FlagCause, FlagState
from inspections.reasons import RESIDUAL_OUT
from inspections.selectors.findings import current_histories
from inspections.selectors.flags import (
    Weights,
    decisions_of,
    last_decisions,
    last_seen,
    sightings_of,
)
from inspections.services.flags import relied_on
from inspections.wording import sentence
from inspections.wording_flags import evidence_in_short, evidence_words
from inspections.wording_history import response_sentence
from inventory.models import Installation
from inventory.units import System
from inventory.words import in_sentence

PARTS = (
    ("severity", mark("Severity")),
    ("consequence", mark("What rests on it")),
    ("nearness", mark("How near a limit")),
    ("age", mark("Age")),
)


@dataclass(frozen=True, slots=True)
class Part:
    """One of the four parts of a score; ``start`` is where its bar begins."""

    key: str
    label: str
    points: float
    start: float


@dataclass(frozen=True, slots=True)
class RowShown:
    """A flag of the list."""

    flag: Flag
    evidence: str
    decision: Decision | None
    parts: list[Part]


def rows_shown(chosen: Iterable[Flag]) -> list[RowShown]:
    """Return flags of the queue with what a row shows."""
    rows = list(chosen)
    seen, decided = last_seen(rows), last_decisions(rows)
    return [
        RowShown(
            row,
            evidence_in_short(seen[row.pk].evidence) if row.pk in seen else "",
            decided.get(row.pk),
            parts_of(row),
        )
        for row in rows
    ]


def parts_of(flag: Any) -> list[Part]:
    """Return the four parts of a flag's score, rounded so that they sum to what is shown.

    Tenths go first to the parts that lose most by rounding down.
    """
    exact = {key: 10.0 * getattr(flag, f"by_{key}") for key, _ in PARTS}
    tenths = {key: math.floor(value) for key, value in exact.items()}
    left = round(10.0 * flag.score) - sum(tenths.values())
    for key in sorted(exact, key=lambda each: tenths[each] - exact[each])[: max(left, 0)]:
        tenths[key] += 1
    parts, start = [], 0
    for key, label in PARTS:
        parts.append(Part(key, _(label), tenths[key] / 10, start / 10))
        start += tenths[key]
    return parts


@dataclass(frozen=True, slots=True)
class Example:
    """The score of one flag worked out: share times weight, part by part."""

    flag: Flag
    parts: list[tuple[Part, float, float]]
    total: float


def worked_example(flag: Any, weights: Weights) -> Example:
    """Return a flag's score as a sum that a reader can follow."""
    parts = [
        (part, min(getattr(flag, f"by_{part.key}") / most, 1.0) if most else 0.0, most)
        for part in parts_of(flag)
        for most in (100.0 * getattr(weights, part.key),)
    ]
    return Example(flag, parts, round(sum(part.points for part, _, _ in parts), 1))


@dataclass(frozen=True, slots=True)
class Step:
    """Something in the life of a flag: seen, gone, renewed, decided, or its order cancelled."""

    kind: str
    at: dt.datetime | dt.date
    row: Any
    words: list[str] = field(default_factory=list)
    mark: int = VerdictWord.IN_RANGE


def life_shown(flag: Flag, system: System) -> list[Step]:
    """Return what happened to a flag, oldest first."""
    steps = [
        Step(
            "seen" if each.shown else "gone",
            each.seen_at,
            each,
            evidence_words(each.evidence, system),
            each.severity if each.shown else VerdictWord.IN_RANGE,
        )
        for each in sightings_of(flag)
    ]
    decided = list(decisions_of(flag))
    steps += [Step("decided", each.as_of, each) for each in decided]
    cancelled = {each.order.pk: each.order for each in decided if each.order}
    steps += [
        Step("cancelled", each.cancelled_at, each)
        for each in cancelled.values()
        if each.cancelled_at is not None
    ]
    ended = Installation.objects.filter(element_id=flag.element_id, removed_on__isnull=False)
    # The page tells its hours at the bridge: midnight elsewhere would be the day before.
    zone = ZoneInfo(flag.element.bridge.time_zone)
    # Of a device the day is known alone: of the day of mending, it was changed before that.
    mended = {
        each.as_of.astimezone(zone).date(): each.as_of
        for each in reversed(decided)
        if each.kind == DecisionKind.MENDED
    }
    steps += [
        Step(
            "renewed",
            mended.get(each.removed_on, dt.datetime.combine(each.removed_on, dt.time(), zone)),
            each,
        )
        for each in ended
        if each.removed_on is not None
    ]
    return sorted(steps, key=lambda each: (each.at, _within_the_hour(each)))


def _within_the_hour(step: Step) -> int:
    """Return the order of what happened at one hour: seen, ordered, changed, mended."""
    if step.kind == "decided":
        return 3 if step.row.kind == DecisionKind.MENDED else 1
    return 2 if step.kind == "renewed" else 0


def changes_since(decision: Decision, sightings: Iterable[Sighting]) -> list[str]:
    """Return what a decision rested on and reads otherwise now, in words."""
    then = {visit: (shown, severity) for visit, shown, severity in decision.relied_on}
    now = {
        visit: (shown, severity) for visit, shown, severity in relied_on(sightings, decision.as_of)
    }
    days = dict(Inspection.objects.filter(pk__in={*then, *now}).values_list("pk", "date"))
    told = []
    for visit in sorted({*then, *now}, key=lambda pk: (days.get(pk, dt.date.min), pk)):
        if then.get(visit) != now.get(visit):
            was, is_now = _seen(then.get(visit)), _seen(now.get(visit))
            sentence = _("The visit of %(day)s %(then)s, now it %(now)s.")
            day = days.get(visit) or _("an unknown day")
            told.append(sentence % {"day": day, "then": was, "now": is_now})
    return told


def _seen(what: tuple[bool, int] | None) -> str:
    if what is None:
        return _("said nothing of it")
    shown, severity = what
    if not shown:
        return _("showed it gone")
    return _("showed it as «%(verdict)s»") % {"verdict": in_sentence(VerdictWord(severity).label)}


def still_to_prove(flag: Flag, system: System) -> list[str]:
    """Return what is missing until readings can show that an element follows the temperature again.

    One reading back at its place proves a position, not that it moves: the flag stays until then.
    """
    if flag.cause != FlagCause.RESPONSE or flag.state != FlagState.MENDED:
        return []
    rows = current_histories().filter(
        element=flag.element, response=ResponseWord.NOT_ENOUGH_INFORMATION
    )
    moved = rows.exclude(expected_slope_per_c=0).order_by("pk")
    return list(dict.fromkeys(response_sentence(each, system) for each in moved))


def standing_from_before(flag: Flag, seen: Sighting | None, system: System) -> list[str]:
    """Return the earlier findings that keep a flag out of range where its last visit shows less."""
    if (
        seen is None
        or flag.cause != FlagCause.POSITION
        or seen.severity != VerdictWord.OUT_OF_RANGE
        or any(item.get("reasons", 0) & RESIDUAL_OUT for item in seen.evidence)
    ):
        return []
    found = Verdict.objects.filter(
        element=flag.element_id, stands=True, installation=flag.element.current_installation_id
    )
    return [sentence(each, system) for each in found.order_by("-taken_at", "pk")]
