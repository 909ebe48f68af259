"""What the pages of a visit show: the list, the walk from element to element, what was read."""

from __future__ import annotations

import datetime as dt
import re
from collections import defaultdict
from dataclasses import dataclass
from itertools import pairwise
from typing import TypeVar
from zoneinfo import ZoneInfo

from django.db.models import Count, Exists, IntegerField, Max, OuterRef, QuerySet, Subquery
from django.db.models.functions import Coalesce
from django.utils import timezone

from inspections.event_checklists import ORDER
from inspections.form_spec import FIELDS
from inspections.lookups.devices import device_on
from inspections.lookups.stops import Measured, PointRead, Stop, Taken
from inspections.models import Inspection, Reading, TemperatureReading, Verdict
from inspections.models.choices import InspectionKind, ReadingQuantity, VerdictWord
from inventory.models import Bridge, Element, Installation
from inventory.models.choices import ElementKind

NOON = dt.time(12)
Row = TypeVar("Row", Reading, TemperatureReading)


@dataclass(frozen=True, slots=True)
class InspectionSheet:
    """Everything that the page of one inspection shows."""

    stops: list[Stop]
    temperatures: list[Taken]

    @property
    def done(self) -> int:
        """Elements with nothing left to read."""
        return sum(not stop.missing for stop in self.stops)

    @property
    def begun(self) -> int:
        """Elements with at least one reading."""
        return sum(bool(stop.reads) for stop in self.stops)

    @property
    def found(self) -> dict[VerdictWord, list[Stop]]:
        """The elements that were read, by the weightiest verdict of each."""
        judged = [(stop.worst.verdict, stop) for stop in self.stops if stop.worst is not None]
        return {word: [stop for verdict, stop in judged if verdict == word] for word in VerdictWord}


def inspections() -> QuerySet[Inspection]:
    """Return inspections, newest first, each with how many readings stand in it."""
    standing = (
        Reading.objects.filter(inspection=OuterRef("pk"), corrected_by__isnull=True)
        .order_by()
        .values("inspection")
        .annotate(count=Count("pk"))
        .values("count")
    )
    return (
        Inspection.objects.select_related("bridge")
        .annotate(reading_count=Coalesce(Subquery(standing, output_field=IntegerField()), 0))
        .order_by("-date", "bridge__code", "-pk")
    )


def bridges_to_inspect() -> QuerySet[Bridge]:
    """Return the bridges that have something to read."""
    return Bridge.objects.filter(
        Exists(Element.objects.filter(bridge=OuterRef("pk")))
    ).order_by("code")  # fmt: skip


def same_visit(bridge: Bridge, date: dt.date, kind: str) -> Inspection | None:
    """Return the inspection that stands in the way of another of its kind that day."""
    return Inspection.objects.filter(bridge=bridge, date=date, kind=kind).first()


def inspection_sheet(inspection: Inspection) -> InspectionSheet:
    """Return what was read in an inspection, and what is still to be read."""
    reads = reads_of(inspection)
    stops = walk(inspection)
    for stop in stops:
        stop.reads = reads[stop.element.pk]
    return InspectionSheet(stops, temperatures_of(inspection))


def temperatures_of(inspection: Inspection) -> list[Taken]:
    """Return the temperatures taken in an inspection, by time and place."""
    rows = list(inspection.temperatures.select_related("unit", "created_by", "instrument"))
    corrected_by = {row.corrects_id: row for row in rows if row.corrects_id}
    return [Taken(*_as_it_stands(row, corrected_by)) for row in rows if row.corrects_id is None]


def walk(inspection: Inspection) -> list[Stop]:
    """Return the elements that held a device at that time, in walking order."""
    installations = defaultdict(list)
    for row in Installation.objects.filter(
        element__bridge_id=inspection.bridge_id
    ).select_related("restraint_design"):  # fmt: skip
        installations[row.element_id].append(row)
    elements = Element.objects.filter(bridge_id=inspection.bridge_id).select_related("support")
    # A visit may run over midnight, so the day's device counts first, then its neighbours'.
    days = [inspection.date + dt.timedelta(days=away) for away in (0, 1, -1, 2, -2)]
    stops = []
    first = _restraints_first if inspection.kind == InspectionKind.EVENT else _walking_order
    for element in sorted(elements, key=first):
        there = [device_on(installations[element.pk], day) for day in days]
        installed = next((row for row in there if row is not None), None)
        if installed is not None:
            stops.append(Stop(element, installed))
    return stops


