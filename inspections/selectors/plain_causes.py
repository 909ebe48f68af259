"""What explains the readings around a place, and the reading that would tell causes apart."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from inspections.lookups.explanation_pairs import pairs_of
from inspections.lookups.plan_climate import climates_of
from inspections.lookups.usual_temperatures import usual_months
from inspections.models import Explanation, UnitDiagnosis
from inspections.models.choices import CauseWord, DiagnosisWord
from inspections.plain.facts import Proposal
from inspections.selectors import desk, findings
from inspections.selectors.plain_place import place_of
from inspections.selectors.statuses import bridge_strip
from inspections.services.tell_apart import Pair, to_tell_apart
from inventory.models import Bridge, Element
from inventory.station_records import StationRecords
from movement.whole_bridge.tell_apart import LEAST_RIGHT

ELEMENTS_OWN = (CauseWord.FROZEN, CauseWord.SLUGGISH, CauseWord.STEP, CauseWord.SIGN,
                CauseWord.SETTING_OFF, CauseWord.BLUNDER)  # fmt: skip
"""Causes that sit on the element they name, and say nothing of another."""


@dataclass(frozen=True, slots=True)
class Causes:
    """Values of :class:`CauseWord`; ``equal`` where several fit the readings as well."""

    causes: tuple[int, ...] = ()
    equal: bool = False
    proposal: Proposal | None = None


def causes_of(
    bridge: Bridge,
    element: Element | None,
    evidence: Sequence[Mapping[str, Any]],
    today: dt.date,
) -> Causes:
    """Return what explains the readings at an element."""
    if element is None:
        return Causes()
    units = {element.unit_id, element.unit_ahead_id} - {None}
    diagnoses = [each for each in findings.diagnoses_of(bridge) if each.unit_id in units]
    named = tuple(item["cause"] for item in evidence if item["kind"] == "unit")
    concerned = [each for each in diagnoses if _rows(each, element)]
    if not named:
        named = tuple(row.cause for each in concerned for row in _rows(each, element))
    equal = any(each.outcome == DiagnosisWord.CANNOT_TELL for each in concerned)
    return Causes(tuple(dict.fromkeys(named)), equal, _proposal(bridge, concerned, today))


def _rows(diagnosis: UnitDiagnosis, element: Element) -> list[Explanation]:
    """Return the explanations that fit best and that concern an element."""
    if diagnosis.outcome not in (DiagnosisWord.EXPLAINED, DiagnosisWord.CANNOT_TELL):
        return []
    rows = [each for each in diagnosis.explanations.all() if each.cause != CauseWord.HEALTHY]
    ranked = sorted((each for each in rows if not each.beside), key=lambda each: each.rank)
    beside = [each for each in rows if each.beside]
    leading = [*ranked[: max(diagnosis.equal, 1)], *(beside if len(beside) == 1 else ())]
    return [
        each
        for each in leading
        if (each.cause not in ELEMENTS_OWN or each.element_id == element.pk)
        and (each.cause != CauseWord.SUPPORT_MOVED or each.support_id == element.support_id)
    ]


def _proposal(
    bridge: Bridge, diagnoses: Sequence[UnitDiagnosis], today: dt.date
) -> Proposal | None:
    """Return the reading that tells the first pair of explanations apart; None without pairs."""
    wanted = [each for each in diagnoses if pairs_of(each)][:1]
    if not wanted:
        return None
    records = StationRecords([bridge.air_station])
    strip = bridge_strip(bridge)
    basis = getattr(bridge, "temperature_basis", None)
    extremes = {
        each.unit.pk: (float(each.extremes.min_c), float(each.extremes.max_c))
        for each in desk.extremes_of_units(basis, strip.units, records)
        if each.extremes
    }
    pairs = to_tell_apart(
        bridge,
        wanted,
        strip.units,
        [each.element for each in strip.statuses],
        extremes,
        usual_months(climates_of([bridge], records)[bridge.pk]),
        today,
        records,
    ).get(wanted[0].unit_id, [])
    return _told(pairs[0]) if pairs else None


def _told(pair: Pair) -> Proposal:
    best = next((each for each in pair.to_measure if each.right >= LEAST_RIGHT), None)
    if not pair.separable or best is None:
        return Proposal("", None, None, None, False)
    return Proposal(
        best.key.quantity, place_of(best.element), best.at.temperature_c, best.at.month,
        best.at.rare,
    )  # fmt: skip
