"""What was found, in plain words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

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

NEVER = gettext_lazy("It has not been measured yet.")
QUOTED = 160
"""Characters at most of what a crew wrote in its own words."""
ROOM = gettext_lazy("Such a part can move only so far.")
Q = ReadingQuantity
LENGTHS = (Q.OFFSET_ALONG, Q.OFFSET_ACROSS, Q.GAP)
TAKES = (Q.BROKEN_RODS, Q.ROD_TENSION, Q.SLIDING_GAP, Q.BULGE, Q.LEVEL_STEP)
"""Quantities whose limit is no end of a way."""


def found(facts: Facts, system: System) -> list[str]:
    """Return the sentences, what matters most first."""
    told = [critical_stands(facts)] if facts.critical else []
    place = facts.place
    if place is None:
        none = _("No part of %(bridge)s is in our files yet.") % {"bridge": facts.bridge}
        return [*told, none]
    if not facts.cause and not facts.other_flags:
        told.append(_("Nothing was found that needs a decision."))
    about = _("This page is about %(part)s.") % {"part": part(place)}
    told += [about, explained(place), str(DECK)]
    if facts.cause == FlagCause.CRITICAL:
        told += [_quoted(facts)]
    elif facts.cause == FlagCause.CONDITION:
        told += _condition(facts, system)
    measured = facts.measured
    if measured is None:
        told.append(str(NEVER))
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
    return _(
        "A critical finding stands on this bridge: on %(day)s a crew saw something that cannot"
        " wait."
    ) % {"day": day(last.found_on)}


def _quoted(facts: Facts) -> str:
    of_flag = (item["what"] for item in facts.evidence if item["kind"] == "critical")
    what = " ".join(next(of_flag, facts.critical[0].what if facts.critical else "").split())
    cut = what if len(what) <= QUOTED else f"{what[: QUOTED - 1].rstrip()}…"
    return _("The crew wrote: «%(words)s»") % {"words": cut}


def _condition(facts: Facts, system: System) -> list[str]:
    told = [_("A crew graded it by eye. Part of it got the worst of four grades.")]
    for item in facts.evidence:
        if item["kind"] == "condition":
            fault = DEFECTS[DefectCode(item["defect"])]
            told.append(_("The fault: %(fault)s.") % {"fault": fault})
            if item["total"] > 1:
                much = run(item["cs4"], item["total"], system)
                told.append(_("It touches %(much)s.") % {"much": much})
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
        values = {
            "then": day(then.on),
            "at_then": temperature(then.temperature_c, system),
            "day": day(measured.on),
            "at": temperature(measured.temperature_c, system),
            "should": amount(measured.quantity, measured.should, system),
            "moved": amount(measured.quantity, measured.moved, system),
        }
        warmth = _("On %(then)s the deck was at %(at_then)s. On %(day)s it was at %(at)s.")
        between = (
            _("In between it should have turned %(should)s. It turned %(moved)s.")
            if measured.quantity in (Q.TILT, Q.ROTATION)
            else _("In between it should have moved %(should)s. It moved %(moved)s.")
        )
        told += [warmth % values, between % values]
    else:
        told.append(
            _("It was measured on %(count)s visits, the last on %(day)s.")
            % {"count": facts.visits, "day": day(measured.on)}
        )
    words = [text for item in facts.evidence if (text := _response_words(item))]
    return [*told, *words[:1]]


def _response_words(item: Mapping[str, Any]) -> str:
    if item["kind"] != "history":
        return ""
    match item["response"]:
        case ResponseWord.FROZEN:
            return _("So it hardly moves at all.")
        case ResponseWord.SLUGGISH | ResponseWord.SLUGGISH_OR_FROZEN:
            ratio = item["ratio"]
            if ratio is None or not 0.0 < ratio < 1.0:
                return _("So it moves less than it should.")
            return _("Over all visits it made about %(share)s of the movement that it should.") % {
                "share": share(ratio)
            }
        case ResponseWord.WRONG_SIGN:
            return _("It seems to move the wrong way. That may be a slip in our files.")
    return ""


def _limit(facts: Facts, measured: Measured | None) -> list[str]:
    reasons = 0 if measured is None else measured.reasons
    told = []
    if measured is not None and measured.quantity in TAKES:
        if reasons & (PAST | NEAR):
            told.append(
                _("That is past what the rules allow.")
                if reasons & PAST
                else _("That is close to what the rules allow.")
            )
    elif reasons & Reason.PAST_LIMIT_NOW:
        ended = _("It has come to the end of its room.")
        told.append(f"{ROOM} {ended}")
    elif reasons & PAST:
        end = (
            _(
                "On the coldest day that the bridge is built for it would come to the end of its"
                " room."
            )
            if reasons & Reason.PAST_LIMIT_AT_MIN
            else _(
                "On the hottest day that the bridge is built for it would come to the end of its"
                " room."
            )
        )
        told.append(f"{ROOM} {end}")
    elif reasons & NEAR and measured is not None and measured.use is not None:
        used = _("Up to %(share)s of its room is used, now or on the worst day.")
        told.append(f"{ROOM} {used % {'share': share(measured.use)}}")
    if any(item["kind"] == "capacity" for item in facts.evidence):
        told.append(_("A check by the rules asks more of it than it can give as it is now."))
    return told


def _over_years(facts: Facts, system: System) -> list[str]:
    told = []
    for item in facts.evidence:
        if item["kind"] != "history":
            continue
        years = item["limit_in_years"]
        if item["findings"] & Finding.REACHES_LIMIT and years is not None and years >= 0:
            ends = (
                _("If it goes on like this, it reaches its end within a year.")
                if years < 1
                else _("If it goes on like this, it reaches its end in about %(years)s years.")
            )
            told.append(ends % {"years": f"{years:.0f}"})
        # A step that may as well be a drift is evidence of a limit alone.
        stepped = facts.cause == FlagCause.POSITION and item["findings"] & Finding.STEP
        if stepped and item["step_size"] is not None and item["quantity"] in LENGTHS:
            told.append(
                _("It shifted by %(size)s all at once between two visits.")
                % {"size": length(item["step_size"], system)}
            )
    return list(dict.fromkeys(told))[:2]


def _since(facts: Facts, system: System) -> list[str]:
    """Return what became of it: back in range, read again, how often it was seen."""
    later = facts.later
    if later is not None and later.verdict == VerdictWord.CANNOT_JUDGE:
        again = _("It was measured again on %(day)s. That reading could not be judged: %(why)s.")
        return [again % {"day": day(later.on), "why": why_not(later)}]
    if later is not None:
        again = (
            _("It was measured again on %(day)s and was as it should be.")
            if later.verdict == VerdictWord.IN_RANGE
            else _("It was measured again on %(day)s and was still not as it should be.")
        )
        told = [again % {"day": day(later.on)}]
        if later.verdict == VerdictWord.IN_RANGE and facts.measured and facts.measured.stands:
            told.append(_("At that temperature the fault could not show. So the finding stands."))
        return told
    if facts.state == FlagState.WITHDRAWN:
        return [_("A record was put right since. No reading shows the fault any more.")]
    measured = facts.measured
    if measured is not None and measured.verdict == VerdictWord.CANNOT_JUDGE:
        return [_("This reading could not be judged: %(why)s.") % {"why": why_not(measured)}]
    if facts.times_seen > 1 and facts.first_seen_on is not None:
        told_often = _("%(count)s visits have shown it, the first on %(day)s.")
        return [told_often % {"count": facts.times_seen, "day": day(facts.first_seen_on)}]
    return []


def cause_words(facts: Facts) -> str:
    """Return what explains it best, in a sentence; empty where nothing does."""
    names = [name for each in facts.causes if (name := cause(each, facts.place))]
    if not names:
        return ""
    if facts.equal and len(names) > 1:
        two = {"one": names[0], "other": names[1]}
        return _("More than one cause fits the readings as well: %(one)s or %(other)s.") % two
    if facts.equal:
        return _("One cause that fits the readings: %(cause)s.") % {"cause": names[0]}
    return _("The readings fit this cause best: %(cause)s.") % {"cause": names[0]}
