"""What looks like a gross error in a station's record, in words, and whether it is refused."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from inspections.services.air_records import AirProblem
from movement.record_checks import READ_RIGHT, RecordRules, Suspect, suspects

KEEP = "if it is right, keep it (--keep-suspects, or the tick «Keep values that look wrong»)"
LOOKS = {
    Suspect.SIGN: "looks like a sign lost or added: {right:.1f} would go on from what stands"
    " beside it, {beside}. Correct the sign",
    Suspect.FAHRENHEIT: "looks like degF among degC: as degF it is {right:.1f} degC, which would"
    " go on from what stands beside it, {beside}. Correct the unit",
    Suspect.CELSIUS: "looks like degC among degF: {right:.1f} taken as degC would go on from what"
    " stands beside it, {beside}. Correct the unit",
    Suspect.SPIKE: "jumps by {rules.spike_k:g} K or more from what stands beside it, {beside}, and"
    " back. Correct it, or leave the cell empty",
    Suspect.STUCK: "stays the same for {span}: the sensor may have been stuck. Leave the cells"
    " empty",
}
JUMPED = "{value:.1f} degC at {when} is {rules.spike_k:g} K or more from the {beside} before it"


@dataclass(frozen=True, slots=True, eq=False)
class Series:
    """One column of one station in order of time, what is on record among what comes in.

    ``row`` is the row that comes in, -1 for what is on record; ``when`` tells its time.
    """

    station: str
    field: str
    at_h: np.ndarray
    value_c: np.ndarray
    row: np.ndarray
    when: list[str]
    counted: str
    """What one of them is: hour or day."""


def told(
    series: Series, rules: RecordRules, only: Suspect | None = None
) -> tuple[list[AirProblem], list[AirProblem]]:
    """Return what a person has to decide on, and what is only to be known.

    A run is told once, at its first row that comes in; one that is wholly on record is not.
    """
    flags = suspects(series.at_h, series.value_c, rules)
    doubts: list[AirProblem] = []
    notices: list[AirProblem] = []
    for suspect in Suspect:
        if only is not None and not suspect & only:
            continue
        for run in _runs((flags & np.uint8(int(suspect))) > 0):
            fresh = series.row[run][series.row[run] >= 0]
            if not fresh.size:
                continue
            first = int(fresh[0])
            if suspect == Suspect.JUMP:
                text = JUMPED.format(
                    value=series.value_c[run.start],
                    when=f"{series.station}, {series.when[run.start]}",
                    rules=rules,
                    beside=f"{series.value_c[run.start - 1]:.1f}",
                )
                notices.append(AirProblem(first, series.field, f"{text}: perhaps a front."))
            else:
                doubts.append(AirProblem(first, series.field, _words(series, run, suspect, rules)))
    return doubts, notices


def _words(series: Series, run: slice, suspect: Suspect, rules: RecordRules) -> str:
    values = series.value_c[run]
    count = values.size
    span = f"{count} {series.counted}{'' if count == 1 else 's'}"
    when = series.when[run.start]
    if count > 1:
        when = f"{when} to {series.when[run.stop - 1]} ({span})"
    beside = [
        f"{series.value_c[place]:.1f}"
        for place in (run.start - 1, run.stop)
        if 0 <= place < series.value_c.size
    ]
    right = READ_RIGHT[suspect](values[:1])[0] if suspect in READ_RIGHT else np.nan
    looks = LOOKS[suspect].format(right=right, beside=" and ".join(beside), rules=rules, span=span)
    return f"{values[0]:.1f} degC at {series.station}, {when}, {looks}; {KEEP}."


def _runs(flagged: np.ndarray) -> Sequence[slice]:
    edges = np.flatnonzero(np.diff(np.concatenate([[False], flagged, [False]]).astype(np.int8)))
    return [slice(int(first), int(end)) for first, end in edges.reshape(-1, 2)]
