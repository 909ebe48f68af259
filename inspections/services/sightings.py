"""What each handed-in visit showed, judged by what was known up to it.

A visit is judged with the readings up to it and the devices that stood then, so that a flag
has the life that it would have had if every visit had been handed in on its day.  What a
visit showed is computed anew only where its inputs have changed: their digest says so.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from inspections.lookups.parts import in_parts
from inspections.models import (
    AgencySettings,
    CriticalFinding,
    ElementHistory,
    Inspection,
    Sighting,
    Verdict,
    VisitSeen,
)
from inspections.models.choices import VerdictWord
from inspections.models.desk_choices import FlagCause
from inspections.services.capacity import Now, checks_after
from inspections.services.explanations import Asked, ToldUnit
from inspections.services.histories import Known
from inspections.services.judged import Judged
from inspections.services.many_rows import insert
from inspections.services.raising import Findings
from inspections.services.seen_causes import VisitResult, by_element
from inspections.services.seen_visits import Case, Visit, conditions_of, so_far, visits_of
from inspections.services.standing_register import StandingRegister
from inspections.services.status import standing


@dataclass(frozen=True, slots=True)
class VisitTold:
    """One visit with the digest of its inputs; ``rows`` is None where they are on record."""

    inspection_id: int
    digest: str
    rows: list[Sighting] | None


class Round:
    """The visits of bridges that are judged together, and what of them must be looked at anew."""

    def __init__(self, cases: Sequence[Case], found: Judged, agency: AgencySettings) -> None:
        here = [case.register.bridge.pk for case in cases]
        self._cases, self._found, self._agency = cases, found, agency
        self._conditions = conditions_of(here)
        self._visits = visits_of(cases, found, agency, self._conditions)
        self._new = [
            [each for each in visits if case.seen.get(each.inspection_id) != each.digest]
            for case, visits in zip(cases, self._visits, strict=True)
        ]

    def known(self) -> list[Known]:
        """Return what histories are wanted of: one for each visit that is looked at anew."""
        return [each.history_wanted for visits in self._new for each in visits]

    def asked(self) -> list[Asked]:
        """Return the diagnoses that are wanted, for each of the same visits."""
        return [
            each.asked_of(case.site)
            for case, visits in zip(self._cases, self._new, strict=True)
            for each in visits
        ]

    def told(
        self,
        verdicts: Sequence[Verdict],
        histories: Sequence[list[ElementHistory]],
        diagnoses: Sequence[list[ToldUnit]],
    ) -> list[list[VisitTold]]:
        """Return what every handed-in visit of each bridge showed, in their order.

        ``verdicts`` are those of the points, the others of the visits that are looked at anew.
        """
        checks = checks_after(
            [
                each
                for visits, new in zip(self._visits, self._new, strict=True)
                for each in so_far(visits, new, verdicts)
            ],
            self._agency,
        )
        results = zip(histories, diagnoses, checks, strict=True)
        kept = _shown_on_record(visit for case in self._cases for visit in case.seen)
        told = []
        for case, visits, new in zip(self._cases, self._visits, self._new, strict=True):
            anew = {
                each.inspection_id: self._result(each, verdicts, *next(results)) for each in new
            }
            told.append(list(_told(case, visits, anew, kept)))
        return told

    def _result(
        self,
        visit: Visit,
        verdicts: Sequence[Verdict],
        histories: list[ElementHistory],
        diagnoses: list[ToldUnit],
        checks: Mapping[int, Now],
    ) -> VisitResult:
        present = [verdicts[row] for row in visit.present.tolist()]
        channels = self._found.of_point[visit.present].tolist()
        return VisitResult(
            by_element(each for each in present if each.inspection_id == visit.inspection_id),
            by_element(histories),
            Findings(diagnoses),
            checks,
            by_element(self._conditions.get(visit.inspection_id, ())),
            frozenset(
                each.element_id for each in standing(present, channels, self._agency.watch_k)
            ),
        )


def _told(
    case: Case,
    visits: Sequence[Visit],
    anew: Mapping[int, VisitResult],
    kept: Mapping[int, set[tuple[int, str]]],
) -> Iterator[VisitTold]:
    shown: set[tuple[int, str]] = set()
    for each in visits:
        result = anew.get(each.inspection_id)
        if result is None:
            shown |= kept.get(each.inspection_id, set())
            yield VisitTold(each.inspection_id, each.digest, None)
        else:
            rows = _sightings(case.register, each, result, shown)
            yield VisitTold(each.inspection_id, each.digest, rows)


def _sightings(
    register: StandingRegister, visit: Visit, result: VisitResult, shown: set[tuple[int, str]]
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


def _shown_on_record(visits: Iterable[int]) -> Mapping[int, set[tuple[int, str]]]:
    """Return what each of some visits showed by its rows: elements and causes."""
    found: dict[int, set[tuple[int, str]]] = defaultdict(set)
    for some in in_parts(visits):
        rows = Sighting.objects.filter(inspection__in=some, shown=True).order_by()
        for visit, element, cause in rows.values_list("inspection_id", "element_id", "cause"):
            found[visit].add((element, cause))
    return found


def on_record(bridge_ids: Sequence[int]) -> dict[int, dict[int, str]]:
    """Return the digest of each visit whose sightings are on record, by bridge and visit."""
    found: dict[int, dict[int, str]] = {bridge_id: {} for bridge_id in bridge_ids}
    rows = VisitSeen.objects.filter(inspection__bridge__in=bridge_ids).order_by()
    columns = ("inspection__bridge_id", "inspection_id", "digest")
    for bridge_id, visit, digest in rows.values_list(*columns):
        found[bridge_id][visit] = digest
    return found


def replace_sightings(bridge_ids: Sequence[int], told: Iterable[VisitTold]) -> None:
    """Put what the visits of some bridges showed in place of what is on record."""
    told = list(told)
    # By a subquery and not a join: of rows that no statistics know of yet, as in the middle of a
    # large import, PostgreSQL would compare each with each.
    visits = Inspection.objects.filter(bridge__in=bridge_ids).order_by()
    known = Sighting.objects.filter(inspection__in=visits)
    of_bridge = known.exclude(cause=FlagCause.CRITICAL)
    same = [each.inspection_id for each in told if each.rows is None]
    seen = VisitSeen.objects.filter(inspection__in=visits)
    of_bridge.exclude(inspection__in=same).delete()
    seen.exclude(inspection__in=same).delete()
    new = [each for each in told if each.rows is not None]
    insert([row for each in new for row in each.rows or ()])
    insert([VisitSeen(inspection_id=each.inspection_id, digest=each.digest) for each in new])


def replace_critical(bridge_ids: Sequence[int]) -> None:
    """Make each critical finding at an element a sighting, whatever the state of its visit."""
    found = CriticalFinding.objects.filter(
        inspection__bridge__in=bridge_ids, element__isnull=False
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
        visits = Inspection.objects.filter(bridge__in=bridge_ids).order_by()
        known = Sighting.objects.filter(inspection__in=visits)
        known.filter(cause=FlagCause.CRITICAL).delete()
        insert(rows.values())
