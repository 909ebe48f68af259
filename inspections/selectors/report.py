"""What the condition report of a bridge shows.

What its front needs is read at once; what is told of each element when its page comes, a block of
elements at a time, so that a long report never stands in the memory whole.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeVar

from django.db.models import Count, F, QuerySet, Window
from django.db.models.functions import RowNumber

from inspections.models import (
    AgencySettings,
    CapacityCheck,
    ComponentRating,
    ElementHistory,
    ElementStatus,
    Explanation,
    Inspection,
    Photo,
    UnitDiagnosis,
    Verdict,
)
from inspections.models.choices import VerdictWord
from inspections.selectors.desk import UnitExtremes, elements, extremes_of_units, inspections_of
from inspections.selectors.findings import (
    concerning,
    current_checks,
    current_histories,
    diagnoses_of,
)
from inspections.selectors.ratings import ratings_of
from inspections.selectors.statuses import FLAGGED, BridgeStrip, bridge_strip, verdicts_of_bridge
from inventory.models import Bridge, Element, TemperatureBasis, Unit

Row = TypeVar("Row", ElementHistory, CapacityCheck)

BLOCK = 100
"""Elements that are read at once."""
LAST_INSPECTIONS = 5
LAST_PHOTOS = 2
"""Photos of a flagged element, the newest."""


@dataclass(frozen=True, slots=True)
class ReportHead:
    """An element with its status: what the front of a report tells of it.

    Of an element that is not flagged no more is read than its code and its verdict.
    """

    element: Element
    status: ElementStatus | None
    explanation: Explanation | None
    """What explains its unit's readings, where that names it or its support."""

    @property
    def word(self) -> VerdictWord:
        """The verdict as last seen; "cannot judge" where there is none."""
        return VerdictWord(self.status.verdict if self.status else VerdictWord.CANNOT_JUDGE)

    @property
    def deciding(self) -> Verdict | None:
        """The reading that decides the verdict."""
        return self.status.deciding if self.status else None

    @property
    def is_flagged(self) -> bool:
        """True where it is out of range or to watch."""
        return self.word in FLAGGED


@dataclass(frozen=True, slots=True)
class ReportElement(ReportHead):
    """An element with its verdicts: those of the device that stands there now, oldest
    first, and how many belong to devices that stood there before."""

    verdicts: list[Verdict]
    earlier_count: int
    histories: list[ElementHistory]
    checks: list[CapacityCheck]
    photos: Sequence[Photo] = ()
    """The newest of a flagged element, oldest first."""


@dataclass(frozen=True, slots=True)
class Report:
    """What a condition report tells of a bridge; ``elements_told`` has the rest."""

    bridge: Bridge
    basis: TemperatureBasis | None
    strip: BridgeStrip
    flagged: list[ReportHead]
    """The worst first."""
    others: list[ReportHead]
    """Along the stations."""
    inspections: list[Inspection]
    """The last few, newest first."""
    extremes: list[UnitExtremes]
    agency: AgencySettings
    diagnoses: list[UnitDiagnosis]
    """What explains the readings of each unit, along the stations."""
    ratings: list[ComponentRating]
    """The last condition rating of bearings and of joints, where they were rated."""
    shortening_rules: dict[str, list[str]]
    """Rule of creep and shrinkage, with the codes of the units that name it."""
    checks_made: dict[tuple[str, str, str], int]
    """How many checks of capacity were made, by family, edition and provenance of the rule."""
    known: dict[int, Element]
    """Elements that were read whole for the front."""
    told: list[ReportElement] | None
    """All that is told of each element of a bridge of one block; None of a larger one."""

    @property
    def count(self) -> int:
        """How many elements the bridge has."""
        return len(self.flagged) + len(self.others)

    @property
    def counts(self) -> Counter[VerdictWord]:
        """How many elements have each verdict."""
        return Counter(each.word for each in (*self.flagged, *self.others))


def bridges_to_report() -> QuerySet[Bridge]:
    """Return bridges with what the head of a report needs."""
    return Bridge.objects.select_related("district", "temperature_basis__bridge")


def report_of(bridge: Bridge) -> Report:
    """Return what the condition report of a bridge shows but for its elements one by one."""
    explained = list(diagnoses_of(bridge))
    rows = list(elements().filter(bridge=bridge).order_by("station_m", "code")[: BLOCK + 1])
    is_small = len(rows) <= BLOCK
    slim = rows if is_small else list(_slim(bridge))
    if not is_small:
        rows = list(elements().filter(bridge=bridge, status__verdict__in=FLAGGED))
    flagged = [ReportHead(row, _status(row), concerning(explained, row)) for row in rows]
    flagged = sorted((each for each in flagged if each.is_flagged), key=_worst_first)
    others = [ReportHead(row, _status(row), None) for row in slim]
    others = [each for each in others if not each.is_flagged]
    known = {row.pk: row for row in rows}
    told = _block([*flagged, *others], bridge, explained, known) if is_small else None
    units = list(bridge.units.select_related("section", "concrete").order_by("start_station_m"))
    statuses = [status for row in slim if (status := _status(row)) is not None]
    strip = bridge_strip(bridge, units, statuses)
    basis = getattr(bridge, "temperature_basis", None)
    return Report(
        bridge=bridge,
        basis=basis,
        strip=strip,
        flagged=flagged,
        others=others,
        inspections=list(inspections_of(bridge)[:LAST_INSPECTIONS]),
        extremes=extremes_of_units(basis, strip.units),
        agency=AgencySettings.current(),
        diagnoses=explained,
        ratings=ratings_of(bridge),
        shortening_rules=_shortening_rules(units),
        checks_made=_checks_made(bridge) if told is None else _counted(told),
        known=known,
        told=told,
    )


