"""What each handed-in visit showed, judged by what was known up to it.

A visit is judged with the readings up to it and the devices that stood then, so that a flag
has the life that it would have had if every visit had been handed in on its day.  What a
visit showed is computed anew only where its inputs have changed: their digest says so.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple
from zoneinfo import ZoneInfo

import numpy as np

from inspections.models import (
    AgencySettings,
    Condition,
    CriticalFinding,
    Inspection,
    Sighting,
    Verdict,
    VisitSeen,
)
from inspections.models.choices import InspectionState, VerdictWord
from inspections.models.desk_choices import FlagCause
from inspections.selectors.devices import stood_on
from inspections.services.capacity import SoFar, checks_after
from inspections.services.capacity.found import Row
from inspections.services.explanations import diagnoses_of
from inspections.services.histories import histories_of
from inspections.services.judged import Judged, rows_of
from inspections.services.raising import Findings
from inspections.services.seen_causes import VisitResult, by_element
from inspections.services.standing_register import StandingRegister
from inspections.services.status import standing
from inspections.services.visit_digest import VisitDigest


@dataclass(frozen=True, slots=True)
class VisitTold:
    """One visit with the digest of its inputs; ``rows`` is None where they are on record."""

    inspection_id: int
    digest: str
    rows: list[Sighting] | None


def visits_told(
    register: StandingRegister,
    found: Judged | None,
    verdicts: Sequence[Verdict],
    agency: AgencySettings,
    known: Mapping[int, str] | None = None,
) -> list[VisitTold]:
    """Return what every handed-in visit of a bridge showed, in their order; writes nothing.

    Parameters
    ----------
    verdicts
        Of the points of ``found``, in their order.
    known
        Digest by visit, of those whose rows need not be computed if it is still the same.
    """
    if found is None:
        return []
    known = known or {}
    zone = ZoneInfo(register.bridge.time_zone)
    conditions = _conditions(register.bridge.pk)
    digest = VisitDigest(register, agency)
    kept = _shown_on_record(register.bridge.pk, known) if known else {}
    visits = []
    before = np.zeros(len(found.points), dtype=bool)
    for visit, ended in _visits(found):
        now = np.array([point.key.inspection_id == visit for point in found.points])
        before = before | now
        so_far = digest.after(found, now, conditions[visit])
        visits.append(_Visit(visit, ended.astimezone(zone), so_far, before))
    new = [each for each in visits if known.get(each.inspection_id) != each.digest]
    results = iter(_results(register, found, verdicts, new, agency, conditions))
    shown: set[tuple[int, str]] = set()
    told = []
    for each in visits:
        if known.get(each.inspection_id) == each.digest:
            told.append(VisitTold(each.inspection_id, each.digest, None))
            shown |= kept[each.inspection_id]
        else:
            rows = _sightings(register, each, next(results), shown)
            told.append(VisitTold(each.inspection_id, each.digest, rows))
    return told


class _Visit(NamedTuple):
    """A handed-in visit: the hour of its last reading, and which points were read by then."""

    inspection_id: int
    ended: dt.datetime
    digest: str
    before: np.ndarray


def _sightings(
    register: StandingRegister, visit: _Visit, result: VisitResult, shown: set[tuple[int, str]]
) -> list[Sighting]:
    """Return the rows of a visit; ``shown``, what visits have shown so far, grows by it."""
    rows = []
    for element in register.elements:
        for each in result.told_of(element):
            # That something is not there is worth a row only where it was once.
            if each.shown or (each.shown is False and (element.pk, each.cause) in shown):
                rows.append(
                    Sighting(
                        element=element,
                        inspection_id=visit.inspection_id,
                        cause=each.cause,
                        seen_at=visit.ended,
                        shown=each.shown,
                        severity=each.severity,
                        evidence=list(each.evidence),
                    )
                )
            if each.shown:
                shown.add((element.pk, each.cause))
    return rows


def _shown_on_record(bridge_id: int, visits: Iterable[int]) -> Mapping[int, set[tuple[int, str]]]:
    """Return what each of some visits showed by its rows: elements and causes."""
    found: dict[int, set[tuple[int, str]]] = defaultdict(set)
    rows = Sighting.objects.filter(
        element__bridge_id=bridge_id, inspection__in=list(visits), shown=True
    )
    for visit, element, cause in rows.values_list("inspection_id", "element_id", "cause"):
        found[visit].add((element, cause))
    return found


def on_record(bridge_id: int) -> dict[int, str]:
    """Return the digest of each visit of a bridge whose sightings are on record."""
    return dict(
        VisitSeen.objects.filter(inspection__bridge_id=bridge_id).values_list(
            "inspection_id", "digest"
        )
    )


def replace_sightings(bridge_id: int, told: Sequence[VisitTold]) -> None:
    """Put what the visits of a bridge showed in place of what is on record."""
    # By a subquery and not a join: of rows that no statistics know of yet, as in the middle of a
    # large import, PostgreSQL would compare each with each.
    visits = Inspection.objects.filter(bridge_id=bridge_id)
    known = Sighting.objects.filter(inspection__in=visits)
    of_bridge = known.exclude(cause=FlagCause.CRITICAL)
    same = [each.inspection_id for each in told if each.rows is None]
    seen = VisitSeen.objects.filter(inspection__in=visits)
    of_bridge.exclude(inspection__in=same).delete()
    seen.exclude(inspection__in=same).delete()
    new = [each for each in told if each.rows is not None]
    Sighting.objects.bulk_create([row for each in new for row in each.rows or ()], batch_size=500)
    VisitSeen.objects.bulk_create(
        [VisitSeen(inspection_id=each.inspection_id, digest=each.digest) for each in new]
    )


def replace_critical(bridge_id: int) -> None:
    """Make each critical finding at an element a sighting, whatever the state of its visit."""
    found = CriticalFinding.objects.filter(
        inspection__bridge_id=bridge_id, element__isnull=False
    ).order_by("found_at", "pk")
    rows: dict[tuple[int, int], Sighting] = {}
    for each in found:
        row = rows.setdefault(
            (each.inspection_id, each.element_id),
            Sighting(
                element_id=each.element_id,
                inspection_id=each.inspection_id,
                cause=FlagCause.CRITICAL,
                shown=True,
                severity=VerdictWord.OUT_OF_RANGE,
                evidence=[],
            ),
        )
        row.seen_at = each.found_at
        row.evidence.append({"kind": "critical", "what": each.what})
    if rows:  # findings are never taken back
        visits = Inspection.objects.filter(bridge_id=bridge_id)
        of_bridge = Sighting.objects.filter(inspection__in=visits)
        of_bridge.filter(cause=FlagCause.CRITICAL).delete()
        Sighting.objects.bulk_create(rows.values())


def _visits(found: Judged) -> list[tuple[int, dt.datetime]]:
    """Return the handed-in visits with the hour of their last reading, oldest first."""
    ended: dict[int, dt.datetime] = {}
    for point in found.points:
        if point.handed_in:
            visit = point.key.inspection_id
            ended[visit] = max(ended.get(visit, point.key.taken_at), point.key.taken_at)
    return sorted(ended.items(), key=lambda pair: (pair[1], pair[0]))


def _results(
    register: StandingRegister,
    found: Judged,
    verdicts: Sequence[Verdict],
    visits: Sequence[_Visit],
    agency: AgencySettings,
    conditions: Mapping[int, list[Condition]],
) -> list[VisitResult]:
    """Return all that was known after each of some visits."""
    known = [[verdicts[row] for row in np.flatnonzero(each.before)] for each in visits]
    stood = [
        [device for device in found.installations.values() if stands(device)]
        for stands in (stood_on(each.ended.date()) for each in visits)
    ]
    checks = checks_after([SoFar(*each) for each in zip(stood, known, strict=True)], agency)
    return [
        _result(register, found, visit, so_far, rows, agency, conditions[visit.inspection_id])
        for visit, so_far, rows in zip(visits, known, checks, strict=True)
    ]


def _result(
    register: StandingRegister,
    found: Judged,
    visit: _Visit,
    known: Sequence[Verdict],
    checks: Mapping[int, list[Row]],
    agency: AgencySettings,
    conditions: Iterable[Condition],
) -> VisitResult:
    stands = stood_on(visit.ended.date())
    so_far = until(found, visit.before)
    # A device that stood before is not what was seen now.
    present = [each for each in known if stands(found.installations[each.installation_id])]
    histories = [
        each
        for each in histories_of(so_far, agency, visit.ended)
        if stands(found.installations[each.installation_id])
    ]
    return VisitResult(
        by_element(each for each in present if each.inspection_id == visit.inspection_id),
        by_element(histories),
        Findings(diagnoses_of(register, so_far, agency, visit.ended, stands)),
        checks,
        by_element(conditions),
        frozenset(each.element_id for each in standing(present, agency.watch_k)),
    )


def until(found: Judged, rows: np.ndarray) -> Judged:
    """Return the points of some rows alone, each judged as before.

    What was read later changes no expected value: a baseline is the first reading there is.
    """
    index = np.flatnonzero(rows)
    tables = ("sides", "shortening", "temperature", "setting", "limits", "extremes")
    columns = ("of_point", "value", "u_value", "now_c", "u_now_k", "setting_from", "set_day")
    return replace(
        found,
        points=[found.points[row] for row in index],
        **{name: rows_of(getattr(found, name), index) for name in tables},
        **{name: getattr(found, name)[index] for name in columns},
    )


def _conditions(bridge_id: int) -> Mapping[int, list[Condition]]:
    found: dict[int, list[Condition]] = defaultdict(list)
    rows = Condition.objects.filter(inspection__bridge_id=bridge_id)
    for row in rows.exclude(inspection__state=InspectionState.OPEN).order_by("created_at", "pk"):
        found[row.inspection_id].append(row)
    return found
