"""The stored register as the text of its file."""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterator
from typing import IO

from django.core.exceptions import ObjectDoesNotExist
from django.db import models
from django.db.models import Prefetch, QuerySet

from inventory.exchange.columns import MODELS, NAMES, OF_RECORD, RECORD, Record
from inventory.exchange.problems import neutralise
from inventory.models import (
    Bridge,
    District,
    Element,
    Installation,
    StationYear,
    Support,
    TemperatureBasis,
    Unit,
    UnitConcrete,
    UnitSection,
)

_AT_ONCE = 200
_PART_NAMES = {
    # how a row reaches the other tables that hold its columns
    TemperatureBasis: "temperature_basis",
    UnitConcrete: "concrete",
    UnitSection: "section",
    **{model: model._meta.get_field("installation").remote_field.related_name
       for model in MODELS[Record.INSTALLATION][1:]},
}  # fmt: skip


def write_register(
    file: IO[str],
    bridges: QuerySet[Bridge] | None = None,
    progress: Callable[[int], None] = lambda count: None,
) -> int:
    """Write the register, or some bridges of it with their districts; return the rows written.

    Districts come first, then bridge by bridge its units, supports and places, each place
    followed by its devices, then the years of air stations, of some bridges those of their
    own.  ``file`` must have been opened with ``newline=""``; ``progress``
    is told the bridges written, one by one.
    """
    writer = csv.writer(file, lineterminator="\n")
    writer.writerow([RECORD, *NAMES])
    count = 0
    for record, row in _rows(bridges):
        columns = OF_RECORD[record]
        written = {RECORD: record.value}
        for part in _parts(record, row):
            written |= {
                name: column.written(part)
                for name, column in columns.items()
                if isinstance(part, column.model)
            }
        writer.writerow([neutralise(written.get(name, "")) for name in (RECORD, *NAMES)])
        count += 1
        progress(record == Record.BRIDGE)
    return count


def _rows(bridges: QuerySet[Bridge] | None) -> Iterator[tuple[Record, models.Model]]:
    chosen = Bridge.objects.all() if bridges is None else bridges
    districts = District.objects.order_by("code")
    if bridges is not None:
        districts = districts.filter(bridges__in=bridges).distinct()
    for district in districts:
        yield Record.DISTRICT, district
    devices = Installation.objects.select_related(
        *(_PART_NAMES[model] for model in MODELS[Record.INSTALLATION][1:])
    )
    whole = (
        chosen.order_by("code")
        .select_related("district", "temperature_basis")
        .prefetch_related(
            Prefetch(
                "units",
                Unit.objects.order_by("start_station_m", "code").select_related(
                    "concrete", "section"
                ),
            ),
            Prefetch("supports", Support.objects.order_by("station_m", "code")),
            Prefetch(
                "elements",
                Element.objects.order_by("station_m", "code").select_related(
                    "support", "unit", "unit_ahead"
                ),
            ),
            Prefetch("elements__installations", devices.order_by("installed_on")),
        )
    )
    for bridge in whole.iterator(chunk_size=_AT_ONCE):
        yield Record.BRIDGE, bridge
        for unit in bridge.units.all():
            yield Record.UNIT, unit
        for support in bridge.supports.all():
            yield Record.SUPPORT, support
        for element in bridge.elements.all():
            yield Record.ELEMENT, element
            for device in element.installations.all():
                yield Record.INSTALLATION, device
    years = StationYear.objects.order_by("station", "year")
    if bridges is not None:
        years = years.filter(station__in=bridges.exclude(air_station="").values("air_station"))
    for year in years.iterator():
        yield Record.STATION_YEAR, year


def _parts(record: Record, row: models.Model) -> Iterator[models.Model]:
    yield row
    if isinstance(row, Installation):
        yield row.element
    for model in MODELS[record][1:]:
        try:
            yield getattr(row, _PART_NAMES[model])
        except ObjectDoesNotExist:
            continue
