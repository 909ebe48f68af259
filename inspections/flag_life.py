"""The life of a flag as a function of what was seen and decided, in the order of its happening.

Nothing here remembers when something became known: a late visit, an amended reading or a
decision entered afterwards gives the state that it would have given in time.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass, field

from inspections.models.choices import VerdictWord
from inspections.models.desk_choices import DecisionKind, FlagState

AWAITS_PROOF = (
    FlagState.OPEN,
    FlagState.WATCHED,
    FlagState.ACCEPTED,
    FlagState.TO_MEASURE,
    FlagState.IN_WORK,
)
"""States in which a reading back in range asks for an engineer's word."""
STATE_AFTER = {
    DecisionKind.ACCEPT: FlagState.ACCEPTED,
    DecisionKind.WATCH: FlagState.WATCHED,
    DecisionKind.MEASURE_AGAIN: FlagState.TO_MEASURE,
    DecisionKind.WORK_ORDERED: FlagState.IN_WORK,
    DecisionKind.MENDED: FlagState.MENDED,
    DecisionKind.CLOSE: FlagState.CLOSED,
}


@dataclass(frozen=True, slots=True)
class Seen:
    """What a visit showed: the cause, or that it is not there any more."""

    at: dt.datetime
    shown: bool
    severity: int = VerdictWord.WATCH
    key: int = 0


@dataclass(frozen=True, slots=True)
class Renewed:
    """The device was replaced or set anew."""

    at: dt.datetime


@dataclass(frozen=True, slots=True)
class Decided:
    """A decision, from the hour at which it holds."""

    at: dt.datetime
    kind: DecisionKind
    until: dt.date | None = None
    key: int = 0


@dataclass(frozen=True, slots=True)
class Released:
    """The order of a decision was cancelled; ``key`` is the decision's."""

    at: dt.datetime
    key: int


Happening = Seen | Renewed | Decided | Released
_ORDER: dict[type, int] = {Renewed: 0, Seen: 1, Decided: 2, Released: 3}


@dataclass(slots=True)
class Life:
    """Where a flag stands after all that happened to it.

    ``under`` is the state that a reading back in range has interrupted; ``granted`` the
    severity up to which the standing decision holds: that of the last showing before it, as it
    reads now, whatever was known when it was signed.
    """

    state: FlagState | None = None
    severity: int = VerdictWord.WATCH
    first_seen_at: dt.datetime | None = None
    last_seen_at: dt.datetime | None = None
    times_seen: int = 0
    opened_at: dt.datetime | None = None
    times_reopened: int = 0
    back_since: dt.datetime | None = None
    until: dt.date | None = None
    decision: int | None = None
    under: FlagState = field(default=FlagState.OPEN, repr=False)
    granted: int = field(default=VerdictWord.OUT_OF_RANGE, repr=False)


def life_of(happenings: Iterable[Happening]) -> Life:
    """Return where a flag stands; its state is None where nothing ever showed it.

    At the same instant a renewal comes before what was seen, a decision after it, and the end
    of an order last.
    """
    life = Life()
    for each in sorted(happenings, key=_when):
        if isinstance(each, Seen):
            _shown(life, each) if each.shown else _not_shown(life, each.at)
        elif isinstance(each, Decided):
            _decided(life, each)
        elif isinstance(each, Released):
            _released(life, each)
        elif life.state in AWAITS_PROOF or life.state == FlagState.BACK:
            _stand(life, FlagState.MENDED)
    if not life.times_seen and life.state is not None:
        life.state = FlagState.WITHDRAWN
    return life


def _when(each: Happening) -> tuple[dt.datetime, int, bool, int, int]:
    # Of two visits at the same instant the graver comes last, whichever was opened first.
    graver = (each.shown, each.severity) if isinstance(each, Seen) else (False, 0)
    return each.at, _ORDER[type(each)], *graver, getattr(each, "key", 0)


def _stand(life: Life, state: FlagState, until: dt.date | None = None) -> None:
    life.state, life.until, life.back_since = state, until, None


def _shown(life: Life, seen: Seen) -> None:
    life.first_seen_at = life.first_seen_at or seen.at
    life.last_seen_at, life.severity = seen.at, seen.severity
    life.times_seen += 1
    if life.state == FlagState.BACK:
        life.state, life.back_since = life.under, None
    if life.state in (FlagState.CLOSED, FlagState.MENDED):
        life.times_reopened += 1
        _open(life, seen.at)
    elif life.state is None:
        _open(life, seen.at)
    elif life.state == FlagState.TO_MEASURE or (
        life.state in (FlagState.ACCEPTED, FlagState.WATCHED) and seen.severity > life.granted
    ):
        # Measured again and still so, or worse than what was accepted.
        _stand(life, FlagState.OPEN)
    life.opened_at = life.opened_at or seen.at


def _open(life: Life, at: dt.datetime) -> None:
    _stand(life, FlagState.OPEN)
    life.opened_at, life.decision = at, None


def _not_shown(life: Life, at: dt.datetime) -> None:
    if life.state in AWAITS_PROOF:
        life.under = FlagState(life.state)
        life.state, life.back_since = FlagState.BACK, at
    elif life.state == FlagState.MENDED:
        life.state, life.back_since = FlagState.CLOSED, at


def _decided(life: Life, decided: Decided) -> None:
    _stand(life, STATE_AFTER[decided.kind], decided.until)
    life.granted = life.severity if life.times_seen else VerdictWord.IN_RANGE
    life.decision = decided.key


def _released(life: Life, released: Released) -> None:
    """Ask for a decision again, unless another one stands by now."""
    if life.decision != released.key:
        return
    if life.state == FlagState.IN_WORK:
        _stand(life, FlagState.OPEN)
        life.decision = None
    elif life.state == FlagState.BACK and life.under == FlagState.IN_WORK:
        life.under, life.decision = FlagState.OPEN, None
