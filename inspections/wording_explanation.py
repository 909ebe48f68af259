"""What the readings of a whole unit say together, with the evidence and the runner-up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from inspections.models import Explanation, UnitDiagnosis
from inspections.models.choices import CauseWord, DiagnosisWord
from inspections.wording_causes import (
    HEADLINE,
    IN_SHORT,
    NEXT,
    REGISTER_CAUSES,
    SUBJECT,
    dates_words,
    size_words,
)
from inspections.wording_figures import as_sentence, difference, joined, odds, times
from inventory.units import System
from movement.whole_bridge.results import Missing

MISSING = {
    Missing.READINGS: "no reading of it can be used yet",
    Missing.TEMPERATURES: "some visits have no effective temperature",
    Missing.LEVERS: "the register does not say how some elements should move: enter the thermal"
    " fixed point, and the radius of rockers",
    Missing.VISITS: "one visit says nothing without a setting to compare it with: measure once"
    " more",
    Missing.TEMPERATURE_RANGE: "the temperatures of the visits lie too close together to show a"
    " frozen bearing",
}
MEASURE_APART = (
    "Measure all elements of the unit in one visit at another temperature; that tells these apart"
)


@dataclass(frozen=True, slots=True)
class Told:
    """One explanation in words."""

    row: Explanation
    headline: str
    evidence: str
    next: str
    check_register: bool


@dataclass(frozen=True, slots=True)
class UnitTold:
    """What is told of a unit: a headline, its explanations, the runner-up and what comes next."""

    diagnosis: UnitDiagnosis
    headline: str
    reason: str
    explanations: list[Told]
    runner_up: str
    next: list[str]


def tell_unit(diagnosis: UnitDiagnosis, system: System) -> UnitTold:
    """Return what a diagnosis says, from its rows with their joins done."""
    rows = sorted(diagnosis.explanations.all(), key=lambda each: (each.beside, each.rank))
    ranked = [each for each in rows if not each.beside and each.cause != CauseWord.HEALTHY]
    second = [each for each in rows if each.beside and each.cause != CauseWord.HEALTHY]
    outcome = DiagnosisWord(diagnosis.outcome)
    if outcome == DiagnosisWord.NOT_ENOUGH:
        reason = joined(missing_words(diagnosis, system))
        return UnitTold(
            diagnosis,
            "Not enough information",
            as_sentence(reason),
            [],
            "",
            _measure(diagnosis, system),
        )
    if outcome == DiagnosisWord.HEALTHY:
        near = _nearest(ranked)
        reason = (
            f"The readings of {_visits(diagnosis)} fit a unit in good order; no fault explains"
            " them better, once it is weighed how rare faults are."
        )
        return UnitTold(diagnosis, "Nothing wrong", reason, [], near, [])
    count = max(diagnosis.equal, 1)
    leading, rest = ranked[:count], ranked[count:]
    told = [tell(each, diagnosis, system) for each in [*leading, *second]]
    if outcome == DiagnosisWord.CANNOT_TELL:
        headline = f"Cannot tell: {_number(len(leading))} explanations fit about equally well"
        steps = [*dict.fromkeys(each.next for each in told), as_sentence(MEASURE_APART)]
        return UnitTold(diagnosis, headline, "", told, runner_up(leading, rest), steps)
    headline = told[0].headline if told else outcome.label
    if second:
        beside = HEADLINE[CauseWord(second[0].cause)](second[0])
        if beside.startswith(("The ", "A ", "Check ")):
            beside = f"{beside[:1].lower()}{beside[1:]}"
        headline += f". Beside it: {beside}"
    return UnitTold(
        diagnosis, headline, "", told, runner_up(leading, rest),
        list(dict.fromkeys(each.next for each in told)),
    )  # fmt: skip


def tell(row: Explanation, diagnosis: UnitDiagnosis, system: System) -> Told:
    """Return one explanation with its evidence."""
    cause = CauseWord(row.cause)
    return Told(
        row,
        HEADLINE[cause](row),
        evidence(row, diagnosis, system),
        as_sentence(NEXT[cause](row)) if cause in NEXT else "",
        cause in REGISTER_CAUSES,
    )


def evidence(row: Explanation, diagnosis: UnitDiagnosis, system: System) -> str:
    """Return how much likelier the readings are with it, its size and since when."""
    than = "without it" if row.beside else "with nothing wrong"
    told = (
        f"The readings of {_visits(diagnosis)} are {times(row.log_ratio)} times likelier with"
        f" {SUBJECT[CauseWord(row.cause)](row)} than {than}"
    )
    details = [part for part in (size_words(row, system), dates_words(row)) if part]
    if details:
        told += f"; {', '.join(details)}"
    if row.beside:
        return f"{told}."
    return f"{told}. Weighing how rare it is: {odds(row.odds_log)} against nothing wrong."


def runner_up(leading: Sequence[Explanation], rest: Sequence[Explanation]) -> str:
    """Return what comes next, and by how much it fits less."""
    if not leading:
        return ""
    if not rest:
        return "No other single cause comes near."
    first, following = leading[0], rest[0]
    name = SUBJECT[CauseWord(following.cause)](following)
    less = times(first.odds_log - following.odds_log)
    return f"Runner-up: {name}, {less} times less likely."


def explanation_in_short(row: Explanation) -> str:
    """Return an explanation in a few words, for lists."""
    cause = CauseWord(row.cause)
    words = IN_SHORT[cause]
    if cause == CauseWord.SUPPORT_MOVED and row.support:
        return f"support {row.support.code} moved"
    if cause == CauseWord.WRONG_TEMPERATURE and row.visit:
        return f"wrong temperature on {row.visit.date:%Y-%m-%d}"
    if cause in REGISTER_CAUSES:
        place = row.support or row.element
        return f"{words}, {place.code}" if place else words
    return f"{row.element.code} {words}" if row.element else words


def diagnosis_in_short(diagnosis: UnitDiagnosis) -> str:
    """Return the outcome in a few words, for a table."""
    outcome = DiagnosisWord(diagnosis.outcome)
    if outcome not in (DiagnosisWord.EXPLAINED, DiagnosisWord.CANNOT_TELL):
        return outcome.label.lower()
    ranked = [
        each
        for each in sorted(diagnosis.explanations.all(), key=lambda each: each.rank)
        if not each.beside and each.cause != CauseWord.HEALTHY
    ]
    names = [explanation_in_short(each) for each in ranked[: max(diagnosis.equal, 1)]]
    if outcome == DiagnosisWord.CANNOT_TELL:
        return f"cannot tell: {joined(names, 'or')}"
    beside = [
        explanation_in_short(each)
        for each in diagnosis.explanations.all()
        if each.beside and each.cause != CauseWord.HEALTHY
    ]
    return ", and beside it ".join([joined(names), *beside])


def missing_words(diagnosis: UnitDiagnosis, system: System) -> list[str]:
    """Return what is missing."""
    found = Missing(diagnosis.missing)
    return [words for bit, words in MISSING.items() if found & bit] or [
        "too little is known of it yet"
    ]


def _measure(diagnosis: UnitDiagnosis, system: System) -> list[str]:
    """Return what to measure so that something can be said."""
    needed = diagnosis.range_needed_k
    if needed is not None:
        reach = difference(needed, system)
        return [
            f"Measure all its elements in one visit so that the visits span {reach} of effective"
            f" temperature; they span {difference(diagnosis.spread_k or 0.0, system)} now."
        ]
    return ["Measure all its elements in one visit, with a temperature."]


def _nearest(ranked: Sequence[Explanation]) -> str:
    if not ranked:
        return ""
    first = ranked[0]
    return (
        f"Nearest to it: {SUBJECT[CauseWord(first.cause)](first)}, at odds of"
        f" {odds(first.odds_log)}."
    )


def _visits(diagnosis: UnitDiagnosis) -> str:
    return f"{diagnosis.visits} visit{'s' * (diagnosis.visits != 1)}"


def readings_words(diagnosis: UnitDiagnosis) -> str:
    """Return how many readings of how many visits it rests on."""
    return f"{diagnosis.readings} reading{'s' * (diagnosis.readings != 1)} of {_visits(diagnosis)}"


def _number(count: int) -> str:
    return {2: "two", 3: "three"}.get(count, str(count))
