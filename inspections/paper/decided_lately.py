"""What was decided at a bridge of late, on paper: also on flags that are closed by now."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _
from reportlab.platypus import Flowable, Spacer

from inspections.models.desk_choices import DecisionKind
from inspections.paper.text import NOTE, SMALL, Caption, para, table
from inspections.selectors.bridge_around import Decided
from inventory.words import in_sentence, shortened

MOST = 12
"""Rows of the table; the page of each flag holds all that was decided on it."""
LATELY = dt.timedelta(days=365)
"""How long before the printing is told: what was decided since a report a year ago stands in it."""
LONGEST = 160
"""Signs of a reason that are printed; more would push the elements off the first pages."""


def decided_lately(decisions: list[Decided], room: float, zone: ZoneInfo) -> list[Flowable]:
    """Return decisions of the last year; nothing where there are none.

    A flag that was closed is no longer among the open matters, and whoever reads the next report
    asks what became of it.
    """
    if not decisions:
        return []
    rows: list[list[object]] = [
        [_("Signed on"), _("Element"), _("Cause, now"), _("Decision"), _("Reason"), _("By")]
    ]
    rows += [_row(each, zone) for each in decisions[:MOST]]
    rest = room - 56.0 - 56.0
    story: list[Flowable] = [
        Spacer(0, 6),
        Caption("Table", _("Decisions within the last year, the newest first.")),
        table(rows, [56.0, 56.0, 0.24 * rest, 0.22 * rest, 0.36 * rest, 0.18 * rest]),
    ]
    if any(len(each.reason) > LONGEST for each in decisions[:MOST]):
        story.append(
            para(_("The page of a flag gives the whole of a reason that is cut here."), NOTE)
        )
    left_out = len(decisions) - MOST
    if left_out > 0:
        story.append(para(_("And %(count)s more: see the flags.") % {"count": left_out}, NOTE))
    return story


def _row(decision: Decided, zone: ZoneInfo) -> list[object]:
    flag = decision.flag
    now = in_sentence(flag.get_state_display())
    kind = f"{DecisionKind(decision.kind).label}"
    if decision.until:
        kind = _("%(decision)s, until %(day)s") % {"decision": kind, "day": decision.until}
    return [
        f"{decision.decided_at.astimezone(zone):%Y-%m-%d}",
        para(flag.element.code, SMALL),
        para(f"{flag.get_cause_display()}: {now}", SMALL),
        para(kind, SMALL),
        para(shortened(decision.reason, LONGEST), SMALL),
        para(decision.signed_as, SMALL),
    ]
