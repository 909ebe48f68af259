"""What to do next about an element, by the weightiest reason of its verdict.

Common practice, no source: advice for whoever plans the next visit, never a decision.
"""

from __future__ import annotations

from inspections import wording
from inspections.models import Verdict
from inspections.models.choices import VerdictWord
from movement.results import Reason

_CONFIRM = "confirm with a second reading, then have an engineer decide on resetting or replacing"
STEPS = {
    # the most pressing first
    Reason.PAST_LIMIT_NOW: "Inspect at once for contact and damage, and tell the engineer in"
    " charge, who decides on restrictions, resetting or replacing.",
    Reason.PAST_LIMIT_AT_MIN: f"Before the cold season: {_CONFIRM}.",
    Reason.PAST_LIMIT_AT_MAX: f"Before the hot season: {_CONFIRM}.",
    Reason.RESIDUAL_OUT: "Measure again at another temperature; if it repeats, look for a device"
    " that is stuck, a support that has moved, or a wrong record.",
    Reason.NEAR_LIMIT_NOW: "Measure again soon, and look for contact.",
    Reason.NEAR_LIMIT_AT_MIN: "Measure again in the cold season.",
    Reason.NEAR_LIMIT_AT_MAX: "Measure again in the hot season.",
    Reason.RESIDUAL_WATCH: "Measure again at the next visit, at another temperature.",
}
NEVER_READ = "Measure it at the next visit, with a temperature."
NOTHING = "Nothing beyond the usual inspection."


def next_step(verdict: Verdict | None) -> str:
    """Return what to do next, in one sentence."""
    if verdict is None:
        return NEVER_READ
    for reason, step in STEPS.items():
        if verdict.reasons & reason:
            return step
    if verdict.verdict == VerdictWord.CANNOT_JUDGE:
        missing = [text for reason, text in wording.MISSING.items() if verdict.reasons & reason]
        return f"Not judged: {'; '.join(missing)}." if missing else NEVER_READ
    return NOTHING
