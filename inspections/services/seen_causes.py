"""What one visit shows of each cause at the elements that it read."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

from inspections.models import Condition, ElementHistory, Explanation, Verdict
from inspections.models.choices import CauseWord, ResponseWord, VerdictWord
from inspections.models.desk_choices import FlagCause
from inspections.reasons import NEAR, PAST, RESIDUAL, RESIDUAL_OUT
from inspections.services.capacity import Now
from inspections.services.capacity.found import Row
from inspections.services.raising import DOES_NOT_FOLLOW, Findings
from inventory.models import Element
from movement.history.findings import Finding

# As numbers: of flags Python makes a new one with each comparison.
STEP, BLUNDER, REACHES_LIMIT = (
    int(each) for each in (Finding.STEP, Finding.BLUNDER, Finding.REACHES_LIMIT)
)
FOLLOWS = (ResponseWord.FREE, ResponseWord.MORE_THAN_FREE)
UNIT_CAUSE = {
    CauseWord.FROZEN: FlagCause.RESPONSE,
    CauseWord.SLUGGISH: FlagCause.RESPONSE,
    CauseWord.STEP: FlagCause.POSITION,
    CauseWord.SUPPORT_MOVED: FlagCause.POSITION,
}
MOST_ITEMS = 6
"""Items of evidence kept of one cause; the rest is in the verdicts."""
NOTHING_CHECKED = Now((), False)
Item = dict[str, Any]


class Told(NamedTuple):
    """One cause at one element in one visit; ``shown`` is None where the visit cannot tell."""

    cause: FlagCause
    shown: bool | None
    severity: int = VerdictWord.IN_RANGE
    evidence: Sequence[Item] = ()


@dataclass(frozen=True, slots=True)
class VisitResult:
    """All that is known after a visit, by element."""

    read: Mapping[int, list[Verdict]]
    histories: Mapping[int, list[ElementHistory]]
    findings: Findings
    checks: Mapping[int, Now]
    conditions: Mapping[int, list[Condition]]
    standing: frozenset[int]

    def told_of(self, element: Element) -> list[Told]:
        """Return what the visit shows of an element that it read."""
        verdicts = self.read.get(element.pk, [])
        told = []
        if verdicts:
            histories = self.histories.get(element.pk, [])
            explained = self.findings.all_against(element)
            moves_all = self.findings.move_all_of(element)
            told += [
                _position(verdicts, histories, explained, moves_all, element.pk in self.standing),
                _limit(verdicts, histories, self.checks.get(element.pk, NOTHING_CHECKED)),
                _response(histories, explained),
            ]
        if conditions := self.conditions.get(element.pk):
            told.append(_condition(conditions))
        return told


def _position(
    verdicts: list[Verdict],
    histories: list[ElementHistory],
    explained: list[Explanation],
    moves_all: bool,
    standing: bool,
) -> Told:
    off = [each for each in verdicts if each.reasons & RESIDUAL]
    stepped = [
        each for each in histories if not moves_all and each.findings & STEP & ~each.alternatives
    ]
    of_unit = _of_unit(explained, FlagCause.POSITION)
    if off or stepped or of_unit:
        # What stands from before is no milder for being seen less clearly today.
        out = standing or any(each.reasons & RESIDUAL_OUT for each in off)
        return Told(
            FlagCause.POSITION,
            True,
            VerdictWord.OUT_OF_RANGE if out else VerdictWord.WATCH,
            [*_readings(off, RESIDUAL), *map(history_item, stepped), *of_unit],
        )
    # A finding that this visit could not have shown is neither seen again nor gone.
    tells = not standing and any(
        each.residual_in_u is not None and each.verdict != VerdictWord.CANNOT_JUDGE
        for each in verdicts
    )
    return Told(FlagCause.POSITION, False if tells else None)


def _limit(verdicts: list[Verdict], histories: list[ElementHistory], checks: Now) -> Told:
    near = [each for each in verdicts if each.reasons & (NEAR | PAST)]
    past = any(each.reasons & PAST for each in near)
    drifts = [
        each
        for each in histories
        if each.findings & REACHES_LIMIT and not each.alternatives & BLUNDER
    ]
    # A reading past its limit says what the check of that limit would say again.
    exceeded = [] if past else checks.exceeded
    if near or drifts or exceeded:
        return Told(
            FlagCause.LIMIT,
            True,
            VerdictWord.OUT_OF_RANGE if past else VerdictWord.WATCH,
            [
                *_readings(near, NEAR | PAST),
                *map(history_item, drifts),
                *map(_check_item, exceeded),
            ],
        )
    tells = checks.tells or any(each.use_now is not None for each in verdicts)
    return Told(FlagCause.LIMIT, False if tells else None)


def _response(histories: list[ElementHistory], explained: list[Explanation]) -> Told:
    stuck = [each for each in histories if each.response in DOES_NOT_FOLLOW]
    of_unit = _of_unit(explained, FlagCause.RESPONSE)
    if stuck or of_unit:
        return Told(
            FlagCause.RESPONSE,
            True,
            VerdictWord.WATCH,
            [*map(history_item, stuck), *of_unit],
        )
    tells = any(each.response in FOLLOWS for each in histories)
    return Told(FlagCause.RESPONSE, False if tells else None)


def _condition(rows: list[Condition]) -> Told:
    last = {each.defect: each for each in rows}
    severe = [each for each in last.values() if each.cs4]
    return Told(
        FlagCause.CONDITION,
        bool(severe),
        VerdictWord.OUT_OF_RANGE if severe else VerdictWord.IN_RANGE,
        [
            {
                "kind": "condition",
                "defect": each.defect,
                "cs3": each.cs3,
                "cs4": each.cs4,
                "total": each.total,
            }
            for each in severe
        ],
    )


def _readings(verdicts: Iterable[Verdict], told: int) -> list[Item]:
    worst = sorted(
        verdicts, key=lambda each: (-each.verdict, -abs(each.residual_in_u or 0.0), each.point)
    )
    return [_reading_item(each, told) for each in worst[:MOST_ITEMS]]


def _reading_item(verdict: Verdict, told: int) -> Item:
    uses = (verdict.use_now, verdict.use_at_min, verdict.use_at_max)
    names = ("value", "expected", "u_residual", "residual", "residual_in_u", "temperature_c")
    return {
        "kind": "reading",
        "quantity": verdict.quantity,
        "point": verdict.point,
        "axis": verdict.axis,
        "reasons": verdict.reasons & told,
        "use": max((each for each in uses if each is not None), default=None),
        **{name: getattr(verdict, name) for name in names},
    }


def history_item(history: ElementHistory) -> Item:
    """Return what is kept of a history as evidence."""
    names = ("response", "findings", "ratio", "ratio_low", "ratio_high", "limit_in_years")
    return {
        "kind": "history",
        "quantity": history.quantity,
        "point": history.point,
        "axis": history.axis,
        "step_size": history.step_size,
        **{name: getattr(history, name) for name in names},
    }


def _check_item(row: Row) -> Item:
    return {
        "kind": "capacity",
        "name": row.name,
        "clause": row.clause,
        "edition": row.edition,
        "use": row.use,
    }


def _of_unit(explained: Iterable[Explanation], cause: FlagCause) -> list[Item]:
    return [
        {
            "kind": "unit",
            "unit": each.diagnosis.unit.code,
            "cause": each.cause,
            "odds_log": each.odds_log,
            "size": each.size,
            "low": each.low,
            "high": each.high,
        }
        for each in explained
        if UNIT_CAUSE[CauseWord(each.cause)] == cause
    ]


def by_element(rows: Iterable[Any]) -> dict[int, list[Any]]:
    """Return rows by the element that they are of."""
    found: dict[int, list[Any]] = defaultdict(list)
    for row in rows:
        found[row.element_id].append(row)
    return found
