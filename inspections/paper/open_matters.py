"""What is open at a bridge, on paper: its flags, with their state and the work on them."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as mark
from django.utils.translation import ngettext
from reportlab.platypus import Flowable, Spacer

from inspections.models import Flag
from inspections.models.desk_choices import FlagState, WorkState
from inspections.paper.text import LEAD, NOTE, SMALL, Caption, para, table
from inspections.paper.words import heads
from inspections.selectors.bridge_around import MOST
from inventory.words import in_sentence

HEAD = (
    mark("Element"), mark("Severity"), mark("Cause"), mark("State"), mark("Work"), mark("Seen"),
)  # fmt: skip


def open_matters(flags: list[Flag], room: float, zone: ZoneInfo) -> list[Flowable]:
    """Return the open flags of a bridge with their state; nothing where none is open.

    A fault that was mended reads in range again, and is told here until a measurement has
    proved it.
    """
    if not flags:
        return []
    rows: list[list[object]] = [heads(HEAD)]
    rows += [
        [
            each.element.code,
            each.get_severity_display(),
            para(each.get_cause_display(), SMALL),
            para(each.get_state_display(), SMALL),
            para(_work(each), SMALL),
            para(_seen(each, zone), SMALL),
        ]
        for each in flags[:MOST]
    ]
    rest = room - 62.0 - 64.0 - 62.0
    story: list[Flowable] = [
        Spacer(0, 6),
        para(flags_in_words(flags), LEAD),
        Caption("Table", _("Open flags, what presses most first.")),
        table(rows, [62.0, 64.0, 0.33 * rest, 0.25 * rest, 0.42 * rest, 62.0]),
    ]
    if len(flags) > MOST:
        story.append(
            para(_("And %(count)s more: see the queue.") % {"count": len(flags) - MOST}, NOTE)
        )
    return story


def flags_in_words(flags: list[Flag]) -> str:
    """Return how many flags are open, and how many in which state."""
    told = Counter(in_sentence(FlagState(each.state).label) for each in flags)
    by_state = "; ".join(f"{number} {label}" for label, number in told.most_common())
    text = ngettext(
        "%(count)s flag is open: %(states)s.", "%(count)s flags are open: %(states)s.", len(flags)
    )
    return text % {"count": len(flags), "states": by_state}


def _work(flag: Flag) -> str:
    """Return the last order on a flag, in words; empty where none was given."""
    if not flag.order_code:
        return ""
    state = in_sentence(WorkState(flag.order_state).label)
    day = f" {flag.order_finished_on:%Y-%m-%d}" if flag.order_finished_on else ""
    return f"{flag.order_code} {flag.order_title}, {state}{day}"


def _seen(flag: Flag, zone: ZoneInfo) -> str:
    days = {
        "first": _day(flag.first_seen_at, zone),
        "last": _day(flag.last_seen_at, zone),
    }
    return _("%(first)s to %(last)s") % days


def _day(moment: dt.datetime | None, zone: ZoneInfo) -> str:
    return f"{moment.astimezone(zone):%Y-%m-%d}" if moment else "–"
