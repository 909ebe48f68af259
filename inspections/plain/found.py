"""What was found, in plain words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from inspections.models.choices import (
    DefectCode,
    ReadingQuantity,
    ResponseWord,
    VerdictWord,
)
from inspections.models.desk_choices import FlagCause, FlagState
from inspections.plain.amounts import amount, day, length, run, share, temperature
from inspections.plain.facts import Facts, Measured
from inspections.plain.nouns import DECK, DEFECTS, cause, explained, part
from inspections.plain.readings import reading, why_not
from inspections.reasons import NEAR, PAST
from inventory.units import System
from movement.history.findings import Finding
from movement.results import Reason

NEVER = "It has not been measured yet."
QUOTED = 160
"""Characters at most of what a crew wrote in its own words."""
ROOM = "Such a part can move only so far."
Q = ReadingQuantity
LENGTHS = (Q.OFFSET_ALONG, Q.OFFSET_ACROSS, Q.GAP)
TAKES = (Q.BROKEN_RODS, Q.ROD_TENSION, Q.SLIDING_GAP, Q.BULGE, Q.LEVEL_STEP)
"""Quantities whose limit is no end of a way."""


def found(facts: Facts, system: System) -> list[str]:
    """Return the sentences, what matters most first."""
    told = [critical_stands(facts)] if facts.critical else []
    place = facts.place
    if place is None:
        return [*told, f"No part of {facts.bridge} is in our files yet."]
    if not facts.cause and not facts.other_flags:
        told.append("Nothing was found that needs a decision.")
    name = part(place)
    told += [f"This page is about {name}.", explained(place), DECK]
    if facts.cause == FlagCause.CRITICAL:
        told += [_quoted(facts)]
    elif facts.cause == FlagCause.CONDITION:
        told += _condition(facts, system)
    measured = facts.measured
    if measured is None:
        told.append(NEVER)
    elif facts.cause == FlagCause.RESPONSE:
        told += _response(facts, measured, system)
    else:
        told += reading(measured, system)
    if facts.cause == FlagCause.LIMIT:
        told += _limit(facts, measured)
    if facts.cause in (FlagCause.POSITION, FlagCause.LIMIT):
        told += _over_years(facts, system)
    return [*told, *_since(facts, system)]


def critical_stands(facts: Facts) -> str:
    """Return the sentence that comes before all others."""
    last = facts.critical[0]
    return (
        f"A critical finding stands on this bridge: on {day(last.found_on)} a crew saw something"
        " that cannot wait."
    )


def _quoted(facts: Facts) -> str:
    of_flag = (item["what"] for item in facts.evidence if item["kind"] == "critical")
    what = " ".join(next(of_flag, facts.critical[0].what if facts.critical else "").split())
    cut = what if len(what) <= QUOTED else f"{what[: QUOTED - 1].rstrip()}…"
    return f"The crew wrote: «{cut}»"


def _condition(facts: Facts, system: System) -> list[str]:
    told = ["A crew graded it by eye. Part of it got the worst of four grades."]
    for item in facts.evidence:
        if item["kind"] == "condition":
            told.append(f"The fault: {DEFECTS[DefectCode(item['defect'])]}.")
            if item["total"] > 1:
                told.append(f"It touches {run(item['cs4'], item['total'], system)}.")
    return told


def _response(facts: Facts, measured: Measured, system: System) -> list[str]:
    told = []
    then = measured.then
    if (
        then is not None
        and then.what == "reading"
        and None not in (measured.moved, measured.should, measured.temperature_c)
        and then.on is not None
    ):
        moved = amount(measured.quantity, measured.moved, system)
        should = amount(measured.quantity, measured.should, system)
        verb = "turned" if measured.quantity in (Q.TILT, Q.ROTATION) else "moved"
        cold, warm = then.temperature_c, measured.temperature_c
        told += [
            f"On {day(then.on)} the deck was at {temperature(cold, system)}. On"
            f" {day(measured.on)} it was at {temperature(warm, system)}.",
            f"In between it should have {verb} {should}. It {verb} {moved}.",
        ]
    else:
        told.append(f"It was measured on {facts.visits} visits, the last on {day(measured.on)}.")
    words = [text for item in facts.evidence if (text := _response_words(item))]
    return [*told, *words[:1]]


def _response_words(item: Mapping[str, Any]) -> str:
    if item["kind"] != "history":
        return ""
    match item["response"]:
        case ResponseWord.FROZEN:
            return "So it hardly moves at all."
        case ResponseWord.SLUGGISH | ResponseWord.SLUGGISH_OR_FROZEN:
            ratio = item["ratio"]
            if ratio is None or not 0.0 < ratio < 1.0:
                return "So it moves less than it should."
            return f"Over all visits it made about {share(ratio)} of the movement that it should."
        case ResponseWord.WRONG_SIGN:
            return "It seems to move the wrong way. That may be a slip in our files."
    return ""


def _limit(facts: Facts, measured: Measured | None) -> list[str]:
    reasons = 0 if measured is None else measured.reasons
    told = []
    if measured is not None and measured.quantity in TAKES:
        if reasons & (PAST | NEAR):
            end = "past" if reasons & PAST else "close to"
            told.append(f"That is {end} what the rules allow.")
    elif reasons & Reason.PAST_LIMIT_NOW:
        told.append(f"{ROOM} It has come to the end of its room.")
    elif reasons & PAST:
        when = "coldest" if reasons & Reason.PAST_LIMIT_AT_MIN else "hottest"
        told.append(
            f"{ROOM} On the {when} day that the bridge is built for it would come to the end of"
            " its room."
        )
    elif reasons & NEAR and measured is not None and measured.use is not None:
        told.append(
            f"{ROOM} Up to {share(measured.use)} of its room is used, now or on the worst day."
        )
    if any(item["kind"] == "capacity" for item in facts.evidence):
        told.append("A check by the rules asks more of it than it can give as it is now.")
    return told


def _over_years(facts: Facts, system: System) -> list[str]:
    told = []
    for item in facts.evidence:
        if item["kind"] != "history":
            continue
        years = item["limit_in_years"]
        if item["findings"] & Finding.REACHES_LIMIT and years is not None and years >= 0:
            when = "within a year" if years < 1 else f"in about {years:.0f} years"
            told.append(f"If it goes on like this, it reaches its end {when}.")
        # A step that may as well be a drift is evidence of a limit alone.
        stepped = facts.cause == FlagCause.POSITION and item["findings"] & Finding.STEP
        if stepped and item["step_size"] is not None and item["quantity"] in LENGTHS:
            told.append(
                f"It shifted by {length(item['step_size'], system)} all at once between two visits."
            )
    return list(dict.fromkeys(told))[:2]


def _since(facts: Facts, system: System) -> list[str]:
    """Return what became of it: back in range, read again, how often it was seen."""
    later = facts.later
    if later is not None and later.verdict == VerdictWord.CANNOT_JUDGE:
        return [
            f"It was measured again on {day(later.on)}. That reading could not be judged:"
            f" {why_not(later)}."
        ]
    if later is not None:
        word = (
            "was as it should be"
            if later.verdict == VerdictWord.IN_RANGE
            else "was still not as it should be"
        )
        told = [f"It was measured again on {day(later.on)} and {word}."]
        if later.verdict == VerdictWord.IN_RANGE and facts.measured and facts.measured.stands:
            told.append("At that temperature the fault could not show. So the finding stands.")
        return told
    if facts.state == FlagState.WITHDRAWN:
        return ["A record was put right since. No reading shows the fault any more."]
    measured = facts.measured
    if measured is not None and measured.verdict == VerdictWord.CANNOT_JUDGE:
        return [f"This reading could not be judged: {why_not(measured)}."]
    if facts.times_seen > 1 and facts.first_seen_on is not None:
        first = day(facts.first_seen_on)
        return [f"{facts.times_seen} visits have shown it, the first on {first}."]
    return []


def cause_words(facts: Facts) -> str:
    """Return what explains it best, in a sentence; empty where nothing does."""
    names = [name for each in facts.causes if (name := cause(each, facts.place))]
    if not names:
        return ""
    if facts.equal and len(names) > 1:
        return f"More than one cause fits the readings as well: {' or '.join(names[:2])}."
    if facts.equal:
        return f"One cause that fits the readings: {names[0]}."
    return f"The readings fit this cause best: {names[0]}."
