"""The life of a flag once more, as a table of what follows what: slow, plain, on its own.

Written from what engineers were promised: a flag is opened by an assessment, stays one flag
while the same cause shows again, returns when it shows after it was closed or mended, and is
closed by a decision, or by a reading back in range together with an engineer's word.
"""

import datetime as dt
from dataclasses import dataclass

from inspections.flag_life import Decided, Happening, Released, Renewed, Seen
from inspections.models.desk_choices import FlagState

AFTER = """
              shown      worse      gone      renewed
    none      open!      open!      none      none
    open      open       open       back      mended
    to_measure open      open       back      mended
    watched   watched    open       back      mended
    accepted  accepted   open       back      mended
    in_work   in_work    in_work    back      mended
    mended    open!!     open!!     closed    mended
    closed    open!!     open!!     closed    closed
"""
"""The next state by what happens; ``!`` opens a flag, ``!!`` opens it again as returned.

``worse`` is a finding more severe than the last one before the standing decision; where none
was before it, any is.  Of two visits at the same hour the graver comes last.
``back`` remembers the state beneath it: there a new showing is what it would be in that one.
"""
AFTER_DECISION = {
    "accept": "accepted",
    "watch": "watched",
    "measure_again": "to_measure",
    "work_ordered": "in_work",
    "mended": "mended",
    "close": "closed",
}
_head, *_rows = [line.split() for line in AFTER.strip().splitlines()]
NEXT = {(row[0], what): cell for row in _rows for what, cell in zip(_head, row[1:], strict=True)}
FIRST = {Renewed: 0, Seen: 1, Decided: 2, Released: 3}


@dataclass
class Told:
    """What the columns of a flag must say."""

    state: str = "none"
    severity: int | None = None
    first_seen_at: dt.datetime | None = None
    last_seen_at: dt.datetime | None = None
    times_seen: int = 0
    opened_at: dt.datetime | None = None
    times_reopened: int = 0
    back_since: dt.datetime | None = None
    until: dt.date | None = None


def told_by_table(happenings: list[Happening]) -> Told:
    """Return what the table tells of the same happenings."""
    in_time = sorted(happenings, key=_in_time)
    told, beneath, granted, standing = Told(), "none", 99, None
    for each in in_time:
        if isinstance(each, Decided):
            told.state, told.until, told.back_since = AFTER_DECISION[each.kind], each.until, None
            granted, standing = told.severity or 0, each.key
            continue
        if isinstance(each, Released):
            if each.key == standing:  # its order is cancelled: there is something to decide again
                if told.state == "in_work":
                    told.state, told.until, standing = "open", None, None
                elif (told.state, beneath) == ("back", "in_work"):
                    beneath, standing = "open", None
            continue
        returned = told.times_reopened
        told.state, beneath = _step(told, beneath, granted, each)
        if told.times_reopened > returned or told.state == "none":
            standing = None
    if told.times_seen == 0 and told.state != "none":
        told.state = "withdrawn"
    return told


def _step(told: Told, beneath: str, granted: int, each: Happening) -> tuple[str, str]:
    if isinstance(each, Renewed):
        what = "renewed"
    elif not each.shown:
        what = "gone"
    else:
        what = "worse" if each.severity > granted else "shown"
        told.times_seen += 1
        told.first_seen_at = told.first_seen_at or each.at
        told.last_seen_at, told.severity = each.at, each.severity
    before = told.state
    if before == "back" and what == "gone":
        return before, beneath
    row = beneath if before == "back" else before
    cell = NEXT[row, what]
    after = cell.rstrip("!")
    if "!" in cell:
        told.opened_at = each.at
        told.times_reopened += cell.endswith("!!")
    elif what in ("shown", "worse"):
        told.opened_at = told.opened_at or each.at
    if after == "back" or (row == "mended" and after == "closed"):
        told.back_since = each.at
    elif after != row or before == "back":
        told.back_since = None
    if after not in (row, "back", "closed"):
        told.until = None
    return after, row if after == "back" else "none"


def _in_time(each: Happening) -> tuple:
    if isinstance(each, Seen):
        return each.at, FIRST[Seen], (each.severity if each.shown else 0), each.key
    return each.at, FIRST[type(each)], 0, getattr(each, "key", 0)


def same_as(life, told: Told) -> None:
    """Raise an AssertionError where a life differs from what the table tells."""
    state = None if told.state == "none" else FlagState(told.state)
    assert life.state == state
    if told.severity is not None:
        assert life.severity == told.severity
    for name in (
        "first_seen_at",
        "last_seen_at",
        "times_seen",
        "opened_at",
        "times_reopened",
        "back_since",
        "until",
    ):
        assert getattr(life, name) == getattr(told, name), name
