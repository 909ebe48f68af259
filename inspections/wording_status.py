"""Why an element has its status: its last reading, its history, or its whole unit."""

from __future__ import annotations

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as mark

from inspections import wording
from inspections.models import ElementStatus, Verdict
from inspections.models.choices import CauseWord, RaisedBy, VerdictWord
from inspections.wording_causes import HEADLINE
from inspections.wording_explanation import evidence, explanation_in_short
from inspections.wording_figures import as_sentence, going_on
from inspections.wording_history import history_in_short, history_sentence
from inventory.units import System, shown
from movement.concrete import BARRING, ShorteningNote

SHORTENING_NOTES = {
    ShorteningNote.NO_STRENGTH: mark("the strength of the concrete"),
    ShorteningNote.NO_HUMIDITY: mark("the humidity of the place"),
    ShorteningNote.NO_SIZE: mark("the notional size"),
    ShorteningNote.NO_CURING_AGE: mark("the age at the end of curing"),
    ShorteningNote.NO_STRESS: mark("the axial compression"),
    ShorteningNote.NO_LOADING_AGE: mark("the age at loading"),
    ShorteningNote.NO_AGE: mark("the age of the concrete at setting and reading"),
    ShorteningNote.STRENGTH_OUTSIDE: mark("a strength within the range of the rule"),
    ShorteningNote.HUMIDITY_OUTSIDE: mark("a humidity within the range of the rule"),
    ShorteningNote.SIZE_OUTSIDE: mark("a notional size within the range of the rule"),
    ShorteningNote.LOADING_AGE_OUTSIDE: mark("an age at loading within the range of the rule"),
}
SHORTENING_ASIDES = {
    ShorteningNote.STRESS_NOT_LINEAR: mark(
        "the compression is too high for creep in proportion to it"
    ),
    ShorteningNote.MODULUS_FROM_RULE: mark("modulus by the rule"),
    ShorteningNote.STRENGTH_AT_LOADING_ASSUMED: mark(
        "strength when loaded taken as 0.80 of that at 28 days"
    ),
    ShorteningNote.SIZE_BEYOND_TESTS: mark(
        "the section is thicker than any the rule was tested on"
    ),
}


def status_sentence(status: ElementStatus | None, system: System) -> str:
    """Return the whole reason of a status: what raised it first, then its deciding reading."""
    if status is None or (status.deciding is None and not status.raised_by):
        return _(wording.NEVER_READ)
    reading = wording.sentence(status.deciding, system) if status.deciding else ""
    raised = raised_sentence(status, system)
    if not raised:
        return reading
    if not reading:
        return raised
    return _("%(raised)s Its reading by itself: %(reading)s") % {
        "raised": raised,
        "reading": reading,
    }


def raised_sentence(status: ElementStatus, system: System) -> str:
    """Return what raised a status above its own reading; empty where nothing did."""
    word = VerdictWord(status.verdict)
    if status.raised_by == RaisedBy.HISTORY and status.history is not None:
        where = wording.name_of(status.history)
        told = history_sentence(status.history, system)
        return f"{_raised(word, RaisedBy.HISTORY)} {where}: {going_on(told)}"
    if status.raised_by == RaisedBy.UNIT and status.explanation is not None:
        row = status.explanation
        headline = as_sentence(HEADLINE[CauseWord(row.cause)](row))
        told = evidence(row, row.diagnosis, system)
        return f"{_raised(word, RaisedBy.UNIT)} {headline} {told}"
    if status.raised_by:
        return _raised(word, RaisedBy(status.raised_by))
    return ""


def status_in_short(status: ElementStatus | None) -> str:
    """Return the weightiest reasons of a status in a few words."""
    if status is None:
        return _("never measured")
    reading = _("never measured") if status.deciding is None else wording.in_short(status.deciding)
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
        told = history_in_short(status.history) or _("its history")
        return _("%(finding)s (history)") % {"finding": told}
    if status.raised_by == RaisedBy.UNIT and status.explanation is not None:
        return _("%(finding)s (whole unit)") % {"finding": explanation_in_short(status.explanation)}
    return ""


def shortening_words(verdict: Verdict, system: System) -> str:
    """Return creep and shrinkage's part of the expected value; empty where none is reckoned."""
    notes = ShorteningNote(verdict.shortening_notes)
    if verdict.shortening is None:
        lacks = [_(words) for bit, words in SHORTENING_NOTES.items() if notes & bit & BARRING]
        if not lacks:
            return ""
        told = _("creep and shrinkage not reckoned: needs %(lacking)s")
        return told % {"lacking": ", ".join(lacks)}
    dimension = wording.dimension_of(verdict)
    told = _("%(amount)s of it creep and shrinkage") % {
        "amount": shown(verdict.shortening, dimension, system, sign=True)
    }
    if verdict.u_shortening is not None:
        u = _("standard uncertainty %(u)s")
        told += f" ({u % {'u': shown(verdict.u_shortening, dimension, system)}})"
    asides = [_(words) for bit, words in SHORTENING_ASIDES.items() if notes & bit]
    return f"{told}; {', '.join(asides)}" if asides else told


BECAUSE = {
    RaisedBy.READING: mark("%(verdict)s because of its reading."),
    RaisedBy.HISTORY: mark("%(verdict)s because of its history."),
    RaisedBy.UNIT: mark("%(verdict)s because of the readings of its whole unit."),
}


def _raised(word: VerdictWord, by: RaisedBy) -> str:
    return _(BECAUSE[by]) % {"verdict": word.label}
