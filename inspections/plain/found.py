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
from inspections.plain.amounts import alike, amount, apart, day, length, share, temperature
from inspections.plain.facts import Facts, Measured
from inspections.plain.nouns import DECK, DEFECTS, cause, explained, part
from inspections.services.seen_causes import NEAR, PAST
from inventory.units import System
from movement.results import Reason

NEVER = "It has not been measured yet."
QUOTED = 160
"""Characters at most of what a crew wrote in its own words."""
FAR, START = "towards the far end", "towards the start of the bridge"
ROOM = "Such a part can move only so far."
Q = ReadingQuantity
TAKES = (Q.BROKEN_RODS, Q.ROD_TENSION, Q.SLIDING_GAP, Q.BULGE)
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
        told += _condition(facts)
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
        f"A critical finding stands: on {day(last.found_on)} a crew saw something that cannot wait."
    )


def _quoted(facts: Facts) -> str:
    what = " ".join(facts.critical[0].what.split()) if facts.critical else ""
    if not what:
        what = next((item["what"] for item in facts.evidence if item["kind"] == "critical"), "")
    cut = what if len(what) <= QUOTED else f"{what[: QUOTED - 1].rstrip()}…"
    return f"The crew wrote: «{cut}»"


def _condition(facts: Facts) -> list[str]:
    told = ["A crew graded it by eye. Part of it got the worst of four grades."]
    for item in facts.evidence:
        if item["kind"] == "condition":
            told.append(f"The fault: {DEFECTS[DefectCode(item['defect'])]}.")
            if item["total"] > 1:
                told.append(f"It touches {item['cs4']} of {item['total']} metres.")
    return told


def reading(measured: Measured, system: System) -> list[str]:
    """Return what was read, and what it should have been."""
    at = _at(measured, system)
    head = f"It was measured on {day(measured.on)}{at}."
    value = amount(measured.quantity, measured.value, system)
    expected = (
        None if measured.expected is None else amount(measured.quantity, measured.expected, system)
    )
    quantity = Q(measured.quantity)
    if quantity in (Q.GAP, Q.KEY_GAP):
        return [head, *_gap(measured, value, expected, system)]
    if quantity in (Q.OFFSET_ALONG, Q.OFFSET_ACROSS, Q.TILT, Q.ROTATION):
        return [head, *_offset(measured, value, expected, system)]
    return [head, *_other(measured, value, expected)]


def _at(measured: Measured, system: System) -> str:
    if measured.temperature_c is None:
        return ""
    return f", when the deck was at {temperature(measured.temperature_c, system)}"


def _gap(measured: Measured, value: str, expected: str | None, system: System) -> list[str]:
    what = "gap" if measured.quantity == Q.GAP else "free space beside it"
    touching = measured.quantity == Q.KEY_GAP and measured.value < 0.5
    told = [f"There was no {what} left." if touching else f"The {what} was {value}."]
    if expected is None or measured.expected is None:
        return told
    off = measured.value - measured.expected
    if alike(measured.quantity, measured.value, measured.expected, system):
        return [*told, f"It should have been {expected}, so this is as it should be."]
    word = "wide" if off > 0 else "narrow"
    away = apart(measured.quantity, measured.value, measured.expected, system)
    return [*told, f"It should have been {expected}. So it was {away} too {word}."]


def _offset(measured: Measured, value: str, expected: str | None, system: System) -> list[str]:
    quantity = Q(measured.quantity)
    leans = quantity in (Q.TILT, Q.ROTATION)
    then = measured.then
    if then is not None and measured.moved is not None and measured.should is not None:
        since = {
            "setting": "Since it was built in",
            "first": "Since it was first measured",
            "reading": f"Since {day(then.on)}" if then.on else "Since then",
        }[then.what]
        verb = "turned" if leans else "moved"
        moved = amount(measured.quantity, measured.moved, system)
        should = amount(measured.quantity, measured.should, system)
        told = [
            f"{since} it should have {verb} {should}{_way(quantity, measured.should)}.",
            f"It {verb} {moved}{_way(quantity, measured.moved)}."
            if abs(measured.moved) > 0.0
            else f"It has not {verb} at all.",
        ]
        if alike(measured.quantity, measured.moved, measured.should, system):
            return [*told, "So this is as it should be."]
        away = apart(measured.quantity, measured.moved, measured.should, system)
        if then.what == "reading":
            return told
        return [*told, f"So it was {away} away from where it should be."]
    stood = "leaned" if leans else "stood"
    told = [f"It {stood} {value} away from its middle mark."]
    if expected is None:
        return told
    return [*told, f"It should have been {expected}."]


def _way(quantity: Q, value: float) -> str:
    """Return which way something went; nothing where it did not go."""
    if abs(value) < 1e-9:
        return ""
    if quantity == Q.OFFSET_ACROSS:
        return " to the left" if value > 0 else " to the right"
    return f" {FAR if value > 0 else START}"


def _other(measured: Measured, value: str, expected: str | None) -> list[str]:
    match Q(measured.quantity):
        case Q.PROJECTION:
            told = [f"The end of a rod stood out {value}."]
            return [*told, f"It should stand out {expected}."] if expected else told
        case Q.SLIP:
            return [f"It had slipped {value}.", "It should not slip at all."]
        case Q.BROKEN_RODS:
            count = round(measured.value)
            if count == 0:
                return ["No rod was broken or missing."]
            return [f"{count} rod{'s were' if count > 1 else ' was'} broken or missing."]
        case Q.ROD_TENSION:
            return _tension(measured)
        case Q.SLIDING_GAP:
            return [
                f"It slides on a thin sheet. The sheet stood out only {value}, as it wears away."
            ]
        case Q.PLATE_OVERLAP:
            return [f"Its upper plate reached {value} beyond the sheet on which it slides."]
        case _:
            return [f"Its rubber bulged by {value}."]


def _tension(measured: Measured) -> list[str]:
    if measured.use is None:
        return ["The pull in its rods was measured."]
    return [f"Its rods have lost {share(measured.use)} of the pull they were given."]


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
    words = [_response_words(item) for item in facts.evidence]
    return [*told, *dict.fromkeys(each for each in words if each)][:4]


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
            end = "more than" if reasons & PAST else "close to the most that"
            told.append(f"That is {end} it can take by the rules.")
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
        if years is not None and years >= 0:
            when = "within a year" if years < 1 else f"in about {years:.0f} years"
            told.append(f"If it goes on like this, it reaches its end {when}.")
        if item["step_size"] is not None and item["quantity"] in (Q.OFFSET_ALONG, Q.GAP):
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


def why_not(measured: Measured) -> str:
    """Return why a reading could not be judged."""
    if measured.reasons & Reason.NO_TEMPERATURE:
        return "nobody took the temperature with it"
    if measured.reasons & Reason.NO_SETTING:
        return "our files do not say how the part was set"
    if measured.reasons & Reason.NO_LIMITS:
        return "our files do not say how far it may move"
    if measured.reasons & Reason.NO_EXPANSION:
        return "our files do not say where the deck is held"
    if measured.reasons & Reason.NO_EXTREMES:
        return "our files do not say how hot and cold it gets there"
    return "something it needs is not in our files"


def cause_words(facts: Facts) -> str:
    """Return what explains it best, in a sentence; empty where nothing does."""
    names = [name for each in facts.causes if (name := cause(each, facts.place))]
    if not names:
        return ""
    if facts.equal and len(names) > 1:
        return f"More than one cause fits the readings as well: {' or '.join(names[:2])}."
    return f"The readings fit this cause best: {names[0]}."
