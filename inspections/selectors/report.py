"""What the condition report of a bridge shows, in a number of queries that never grows."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TypeVar

from django.db.models import F, QuerySet, Window
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

LAST_INSPECTIONS = 5
LAST_PHOTOS = 2
"""Photos of a flagged element, the newest."""


@dataclass(frozen=True, slots=True)
class ReportElement:
    """An element with its verdicts: those of the device that stands there now, oldest
    first, and how many belong to devices that stood there before."""

    element: Element
    status: ElementStatus | None
    verdicts: list[Verdict]
    earlier_count: int
    histories: list[ElementHistory]
    checks: list[CapacityCheck]
    explanation: Explanation | None
    """What explains its unit's readings, where that names it or its support."""
    photos: Sequence[Photo] = ()
    """The newest of a flagged element, oldest first."""

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
class Report:
    """Everything that a condition report tells of a bridge."""

    bridge: Bridge
    basis: TemperatureBasis | None
    strip: BridgeStrip
    flagged: list[ReportElement]
    """The worst first."""
    others: list[ReportElement]
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

    @property
    def checks(self) -> list[CapacityCheck]:
        """Every check of capacity that was made."""
        elements = (*self.flagged, *self.others)
        return [check for each in elements for check in each.checks if check.use is not None]

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
    """Return everything that the condition report of a bridge shows."""
    current: dict[int, list[Verdict]] = {}
    earlier: Counter[int] = Counter()
    rows = list(elements().filter(bridge=bridge).order_by("station_m", "code"))
    devices = {row.pk: row.current_installation_id for row in rows}
    for verdict in verdicts_of_bridge(bridge):
        if verdict.installation_id == devices[verdict.element_id]:
            current.setdefault(verdict.element_id, []).append(verdict)
        else:
            earlier[verdict.element_id] += 1
    histories = _by_element(current_histories().filter(element__bridge=bridge))
    checks = _by_element(current_checks().filter(element__bridge=bridge))
    explained = list(diagnoses_of(bridge))
    photos = _last_photos(bridge)
    found = [
        ReportElement(
            row,
            getattr(row, "status", None),
            current.get(row.pk, []),
            earlier[row.pk],
            histories.get(row.pk, []),
            checks.get(row.pk, []),
            concerning(explained, row),
            photos.get(row.pk, ()),
        )
        for row in rows
    ]
    units = list(bridge.units.select_related("section", "concrete").order_by("start_station_m"))
    strip = bridge_strip(bridge, units)
    basis = getattr(bridge, "temperature_basis", None)
    return Report(
        bridge=bridge,
        basis=basis,
        strip=strip,
        flagged=sorted((each for each in found if each.is_flagged), key=_worst_first),
        others=[each for each in found if not each.is_flagged],
        inspections=list(inspections_of(bridge)[:LAST_INSPECTIONS]),
        extremes=extremes_of_units(basis, strip.units),
        agency=AgencySettings.current(),
        diagnoses=explained,
        ratings=ratings_of(bridge),
        shortening_rules=_shortening_rules(units),
    )


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
        getattr(element, "status", None),
        current,
        earlier,
        list(current_histories().filter(element=element)),
        list(current_checks().filter(element=element)),
        concerning(list(diagnoses_of(element.bridge)), element),
    )


def _last_photos(bridge: Bridge) -> dict[int, list[Photo]]:
    """Return the newest photos of each flagged element, oldest first."""
    place = Window(
        RowNumber(), partition_by="element_id", order_by=[F("taken_at").desc(), F("uid").desc()]
    )
    rows = Photo.objects.filter(element__bridge=bridge, element__status__verdict__in=FLAGGED)
    found: dict[int, list[Photo]] = {}
    for photo in rows.annotate(place=place).filter(place__lte=LAST_PHOTOS).order_by("-place"):
        found.setdefault(photo.element_id, []).append(photo)
    return found


def _by_element(rows: Iterable[Row]) -> dict[int, list[Row]]:
    found: dict[int, list[Row]] = {}
    for row in rows:
        found.setdefault(row.element_id, []).append(row)
    return found


def _shortening_rules(units: Iterable[Unit]) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for unit in units:
        concrete = getattr(unit, "concrete", None)
        if concrete is not None:
            found.setdefault(concrete.shortening_rule, []).append(unit.code)
    return found


def _worst_first(each: ReportElement) -> tuple[int, float, str]:
    use = each.status.greatest_use if each.status else None
    return (-each.word, -(use or 0.0), each.element.code)