def elements_told(report: Report) -> Iterator[ReportElement]:
    """Yield the flagged elements and then the others, each with all that is told of it.

    They are read in blocks of ``BLOCK``, each block in the same few queries.
    """
    if report.told is not None:
        yield from report.told
        return
    heads = [*report.flagged, *report.others]
    for start in range(0, len(heads), BLOCK):
        block = heads[start : start + BLOCK]
        yield from _block(block, report.bridge, report.diagnoses, report.known)


def _slim(bridge: Bridge) -> QuerySet[Element]:
    """Return the elements of a bridge along its stations, with no more than the front tells."""
    return (
        Element.objects.filter(bridge=bridge)
        .select_related("status")
        .only("bridge_id", "code", "kind", "station_m", "support_id", "status__verdict")
        .order_by("station_m", "code")
    )


def _block(
    heads: Sequence[ReportHead],
    bridge: Bridge,
    diagnoses: Sequence[UnitDiagnosis],
    known: Mapping[int, Element],
) -> list[ReportElement]:
    keys = [each.element.pk for each in heads]
    rows = {key: known[key] for key in keys if key in known}
    if len(rows) < len(keys):
        rows |= elements().in_bulk([key for key in keys if key not in rows])
    current: dict[int, list[Verdict]] = {}
    earlier: Counter[int] = Counter()
    # Neither the reading of a verdict nor the visit of a check is told.
    verdicts = verdicts_of_bridge(bridge).select_related(None).select_related("inspection__event")
    for verdict in verdicts.filter(element__in=keys):
        if verdict.installation_id == rows[verdict.element_id].current_installation_id:
            current.setdefault(verdict.element_id, []).append(verdict)
        else:
            earlier[verdict.element_id] += 1
    histories = _by_element(current_histories().filter(element__in=keys))
    checks = _by_element(current_checks().select_related(None).filter(element__in=keys))
    photos = _last_photos(keys)
    return [
        ReportElement(
            rows[key],
            _status(rows[key]),
            concerning(diagnoses, rows[key]),
            current.get(key, []),
            earlier[key],
            histories.get(key, []),
            checks.get(key, []),
            photos.get(key, ()),
        )
        for key in keys
    ]


def element_to_report(element: Element) -> ReportElement:
    """Return what a paper on one element shows of it, in a few queries."""
    current: list[Verdict] = []
    earlier = 0
    for verdict in verdicts_of_bridge(element.bridge).filter(element=element):
        if verdict.installation_id == element.current_installation_id:
            current.append(verdict)
        else:
            earlier += 1
    return ReportElement(
        element,
        _status(element),
        concerning(list(diagnoses_of(element.bridge)), element),
        current,
        earlier,
        list(current_histories().filter(element=element)),
        list(current_checks().filter(element=element)),
    )


def _last_photos(keys: list[int]) -> dict[int, list[Photo]]:
    """Return the newest photos of each flagged element among some, oldest first."""
    place = Window(
        RowNumber(), partition_by="element_id", order_by=[F("taken_at").desc(), F("uid").desc()]
    )
    rows = Photo.objects.filter(element__in=keys, element__status__verdict__in=FLAGGED)
    found: dict[int, list[Photo]] = {}
    for photo in rows.annotate(place=place).filter(place__lte=LAST_PHOTOS).order_by("-place"):
        found.setdefault(photo.element_id, []).append(photo)
    return found


def _by_element(rows: Iterable[Row]) -> dict[int, list[Row]]:
    found: dict[int, list[Row]] = {}
    for row in rows:
        found.setdefault(row.element_id, []).append(row)
    return found


def _status(element: Element) -> ElementStatus | None:
    return getattr(element, "status", None)


def _counted(told: Iterable[ReportElement]) -> dict[tuple[str, str, str], int]:
    made = (check for each in told for check in each.checks if check.use is not None)
    return Counter((each.family, each.edition, each.provenance) for each in made)


def _checks_made(bridge: Bridge) -> dict[tuple[str, str, str], int]:
    made = current_checks().filter(element__bridge=bridge, use__isnull=False).order_by()
    rules = made.select_related(None).values_list("family", "edition", "provenance")
    return {(*rule,): count for *rule, count in rules.annotate(count=Count("pk"))}


def _shortening_rules(units: Iterable[Unit]) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for unit in units:
        concrete = getattr(unit, "concrete", None)
        if concrete is not None:
            found.setdefault(concrete.shortening_rule, []).append(unit.code)
    return found


def _worst_first(each: ReportHead) -> tuple[int, float, str]:
    use = each.status.greatest_use if each.status else None
    return (-each.word, -(use or 0.0), each.element.code)
