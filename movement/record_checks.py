"""Gross errors in a station's air record, told from the record alone.

Arrays in, flags out.  Weather may do what looks like an error: whoever uses the flags lets a
person decide.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields
from enum import IntFlag

import numpy as np
from numpy.typing import ArrayLike, NDArray

from movement.checks import Floats, at_least_zero, finite
from movement.errors import InputError

Flags = NDArray[np.bool_]


class Suspect(IntFlag):
    """What a value of a record looks like."""

    NONE = 0
    SIGN = 1 << 0
    FAHRENHEIT = 1 << 1
    CELSIUS = 1 << 2
    SPIKE = 1 << 3
    STUCK = 1 << 4
    JUMP = 1 << 5


READ_RIGHT: dict[Suspect, Callable[[Floats], Floats]] = {
    Suspect.SIGN: lambda value: -value,
    Suspect.FAHRENHEIT: lambda value: (value - 32.0) / 1.8,
    Suspect.CELSIUS: lambda value: value * 1.8 + 32.0,
}
"""What a value would be, if it is one with a sign lost or added, one in degF among degC, or one
in degC that was converted as if it were in degF."""


@dataclass(frozen=True, slots=True)
class RecordRules:
    """When a value is suspect.  Judgement, no source: no value of five real years of hours is
    flagged by these but one, which is wrong.

    Attributes
    ----------
    neighbours_h : float
        Records further apart say nothing of each other [h].
    smallest_jump_k : float
        Jump at both ends of a run that another reading of it would explain [K].
    one_sided_jump_k : float
        The same where the run begins or ends the record [K].
    explained_share : float
        What that reading may leave of the jump [-].
    longest_run_h : float
        A longer run is the weather of a season, not a slip [h].
    spike_k, spike_within_h, spike_records : float, float, int
        Jump away and back again, each within so many hours, after so few records.
    stuck_h, stuck_records : float, int
        The same value for so long, in so many records [h; -].
    clearer_k : float
        By how much a mix-up of units has to explain a run better than a lost sign [K].
    """

    neighbours_h: float = 6.0
    smallest_jump_k: float = 8.0
    one_sided_jump_k: float = 14.0
    explained_share: float = 0.25
    longest_run_h: float = 240.0
    spike_k: float = 15.0
    spike_within_h: float = 2.0
    spike_records: int = 3
    stuck_h: float = 24.0
    stuck_records: int = 8
    clearer_k: float = 1.5

    def __post_init__(self) -> None:
        for each in fields(self):
            finite(each.name, at_least_zero(each.name, getattr(self, each.name)))


HOURS = RecordRules()
DAYS = RecordRules(
    neighbours_h=72.0,
    smallest_jump_k=16.0,
    one_sided_jump_k=30.0,
    spike_k=25.0,
    spike_within_h=24.0,
    spike_records=1,
    stuck_h=96.0,
    stuck_records=5,
)
"""For one extreme of each day; five equal days are 96 h from first to last."""


def suspects(at_h: ArrayLike, value_c: ArrayLike, rules: RecordRules = HOURS) -> NDArray[np.uint8]:
    """Flag the values of one station's record that look like gross errors.

    Parameters
    ----------
    at_h : array_like (n,)
        Hours since any epoch, rising [h].
    value_c : array_like (n,)
        Air temperature then [degC].
    rules : RecordRules

    Returns
    -------
    numpy.ndarray of uint8 (n,)
        Bits of :class:`Suspect`; of several readings that explain a run, the one that leaves
        the least, a lost sign before units mixed up.  A jump is flagged at the value after
        it, if nothing else explains it.

    Raises
    ------
    InputError
        If hours and values do not pair, or hours do not rise.
    """
    at, value = finite("at_h", at_h), finite("value_c", value_c)
    if at.shape != value.shape or at.ndim != 1:
        raise InputError("value_c", "does not pair with at_h", "Give one value an hour.")
    if (np.diff(at) <= 0).any():
        raise InputError("at_h", "does not rise", "Sort the record, and give each hour once.")
    flags = np.zeros(at.shape, dtype=np.uint8)
    if at.size < 2:
        return flags
    runs = {suspect: _Runs.of(right, at, value, rules) for suspect, right in READ_RIGHT.items()}
    for sure in (True, False):
        # Beside a run that both its ends give away, an end of the record tells nothing more.
        told = flags > 0
        left = np.full(at.shape, np.inf)
        for suspect, its in runs.items():
            leaves = its.left_k(told, sure=sure)
            flags = np.where(leaves < left, np.uint8(int(suspect)), flags)
            left = np.minimum(left, leaves - rules.clearer_k * (suspect == Suspect.SIGN))
    spike = _spikes(at, value, rules) & (flags == 0)
    flags |= spike.astype(np.uint8) * np.uint8(int(Suspect.SPIKE))
    flags |= _stuck(at, value, rules).astype(np.uint8) * np.uint8(int(Suspect.STUCK))
    explained = flags & ~np.uint8(int(Suspect.STUCK)) > 0
    jump = (np.abs(np.diff(value)) >= rules.spike_k) & (np.diff(at) <= rules.spike_within_h)
    jump &= ~explained[1:] & ~explained[:-1]
    flags[1:] |= jump.astype(np.uint8) * np.uint8(int(Suspect.JUMP))
    return flags


@dataclass(frozen=True, slots=True, eq=False)
class _Runs:
    """Runs of a record, cut where one value, read otherwise, goes on from the other.

    Attributes
    ----------
    first, last : array of int
        Places of each run in the record.
    off_k : array
        What the other reading leaves of the jumps at its ends [K].
    both, one : array of bool
        Whether both ends call for the other reading; whether the one does that is not an end
        of the record or of what is known of it.
    """

    first: NDArray[np.intp]
    last: NDArray[np.intp]
    off_k: Floats
    both: Flags
    one: Flags

    @classmethod
    def of(
        cls, read_right: Callable[[Floats], Floats], at: Floats, value: Floats, rules: RecordRules
    ) -> _Runs:
        jump, right = np.abs(np.diff(value)), read_right(value)
        into, out_of = np.abs(right[1:] - value[:-1]), np.abs(right[:-1] - value[1:])
        near = np.diff(at) <= rules.neighbours_h
        big = near & (jump >= rules.smallest_jump_k)
        enters = big & (into <= rules.explained_share * jump)
        leaves = big & (out_of <= rules.explained_share * jump)
        cut = np.flatnonzero(enters | leaves | ~near)
        first, last = np.concatenate([[0], cut + 1]), np.concatenate([cut, [at.size - 1]])

        starts = np.concatenate([[False], enters[cut]])
        ends = np.concatenate([leaves[cut], [False]])
        no_start = np.concatenate([[True], ~near[cut]])
        no_end = np.concatenate([~near[cut], [True]])
        short = at[last] - at[first] <= rules.longest_run_h
        length = last - first + 1.0
        # A run at an end may be longer than what is seen of it.
        lasts = np.where(no_start | no_end, np.inf, length)
        before, after = np.concatenate([[0.0], lasts[:-1]]), np.concatenate([lasts[1:], [0.0]])
        seen_before = np.concatenate([[0.0], length[:-1]])
        seen_after = np.concatenate([length[1:], [0.0]])
        jump_in, jump_out = np.concatenate([[0.0], jump[cut]]), np.concatenate([jump[cut], [0.0]])
        to_end = starts & no_end & (jump_in >= rules.one_sided_jump_k) & (length < seen_before)
        to_start = ends & no_start & (jump_out >= rules.one_sided_jump_k) & (length < seen_after)
        off = np.fmax(
            np.where(starts, np.concatenate([[0.0], into[cut]]), 0.0),
            np.where(ends, np.concatenate([out_of[cut], [0.0]]), 0.0),
        )
        both = starts & ends & short & (length < before) & (length < after)
        return cls(first, last, off, both, (to_start | to_end) & short)

    def left_k(self, told: Flags, *, sure: bool) -> Floats:
        """Return what is left at each value [K]; infinity where its run is sound.

        Runs that touch what is told already say no more than that.
        """
        beyond = np.concatenate([[False], told, [False]])
        touched = beyond[self.first] | beyond[self.first + 1]
        touched |= beyond[self.last + 1] | beyond[self.last + 2]
        chosen = self.both if sure else self.one & ~touched
        return np.repeat(np.where(chosen, self.off_k, np.inf), self.last - self.first + 1)


def _spikes(at: Floats, value: Floats, rules: RecordRules) -> Flags:
    step = np.where(np.diff(at) <= rules.spike_within_h, np.diff(value), 0.0)
    found = np.zeros(at.shape, dtype=np.bool_)
    for records in range(1, min(rules.spike_records, at.size - 2) + 1):
        away, back = step[: at.size - 1 - records], step[records:]
        smaller = np.minimum(np.abs(away), np.abs(back))
        spike = (
            (smaller >= rules.spike_k)
            & (np.sign(away) == -np.sign(back))
            & (np.abs(value[records + 1 :] - value[: at.size - 1 - records]) <= 0.5 * smaller)
        )
        for place in range(1, records + 1):
            found[place : place + spike.size] |= spike
    return found


def _stuck(at: Floats, value: Floats, rules: RecordRules) -> Flags:
    same = (np.abs(np.diff(value)) < 1e-6) & (np.diff(at) <= rules.neighbours_h)
    cut = np.flatnonzero(~same)
    first, last = np.concatenate([[0], cut + 1]), np.concatenate([cut, [at.size - 1]])
    count = last - first + 1
    stuck = (at[last] - at[first] >= rules.stuck_h) & (count >= rules.stuck_records)
    return np.repeat(stuck, count)
