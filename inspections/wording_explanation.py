"""What the readings of a whole unit say together, with the evidence and the runner-up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as mark
from django.utils.translation import ngettext

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
from inspections.wording_figures import OR, as_sentence, difference, going_on, joined, odds, times
from inventory.units import System
from inventory.words import in_sentence
from movement.whole_bridge.results import Missing

MISSING = {
    Missing.READINGS: mark("no reading of it can be used yet"),
    Missing.TEMPERATURES: mark("some visits have no effective temperature"),
    Missing.LEVERS: mark(
        "the register does not say how some elements should move: enter the thermal"
        " fixed point, and the radius of rockers"
    ),
    Missing.VISITS: mark(
        "one visit says nothing without a setting to compare it with: measure once more"
    ),
    Missing.TEMPERATURE_RANGE: mark(
        "the temperatures of the visits lie too close together to show a frozen bearing"
    ),
}
MEASURE_APART = mark(
    "Measure all elements of the unit in one visit at another temperature; that tells these apart"
)
_FITS = mark(
    "The readings %(of_visits)s fit a unit in good order; no fault explains them better, once it"
    " is weighed how rare faults are."
)
_CANNOT_TELL = {
    2: mark("Cannot tell: two explanations fit about equally well"),
    3: mark("Cannot tell: three explanations fit about equally well"),
}


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
            _("Not enough information"),
            as_sentence(reason),
            [],
            "",
            _measure(diagnosis, system),
        )
    if outcome == DiagnosisWord.HEALTHY:
        near = _nearest(ranked)
        reason = _(_FITS) % {"of_visits": _of_visits(diagnosis)}
        return UnitTold(diagnosis, _("Nothing wrong"), reason, [], near, [])
    count = max(diagnosis.equal, 1)
    leading, rest = ranked[:count], ranked[count:]
    told = [tell(each, diagnosis, system) for each in [*leading, *second]]
    if outcome == DiagnosisWord.CANNOT_TELL:
        steps = [*dict.fromkeys(each.next for each in told), as_sentence(_(MEASURE_APART))]
        headline = _cannot_tell(len(leading))
        return UnitTold(diagnosis, headline, "", told, runner_up(leading, rest), steps)
    headline = told[0].headline if told else outcome.label
    if second:
        beside = HEADLINE[CauseWord(second[0].cause)](second[0])
        if beside.startswith(("The ", "A ", "Check ")):
            beside = going_on(beside)
        headline = _("%(headline)s. Beside it: %(beside)s") % {
            "headline": headline,
            "beside": beside,
        }
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
    told = _("The readings %(of_visits)s are %(times)s times likelier with %(cause)s than %(than)s")
    told %= {
        "of_visits": _of_visits(diagnosis),
        "times": times(row.log_ratio),
        "cause": SUBJECT[CauseWord(row.cause)](row),
        "than": _("without it") if row.beside else _("with nothing wrong"),
    }
    details = [part for part in (size_words(row, system), dates_words(row)) if part]
    if details:
        told += f"; {', '.join(details)}"
    if row.beside:
        return f"{told}."
    weighed = _("Weighing how rare it is: %(odds)s against nothing wrong.")
    return f"{told}. {weighed % {'odds': odds(row.odds_log)}}"


def runner_up(leading: Sequence[Explanation], rest: Sequence[Explanation]) -> str:
    """Return what comes next, and by how much it fits less."""
    if not leading:
        return ""
    if not rest:
        return _("No other single cause comes near.")
    first, following = leading[0], rest[0]
    name = SUBJECT[CauseWord(following.cause)](following)
    less = times(first.odds_log - following.odds_log)
    return _("Runner-up: %(cause)s, %(times)s times less likely.") % {"cause": name, "times": less}


def explanation_in_short(row: Explanation) -> str:
    """Return an explanation in a few words, for lists."""
    cause = CauseWord(row.cause)
    words = _(IN_SHORT[cause])
    if cause == CauseWord.SUPPORT_MOVED and row.support:
        return _("support %(code)s moved") % {"code": row.support.code}
    if cause == CauseWord.WRONG_TEMPERATURE and row.visit:
        return _("wrong temperature on %(day)s") % {"day": f"{row.visit.date:%Y-%m-%d}"}
    if cause in REGISTER_CAUSES:
        place = row.support or row.element
        return f"{words}, {place.code}" if place else words
    return f"{row.element.code} {words}" if row.element else words


def diagnosis_in_short(diagnosis: UnitDiagnosis) -> str:
    """Return the outcome in a few words, for a table."""
    outcome = DiagnosisWord(diagnosis.outcome)
    if outcome not in (DiagnosisWord.EXPLAINED, DiagnosisWord.CANNOT_TELL):
        return in_sentence(outcome.label)
    ranked = [
        each
        for each in sorted(diagnosis.explanations.all(), key=lambda each: each.rank)
        if not each.beside and each.cause != CauseWord.HEALTHY
    ]
    names = [explanation_in_short(each) for each in ranked[: max(diagnosis.equal, 1)]]
    if outcome == DiagnosisWord.CANNOT_TELL:
        return _("cannot tell: %(causes)s") % {"causes": joined(names, OR)}
    beside = [
        explanation_in_short(each)
        for each in diagnosis.explanations.all()
        if each.beside and each.cause != CauseWord.HEALTHY
    ]
    told = joined(names)
    for each in beside:
        told = _("%(cause)s, and beside it %(other)s") % {"cause": told, "other": each}
    return told


def missing_words(diagnosis: UnitDiagnosis, system: System) -> list[str]:
    """Return what is missing."""
    found = Missing(diagnosis.missing)
    return [_(words) for bit, words in MISSING.items() if found & bit] or [
        _("too little is known of it yet")
    ]


def _measure(diagnosis: UnitDiagnosis, system: System) -> list[str]:
    """Return what to measure so that something can be said."""
    needed = diagnosis.range_needed_k
    if needed is not None:
        told = _(
            "Measure all its elements in one visit so that the visits span %(needed)s of effective"
            " temperature; they span %(now)s now."
        )
        now = difference(diagnosis.spread_k or 0.0, system)
        return [told % {"needed": difference(needed, system), "now": now}]
    return [_("Measure all its elements in one visit, with a temperature.")]


def _nearest(ranked: Sequence[Explanation]) -> str:
    if not ranked:
        return ""
    first = ranked[0]
    return _("Nearest to it: %(cause)s, at odds of %(odds)s.") % {
        "cause": SUBJECT[CauseWord(first.cause)](first),
        "odds": odds(first.odds_log),
    }


def _of_visits(diagnosis: UnitDiagnosis) -> str:
    count = diagnosis.visits
    return ngettext("of %(count)s visit", "of %(count)s visits", count) % {"count": count}


def readings_words(diagnosis: UnitDiagnosis) -> str:
    """Return how many readings of how many visits it rests on."""
    count = diagnosis.readings
    told = ngettext("%(count)s reading", "%(count)s readings", count) % {"count": count}
    return f"{told} {_of_visits(diagnosis)}"


def _cannot_tell(count: int) -> str:
    if count in _CANNOT_TELL:
        return _(_CANNOT_TELL[count])
    told = _("Cannot tell: %(count)s explanations fit about equally well")
    return told % {"count": count}
