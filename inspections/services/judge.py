"""Judge a bridge: what its readings say one by one, over the years, and all together.

Everything written here is derived and replaced as a whole, one bridge in one transaction.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from django.db import transaction
from django.utils import timezone

from inspections.models import (
    AgencySettings,
    CapacityCheck,
    ElementHistory,
    ElementStatus,
    Explanation,
    Sighting,
    ToJudge,
    UnitDiagnosis,
    Verdict,
)
from inspections.selectors.parts import in_parts
from inspections.services.capacity import write_checks
from inspections.services.explanations import ToldUnit, diagnoses_of
from inspections.services.flags import write_flags
from inspections.services.histories import histories_of
from inspections.services.judged import judged
from inspections.services.points import points_of
from inspections.services.sightings import (
    VisitTold,
    on_record,
    replace_critical,
    replace_sightings,
    visits_told,
)
from inspections.services.standing_register import StandingRegister
from inspections.services.status import mark_standing, statuses_of
from inspections.services.verdict_rows import verdicts_of, write_verdicts
from inventory.models import Bridge, Element, Unit
from inventory.scoping import seeing_all
from movement import MODEL_VERSION

FEW = 20
"""Up to so many bridges, looking for those without units costs more than it spares."""
DERIVED = {
    Verdict: "element__bridge_id",
    ElementHistory: "element__bridge_id",
    CapacityCheck: "element__bridge_id",
    UnitDiagnosis: "unit__bridge_id",
}
"""Rows that keep the version they were computed by, and the way to their bridge."""


@seeing_all
def judge_bridges(
    bridge_ids: Iterable[int], progress: Callable[[int], None] = lambda count: None
) -> None:
    """Judge every reading of some bridges again and replace all that rests on them.

    Each bridge is one transaction; ``progress`` is told the bridges done, one by one.
    """
    wanted = sorted(set(bridge_ids))
    bare = _without_units(wanted) if len(wanted) > FEW else set()
    for some in in_parts(bare):
        ToJudge.objects.filter(bridge_id__in=some).delete()
    for bridge_id in wanted:
        if bridge_id in bare:
            progress(1)
            continue
        with transaction.atomic():
            # In this order: settings that are saved after the first line leave a new row, and the
            # bridge is judged once more; settings saved before it are those of the second line.
            ToJudge.objects.filter(bridge_id=bridge_id).delete()
            _judge(bridge_id, AgencySettings.current())
        progress(1)


def _without_units(bridge_ids: list[int]) -> set[int]:
    """Return the bridges, as of a new stock, that nothing stands on: all rests on units."""
    found = set(bridge_ids)
    for some in in_parts(bridge_ids):
        units = Unit.objects.filter(bridge_id__in=some).order_by()
        found.difference_update(units.values_list("bridge_id", flat=True).distinct())
    return found


@seeing_all
def outdated() -> set[int]:
    """Return the bridges that hold results of another version of the model."""
    found: set[int] = set()
    for model, bridge in DERIVED.items():
        older = model.objects.exclude(model_version=MODEL_VERSION).order_by()
        found.update(older.values_list(bridge, flat=True).distinct())
    return found


@seeing_all
def judge_outdated(progress: Callable[[int], None] = lambda count: None) -> list[int]:
    """Judge again the `outdated` bridges, and those that a job left that was broken off.

    Returns the bridges judged.  To be run once after the product was brought up to date.
    """
    found = outdated() | set(ToJudge.objects.values_list("bridge_id", flat=True))
    judge_bridges(found, progress)
    return sorted(found)


@dataclass(frozen=True, slots=True)
class Assessed:
    """All that the readings of a bridge say, as rows that are not stored yet.

    ``handed_in`` are those of the verdicts whose visit is not open any more.
    """

    register: StandingRegister
    verdicts: list[Verdict]
    handed_in: list[Verdict]
    histories: list[ElementHistory]
    told: list[ToldUnit]
    statuses: list[ElementStatus]
    visits: list[VisitTold]

    @property
    def sightings(self) -> list[Sighting]:
        """What the visits showed, of those that had to be computed."""
        return [row for visit in self.visits for row in visit.rows or ()]


@seeing_all
def assess(
    bridge_id: int, agency: AgencySettings, known: Mapping[int, str] | None = None
) -> Assessed:
    """Return what the readings of a bridge say by some settings; writes nothing.

    Parameters
    ----------
    agency
        Need not be saved.
    known
        Digest by visit, of those whose sightings need not be computed again.
    """
    now = timezone.now()
    register = StandingRegister.of(bridge_id)
    points = points_of(bridge_id, agency)
    found = judged(points, agency, register=register) if points else None
    verdicts = verdicts_of(found, now) if found else []
    # Readings of open visits neither stand nor disprove.
    handed_in = [
        verdict for verdict, point in zip(verdicts, points, strict=True) if point.handed_in
    ]
    mark_standing(handed_in, agency.watch_k)
    histories = histories_of(found, agency, now) if found else []
    told = diagnoses_of(register, found, agency, now)
    return Assessed(
        register,
        verdicts,
        handed_in,
        histories,
        told,
        statuses_of(register.elements, handed_in, histories, told),
        visits_told(register, found, verdicts, agency, known),
    )


def _judge(bridge_id: int, agency: AgencySettings) -> None:
    # Two at once would both write what each deletes once only.  Rows that refer to the bridge
    # may be written meanwhile: they are judged by whoever wrote them.
    locked = Bridge.objects.select_for_update(no_key=True).filter(pk=bridge_id).order_by()
    if locked.first() is None:
        return
    known = on_record(bridge_id)
    assessed = assess(bridge_id, agency, known)
    _replace(bridge_id, assessed)
    write_checks(assessed.register, assessed.handed_in, agency)
    if known or assessed.visits:
        replace_sightings(bridge_id, assessed.visits)
    replace_critical(bridge_id)
    write_flags(bridge_id, agency, assessed.register)


def _replace(bridge_id: int, assessed: Assessed) -> None:
    """Put what was assessed in place of what is stored."""
    elements = Element.objects.filter(bridge_id=bridge_id).order_by()
    units = Unit.objects.filter(bridge_id=bridge_id).order_by()
    diagnoses = UnitDiagnosis.objects.filter(unit__in=units).order_by()
    # What refers to other rows goes before them; the database sees to it that nothing is left.
    for rows in (
        ElementStatus.objects.filter(element__in=elements),
        Explanation.objects.filter(diagnosis__in=diagnoses),
        diagnoses,
        ElementHistory.objects.filter(element__in=elements),
    ):
        rows._raw_delete(rows.db)
    write_verdicts(elements, assessed.verdicts)
    ElementHistory.objects.bulk_create(assessed.histories, batch_size=500)
    UnitDiagnosis.objects.bulk_create([each.diagnosis for each in assessed.told])
    Explanation.objects.bulk_create([row for each in assessed.told for row in each.explanations])
    ElementStatus.objects.bulk_create(assessed.statuses, batch_size=500)