def elements_to_label(bridge: Bridge) -> list[Element]:
    """Return the elements of a bridge in walking order."""
    rows = Element.objects.filter(bridge=bridge)
    return sorted(
        rows.select_related("bridge", "support", "current_installation"), key=_walking_order
    )


def neighbours(stops: list[Stop], element_pk: int) -> tuple[Stop | None, Stop | None]:
    """Return the stops before and after an element."""
    before = after = None
    for earlier, later in pairwise(stops):
        if later.element.pk == element_pk:
            before = earlier
        if earlier.element.pk == element_pk:
            after = later
    return before, after


def reads_of(
    inspection: Inspection, element: Element | None = None
) -> defaultdict[int, list[PointRead]]:
    """Return what was read in an inspection, by element, each point with its verdict."""
    readings = inspection.readings.select_related("created_by", "instrument", "set_aside").order_by(
        "pk"
    )
    verdicts = inspection.verdicts.all()
    if element is not None:
        readings, verdicts = readings.filter(element=element), verdicts.filter(element=element)
    verdict_of = {(row.element_id, *_point_key(row)): row for row in verdicts}
    rows = list(readings)
    corrected_by = {row.corrects_id: row for row in rows if row.corrects_id}
    grouped: dict[tuple, PointRead] = {}
    for row in rows:
        if row.corrects_id is None:
            key = (row.element_id, *_point_key(row))
            read = grouped.setdefault(key, PointRead([], verdict_of.get(key)))
            read.measured.append(Measured(*_as_it_stands(row, corrected_by)))
    result = defaultdict(list)
    for (element_id, *_), read in grouped.items():
        read.measured.sort(key=lambda each: each.reading.repeat)
        result[element_id].append(read)
    for reads in result.values():
        reads.sort(key=lambda read: _reading_order(read.first))
    return result


def known_time(inspection: Inspection) -> dt.datetime | None:
    """Return the time that a form begins with: now during the visit, else its last entry.

    What is typed in later from paper has the hours of the paper: none is proposed for the first.
    """
    zone = ZoneInfo(inspection.bridge.time_zone)
    now = timezone.now().astimezone(zone).replace(second=0, microsecond=0)
    if now.date() == inspection.date:
        return now
    last = [
        table.aggregate(last=Max("taken_at"))["last"]
        for table in (inspection.readings, inspection.temperatures)
    ]
    known = [each.astimezone(zone) for each in last if each is not None]
    return max(known, default=None)


def noon_of(inspection: Inspection) -> dt.datetime:
    """Return the middle of the day of a visit."""
    return dt.datetime.combine(inspection.date, NOON, ZoneInfo(inspection.bridge.time_zone))


def instruments_in_use(inspection: Inspection) -> dict[str, int]:
    """Return the instrument last used in a visit for each of what instruments read."""
    used = inspection.readings.filter(instrument__isnull=False).order_by("pk")
    return dict(used.values_list("instrument__dimension", "instrument_id"))


def _as_it_stands(row: Row, corrected_by: dict[int | None, Row]) -> tuple[Row, list[Row]]:
    """Return the row that stands in place of another, and those that it replaced."""
    replaced = []
    while row.pk in corrected_by:
        replaced.append(row)
        row = corrected_by[row.pk]
    return row, replaced


def _point_key(row: Reading | Verdict) -> tuple[str, str, str, dt.datetime]:
    return row.quantity, row.point, row.axis, row.taken_at


def _reading_order(row: Reading) -> tuple:
    quantities = list(ReadingQuantity)
    points = FIELDS[ReadingQuantity(row.quantity)].points
    return quantities.index(row.quantity), row.taken_at, points.index(row.point), row.axis


def _walking_order(element: Element) -> tuple:
    return element.support.station_m, _natural(element.support.code), _natural(element.code)


def _restraints_first(element: Element) -> tuple:
    """After an event every support begins with what keeps the deck in place."""
    at_m, support, code = _walking_order(element)
    return at_m, support, ORDER.index(ElementKind(element.kind)), code


def _natural(text: str) -> list[tuple[int, int, str]]:
    """Sort key that puts B2 before B10."""
    return [
        (0, int(part), "") if part.isdigit() else (1, 0, part)
        for part in re.split(r"(\d+)", text)
        if part
    ]
