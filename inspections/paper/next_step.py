"""What to do next about an element, by the weightiest reason of its verdict.

Common practice, no source: advice for whoever plans the next visit, never a decision.
"""

from __future__ import annotations

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as mark

from inspections import wording
from inspections.models import Verdict
from inspections.models.choices import CauseWord, RaisedBy, VerdictWord
from inspections.selectors.report import ReportHead
from inspections.wording_causes import NEXT
from inspections.wording_figures import as_sentence
from movement.history.findings import Finding
from movement.results import Reason

STEPS = {
    # the most pressing first
    Reason.PAST_LIMIT_NOW: mark(
        "Inspect at once for contact and damage, and tell the engineer in charge, who decides on"
        " restrictions, resetting or replacing."
    ),
    Reason.PAST_LIMIT_AT_MIN: mark(
        "Before the cold season: confirm with a second reading, then have an engineer decide on"
        " resetting or replacing."
    ),
    Reason.PAST_LIMIT_AT_MAX: mark(
        "Before the hot season: confirm with a second reading, then have an engineer decide on"
        " resetting or replacing."
    ),
    Reason.RESIDUAL_OUT: mark(
        "Measure again at another temperature; if it repeats, look for a device that is stuck, a"
        " support that has moved, or a wrong record."
    ),
    Reason.NEAR_LIMIT_NOW: mark("Measure again soon, and look for contact."),
    Reason.NEAR_LIMIT_AT_MIN: mark("Measure again in the cold season."),
    Reason.NEAR_LIMIT_AT_MAX: mark("Measure again in the hot season."),
    Reason.RESIDUAL_WATCH: mark("Measure again at the next visit, at another temperature."),
}
PRESSING = Reason.PAST_LIMIT_NOW | Reason.PAST_LIMIT_AT_MIN | Reason.PAST_LIMIT_AT_MAX
HISTORY_STEPS = {
    Finding.BLUNDER: mark("Repeat the reading that does not fit, at the same marks."),
    Finding.STEP: mark(
        "Measure again at the same marks; find out what happened between the two visits."
    ),
    Finding.REACHES_LIMIT: mark(
        "Measure every year; have an engineer decide on resetting before the limit is met."
    ),
    Finding.DRIFT: mark(
        "Measure every year; look for a support that moves or a deck that shortens."
    ),
}
RESPONSE_STEP = mark(
    "Measure once more when it is much warmer or colder; look for corrosion, debris and paint"
    " across its moving faces."
)
NEVER_READ = mark("Measure it at the next visit, with a temperature.")
NOTHING = mark("Nothing beyond the usual inspection.")


def next_step_of(each: ReportHead) -> str:
    """Return what to do next about an element.

    A limit that is or will be reached comes first; then what explains its whole unit, what
    its history found, and its reading.
    """
    status = each.status
    if status is None:
        return _(NEVER_READ)
    if status.deciding is not None and status.deciding.reasons & PRESSING:
        return next_step(status.deciding)
    if each.explanation is not None and (advice := NEXT.get(CauseWord(each.explanation.cause))):
        return as_sentence(advice(each.explanation))
    if status.raised_by == RaisedBy.HISTORY and status.history is not None:
        found = Finding(status.history.findings)
        steps = [step for bit, step in HISTORY_STEPS.items() if found & bit]
        return _(steps[0] if steps else RESPONSE_STEP)
    return next_step(status.deciding)


def next_step(verdict: Verdict | None) -> str:
    """Return what to do next, in one sentence."""
    if verdict is None:
        return _(NEVER_READ)
    for reason, step in STEPS.items():
        if verdict.reasons & reason:
            return _(step)
    if verdict.verdict == VerdictWord.CANNOT_JUDGE:
        missing = [_(text) for reason, text in wording.MISSING.items() if verdict.reasons & reason]
        if missing:
            return _("Not judged: %(missing)s.") % {"missing": "; ".join(missing)}
        return _(NEVER_READ)
    return _(NOTHING)
