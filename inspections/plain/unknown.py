"""What is not known, in plain words: what the record lacks, and what would tell."""

from __future__ import annotations

import calendar

from inspections.models.choices import (
    ReadingQuantity,
    SettingFrom,
    TemperatureWay,
    VerdictWord,
)
from inspections.models.desk_choices import RUNNING, FlagCause, FlagState
from inspections.plain.amounts import day, temperature
from inspections.plain.facts import Facts, Measured
from inspections.plain.nouns import CALLED, IN_BRIEF, cause, part
from inspections.plain.readings import why_not
from inventory.models.choices import ElementKind
from inventory.units import System
from movement.results import Reason

FROM_AIR = (
    TemperatureWay.AIR_HISTORY,
    TemperatureWay.SHADE_AIR,
    TemperatureWay.HEAT_BALANCE,
    TemperatureWay.HEAT_BALANCE_AIR,
    TemperatureWay.HEAT_BALANCE_DAYS,
)
WIDE_K = 20.0
"""Readings that span less tell little of how something moves.  Judgement."""
ENDED = (FlagState.CLOSED, FlagState.WITHDRAWN)
DAMAGE = "Whether something is damaged where nobody can see it is not known."


def unknown(facts: Facts, system: System) -> list[str]:
    """Return the sentences, what matters most first."""
    measured = facts.later or facts.measured
    if facts.place is None:
        return ["Nothing is known of its bearings and joints until they are in our files."]
    if measured is None:
        told = ["Whether it moves as it should is not known, as it was never measured."]
    else:
        told = [*_of_reading(measured), *_cause(facts, system), *_span(facts, system)]
    told += _work(facts)
    if facts.state == FlagState.MENDED and not any(each.proved_on for each in facts.orders):
        told.append("Whether the work helped is not known before it is measured again.")
    if facts.state in ENDED:
        told.append("Whether the fault comes back is not known before the next visit.")
    else:
        told.append(DAMAGE)
    return told


def _of_reading(measured: Measured) -> list[str]:
    told = []
    if measured.verdict == VerdictWord.CANNOT_JUDGE:
        told.append(f"The last reading could not be judged: {why_not(measured)}.")
    elif measured.moves and measured.temperature_c is None:
        told.append("Nobody took the temperature. So how far it should have moved is not known.")
    if measured.way in FROM_AIR:
        told.append(
            "Only the temperature of the air is known. The deck may have been warmer or colder."
        )
    if measured.setting_from == SettingFrom.BASELINE:
        told.append(
            "How it was set when it was built is not known. Its first reading stands in for that."
        )
    if measured.reasons & Reason.NO_LIMITS and measured.verdict != VerdictWord.CANNOT_JUDGE:
        told.append("How far it may move is not in our files.")
    return told


def _cause(facts: Facts, system: System) -> list[str]:
    if facts.state in ENDED:
        return []
    if facts.cause in (FlagCause.CONDITION, FlagCause.CRITICAL):
        return ["What brought it about is not known."]
    told = []
    named = [each for each in facts.causes if cause(each, facts.place)]
    if facts.equal:
        told.append(
            "Which of the causes it is cannot be told yet."
            if len(named) > 1
            else "Other causes fit the readings as well."
        )
    elif named:
        told.append("The likeliest cause is not proved.")
    elif facts.cause:
        told.append("Why it is so is not known.")
    return [*told, *_proposal(facts, system)] if facts.cause else told


def _proposal(facts: Facts, system: System) -> list[str]:
    proposal = facts.proposal
    if proposal is None:
        return []
    if proposal.place is None or proposal.temperature_c is None:
        return ["No further reading can tell it. It takes a look at the bridge and at our files."]
    at = temperature(proposal.temperature_c, system)
    when = f" as on a usual day in {calendar.month_name[proposal.month]}" if proposal.month else ""
    rare = ", which may not come for years" if proposal.rare else ""
    name = part(proposal.place)
    if facts.place is None or facts.place.kind != proposal.place.kind:
        name += f" ({IN_BRIEF[ElementKind(proposal.place.kind)]})"
    what = CALLED[ReadingQuantity(proposal.quantity)].format(name)
    return [
        f"One more reading would tell most: {what}. It is to be taken with the deck near"
        f" {at}{when}{rare}."
    ]


def _span(facts: Facts, system: System) -> list[str]:
    if facts.measured is not None and not facts.measured.moves:
        return []
    if facts.visits == 1:
        return ["It was measured on one visit only."]
    if facts.coldest_c is None or facts.hottest_c is None:
        return []
    if facts.hottest_c - facts.coldest_c >= WIDE_K:
        return []
    return [
        f"All readings were taken between {temperature(facts.coldest_c, system)} and"
        f" {temperature(facts.hottest_c, system)}. How it moves on a much colder or hotter day is"
        " not known."
    ]


def _work(facts: Facts) -> list[str]:
    running = [each for each in facts.orders if each.state in RUNNING]
    if facts.state == FlagState.IN_WORK and not running:
        return ["When the work will be done and what it will cost is not known."]
    told = []
    if any(each.planned_on is None for each in running):
        told.append("When the work will be done is not known.")
    if any(not each.estimate for each in running):
        told.append("What the work will cost is not known.")
    if facts.state in (FlagState.OPEN, FlagState.BACK) and not running:
        told.append("Whether work is needed, and what it would cost, is not decided.")
    if facts.evidence_changed and facts.decided is not None:
        told.append(f"Whether the decision of {day(facts.decided.on)} still holds is not known.")
    return told
