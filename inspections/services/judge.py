"""Judge a bridge: what its readings say one by one, over the years, and all together.

Everything written here is derived and replaced as a whole.  Some bridges are judged together and
in one transaction: what is found of each is the same as if it were judged alone.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from django.db import transaction
from django.db.models import Count
from django.utils import timezone

from inspections.collecting import collecting_seldom
from inspections.lookups.devices import stands_now
from inspections.lookups.parts import by_size, in_parts
from inspections.models import (
    AgencySettings,
    CapacityCheck,
    ElementHistory,
    ElementStatus,
    Explanation,
    Reading,
    Sighting,
    ToJudge,
    UnitDiagnosis,
    Verdict,
)
from inspections.services.capacity import Held, write_checks
from inspections.services.explanations import Asked, ToldUnit, diagnoses_of, unread
from inspections.services.flags import write_flags_of_each
from inspections.services.histories import Known, histories_of
from inspections.services.judged import Judged, judged
from inspections.services.many_rows import insert
from inspections.services.points import Point, points_of_each
from inspections.services.seen_visits import Case
from inspections.services.sightings import (
    Round,
    VisitTold,
    on_record,
    replace_critical,
    replace_sightings,
)
from inspections.services.standing_register import StandingRegister
from inspections.services.status import mark_standing, statuses_of
from inspections.services.unit_places import Site
from inspections.services.verdict_rows import verdicts_of, write_verdicts
from inspections.services.whole_unit import View
from inventory.models import Bridge, Element, Unit
from inventory.scoping import seeing_all
from inventory.words import in_english
from movement import MODEL_VERSION

FEW = 20
"""Up to so many bridges, looking for those without units costs more than it spares."""
TOGETHER = 20
"""Bridges that are judged in one transaction.  Each query and each call of the model costs about
as much for many as for one; but whoever else would write to one of them waits, on SQLite to any."""
READINGS_TOGETHER = 20_000
"""The same in readings: what is known after each visit lies in memory side by side."""
DERIVED = {
    Verdict: "element__bridge_id",
    ElementHistory: "element__bridge_id",
    CapacityCheck: "element__bridge_id",
    UnitDiagnosis: "unit__bridge_id",
}
"""Rows that keep the version they were computed by, and the way to their bridge."""


@seeing_all
@in_english
def judge_bridges(
    bridge_ids: Iterable[int], progress: Callable[[int], None] = lambda count: None
) -> None:
    """Judge every reading of some bridges again and replace all that rests on them.

    Some bridges are one transaction (`TOGETHER`); ``progress`` is told the bridges done.
    """
    wanted = sorted(set(bridge_ids))
    bare = _without_units(wanted) if len(wanted) > FEW else set()
    for some in in_parts(bare):
        ToJudge.objects.filter(bridge_id__in=some).delete()
        progress(len(some))
    for some in _groups([each for each in wanted if each not in bare]):
        _judge_together(some)
        progress(len(some))


def _groups(bridge_ids: list[int]) -> Iterator[list[int]]:
    """Yield the bridges to judge together: few enough, and with few enough readings."""
    if len(bridge_ids) == 1:
        yield bridge_ids
        return
    for some in in_parts(bridge_ids, TOGETHER):
        counts = dict(
            Reading.objects.filter(inspection__bridge__in=some)
            .order_by()
            .values_list("inspection__bridge_id")
            .annotate(Count("pk"))
        )
        yield from by_size(some, lambda pk, counts=counts: counts.get(pk, 0), READINGS_TOGETHER)


@collecting_seldom()
def _judge_together(bridge_ids: list[int]) -> None:
    """Judge some bridges in one transaction; where that fails, those before the one that fails."""
    try:
        with transaction.atomic():
            # Two at once would both write what each deletes once only.  Rows that refer to the
            # bridges may be written meanwhile: they are judged by whoever wrote them.  Bridges
            # and rows are taken in order, so that of two one waits for the other, and never both.
            locked = Bridge.objects.select_for_update(no_key=True).filter(pk__in=bridge_ids)
            here = [bridge.pk for bridge in locked.order_by("pk")]
            waiting = ToJudge.objects.select_for_update().order_by("bridge_id")
            listed = waiting.filter(bridge_id__in=bridge_ids).values_list("pk", flat=True)
            # In this order: settings that are saved after the first line leave a new row, and the
            # bridge is judged once more; settings saved before it are those of the second line.
            ToJudge.objects.filter(pk__in=list(listed)).delete()
            agency = AgencySettings.current()
            if here:
                _judge(here, agency)
    except Exception:
        if len(bridge_ids) == 1:
            raise
        for bridge_id in bridge_ids:
            _judge_together([bridge_id])


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
def assess(bridge_id: int, agency: AgencySettings) -> Assessed:
    """Return what the readings of a bridge say by some settings, saved or not; writes nothing."""
    return _assess([bridge_id], agency, {})[0]


def _assess(
    bridge_ids: Sequence[int], agency: AgencySettings, seen: Mapping[int, Mapping[int, str]]
) -> list[Assessed]:
    """Return what the readings of some bridges say.

    ``seen``: digest by bridge and visit, of visits whose sightings need not be computed again.
    """
    now = timezone.now()
    registers = StandingRegister.of_each(bridge_ids)
    points = points_of_each(bridge_ids, agency)
    read = [each for each in registers if points[each.bridge.pk]]
    if not read:
        return [_unread(each, now) for each in registers]
    every = [point for each in read for point in points[each.bridge.pk]]
    found = judged(every, agency, registers=registers)
    verdicts = verdicts_of(found, now)
    # Readings of open visits neither stand nor disprove.
    handed_in = np.flatnonzero(found.handed_in)
    mark_standing(
        [verdicts[row] for row in handed_in.tolist()],
        found.of_point[handed_in].tolist(),
        agency.watch_k,
    )
    cases = list(_cases(read, points, seen))
    visits = Round(cases, found, agency)
    today = [_today(case, found, now) for case in cases]
    histories = histories_of(
        found, [Known(each.view.rows, now) for each in today] + visits.known(), agency
    )
    told = diagnoses_of(found, today + visits.asked(), agency)
    count = len(cases)
    showed = visits.told(verdicts, histories[count:], told[count:])
    assessed = {
        case.register.bridge.pk: _assessed(case, found, verdicts, *results)
        for case, *results in zip(cases, histories[:count], told[:count], showed, strict=True)
    }
    return [assessed.get(each.bridge.pk) or _unread(each, now) for each in registers]


def _cases(
    registers: Iterable[StandingRegister],
    points: Mapping[int, Sequence[Point]],
    seen: Mapping[int, Mapping[int, str]],
) -> Iterator[Case]:
    first = 0
    for register in registers:
        pk = register.bridge.pk
        rows = np.arange(first, first + len(points[pk]))
        yield Case(register, Site(register.units, register.elements), rows, seen.get(pk, {}))
        first += rows.size


def _today(case: Case, found: Judged, now: dt.datetime) -> Asked:
    devices = case.register.installations.values()
    standing = frozenset(device.pk for device in devices if stands_now(device))
    return Asked(View(case.site, case.rows[found.handed_in[case.rows]], standing), now, every=True)


def _assessed(
    case: Case,
    found: Judged,
    verdicts: Sequence[Verdict],
    histories: list[ElementHistory],
    told: list[ToldUnit],
    visits: list[VisitTold],
) -> Assessed:
    rows = case.rows.tolist()
    handed_in = [verdicts[row] for row in rows if found.handed_in[row]]
    register = case.register
    statuses = statuses_of(register.elements, register.installations, handed_in, histories, told)
    mine = [verdicts[row] for row in rows]
    return Assessed(register, mine, handed_in, histories, told, statuses, visits)


def _unread(register: StandingRegister, now: dt.datetime) -> Assessed:
    told = unread(register.units, now)
    statuses = statuses_of(register.elements, register.installations, [], [], told)
    return Assessed(register, [], [], [], told, statuses, [])


def _judge(here: Sequence[int], agency: AgencySettings) -> None:
    seen = on_record(here)
    assessed = _assess(here, agency, seen)
    _replace(here, assessed)
    write_checks([Held(each.register, each.handed_in) for each in assessed], agency)
    visits = [visit for each in assessed for visit in each.visits]
    if visits or any(seen.values()):
        replace_sightings(here, visits)
    replace_critical(here)
    write_flags_of_each(here, agency, [each.register for each in assessed])


def _replace(bridge_ids: Sequence[int], assessed: Sequence[Assessed]) -> None:
    """Put what was assessed in place of what is stored."""
    elements = Element.objects.filter(bridge__in=bridge_ids).order_by()
    units = Unit.objects.filter(bridge__in=bridge_ids).order_by()
    diagnoses = UnitDiagnosis.objects.filter(unit__in=units).order_by()
    # What refers to other rows goes before them; the database sees to it that nothing is left.
    for rows in (
        ElementStatus.objects.filter(bridge__in=bridge_ids),
        Explanation.objects.filter(diagnosis__in=diagnoses),
        diagnoses,
        ElementHistory.objects.filter(element__in=elements),
    ):
        rows._raw_delete(rows.db)
    verdicts = Verdict.objects.filter(element__in=elements)
    write_verdicts(verdicts, [row for each in assessed for row in each.verdicts])
    insert([row for each in assessed for row in each.histories], keyed=True)
    told = [unit for each in assessed for unit in each.told]
    insert([each.diagnosis for each in told], keyed=True)
    insert([row for each in told for row in each.explanations], keyed=True)
    insert([row for each in assessed for row in each.statuses])
