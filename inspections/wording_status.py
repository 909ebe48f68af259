"""Why an element has its status: its last reading, its history, or its whole unit."""

from __future__ import annotations

from inspections import wording
from inspections.models import ElementStatus, Verdict
from inspections.models.choices import CauseWord, RaisedBy, VerdictWord
from inspections.wording_causes import HEADLINE
from inspections.wording_explanation import evidence, explanation_in_short
from inspections.wording_figures import as_sentence
from inspections.wording_history import history_in_short, history_sentence
from inventory.units import System, shown
from movement.concrete import BARRING, ShorteningNote

SHORTENING_NOTES = {
    ShorteningNote.NO_STRENGTH: "the strength of the concrete",
    ShorteningNote.NO_HUMIDITY: "the humidity of the place",
    ShorteningNote.NO_SIZE: "the notional size",
    ShorteningNote.NO_CURING_AGE: "the age at the end of curing",
    ShorteningNote.NO_STRESS: "the axial compression",
    ShorteningNote.NO_LOADING_AGE: "the age at loading",
    ShorteningNote.NO_AGE: "the age of the concrete at setting and reading",
    ShorteningNote.STRENGTH_OUTSIDE: "a strength within the range of the rule",
    ShorteningNote.HUMIDITY_OUTSIDE: "a humidity within the range of the rule",
    ShorteningNote.SIZE_OUTSIDE: "a notional size within the range of the rule",
    ShorteningNote.LOADING_AGE_OUTSIDE: "an age at loading within the range of the rule",
}
SHORTENING_ASIDES = {
    ShorteningNote.STRESS_NOT_LINEAR: "the compression is too high for creep in proportion to it",
    ShorteningNote.MODULUS_FROM_RULE: "modulus by the rule",
    ShorteningNote.STRENGTH_AT_LOADING_ASSUMED: "strength when loaded taken as 0.80 of that at"
    " 28 days",
    ShorteningNote.SIZE_BEYOND_TESTS: "the section is thicker than any the rule was tested on",
}


def status_sentence(status: ElementStatus | None, system: System) -> str:
    """Return the whole reason of a status: what raised it first, then its deciding reading."""
    if status is None or (status.deciding is None and not status.raised_by):
        return wording.NEVER_READ
    reading = wording.sentence(status.deciding, system) if status.deciding else ""
    raised = raised_sentence(status, system)
    if not raised:
        return reading
    return f"{raised} Its reading by itself: {reading}" if reading else raised


def raised_sentence(status: ElementStatus, system: System) -> str:
    """Return what raised a status above its own reading; empty where nothing did."""
    word = VerdictWord(status.verdict).label.lower()
    if status.raised_by == RaisedBy.HISTORY and status.history is not None:
        where = wording.name_of(status.history)
        told = history_sentence(status.history, system)
        return f"{_raised(word, 'its history')} {where}: {told[:1].lower()}{told[1:]}"
    if status.raised_by == RaisedBy.UNIT and status.explanation is not None:
        row = status.explanation
        headline = as_sentence(HEADLINE[CauseWord(row.cause)](row))
        told = evidence(row, row.diagnosis, system)
        return f"{_raised(word, 'the readings of its whole unit')} {headline} {told}"
    if status.raised_by:
        return _raised(word, RaisedBy(status.raised_by).label.lower())
    return ""


def status_in_short(status: ElementStatus | None) -> str:
    """Return the weightiest reasons of a status in a few words."""
    if status is None:
        return "never measured"
    reading = "never measured" if status.deciding is None else wording.in_short(status.deciding)
    cause = cause_in_short(status)
    if not cause:
        return reading
    flagged = status.deciding is not None and status.deciding.verdict in (
        VerdictWord.WATCH,
        VerdictWord.OUT_OF_RANGE,
    )
    return f"{cause}; {reading}" if flagged else cause


def cause_in_short(status: ElementStatus) -> str:
    """Return what raised a status, in a few words; empty where its reading decides alone."""
    if status.raised_by == RaisedBy.HISTORY and status.history is not None:
        return f"{history_in_short(status.history) or 'its history'} (history)"
    if status.raised_by == RaisedBy.UNIT and status.explanation is not None:
        return f"{explanation_in_short(status.explanation)} (whole unit)"
    return ""


def shortening_words(verdict: Verdict, system: System) -> str:
    """Return creep and shrinkage's part of the expected value; empty where none is reckoned."""
    notes = ShorteningNote(verdict.shortening_notes)
    if verdict.shortening is None:
        lacks = [words for bit, words in SHORTENING_NOTES.items() if notes & bit & BARRING]
        if not lacks:
            return ""
        return f"creep and shrinkage not reckoned: needs {', '.join(lacks)}"
    dimension = wording.dimension_of(verdict)
    told = f"{shown(verdict.shortening, dimension, system, sign=True)} of it creep and shrinkage"
    if verdict.u_shortening is not None:
        told += f" (standard uncertainty {shown(verdict.u_shortening, dimension, system)})"
    asides = [words for bit, words in SHORTENING_ASIDES.items() if notes & bit]
    return f"{told}; {', '.join(asides)}" if asides else told


def _raised(word: str, by: str) -> str:
    return f"{word.capitalize()} because of {by}."
