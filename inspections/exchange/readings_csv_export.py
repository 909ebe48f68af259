"""Readings out to a CSV file, in the format in which they come in."""

from __future__ import annotations

import csv
import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Iterator
from typing import TextIO
from zoneinfo import ZoneInfo

from inspections.exchange.readings_csv_columns import (
    NAMES,
    READING_COLUMNS,
    TEMPERATURE_COLUMNS,
    ValueColumn,
)
from inspections.models import Reading, TemperatureReading
from inventory.exchange.problems import neutralise
from inventory.models import Bridge
from inventory.units import parse
from movement.errors import InputError

_READING_COLUMN = {(each.quantity, each.axis): each for each in READING_COLUMNS}
_TEMPERATURE_COLUMN = {each.place: each for each in TEMPERATURE_COLUMNS}
_DECIMALS = 7
"""Kept of a value in its stored unit: far below what anyone reads, and no rounding noise."""
_SAME = 1e-6

SAMPLE_ROWS = (
    {"bridge_code": "N-001", "inspection_date": "2024-06-01", "inspection_kind": "routine",
     "team": "lead and one inspector", "weather": "overcast", "taken_at": "2024-06-01 08:00",
     "air_shade_c": "17.5", "girder_web_c": "16.2", "deck_soffit_c": "61 F"},
    {"bridge_code": "N-001", "inspection_date": "2024-06-01", "inspection_kind": "routine",
     "taken_at": "2024-06-01 08:30", "element_code": "J2", "point": "left",
     "gap_square_mm": "1 11/16 in", "accuracy": "1.5"},
    {"bridge_code": "N-001", "inspection_date": "2024-06-01", "inspection_kind": "routine",
     "taken_at": "2024-06-01 08:40", "element_code": "J2", "point": "right",
     "gap_square_mm": "43.5", "remark": "seal torn at the kerb"},
)  # fmt: skip
"""An invented visit, as people write it, at the bridge of the sample of the register."""


def write_template(stream: TextIO) -> None:
    """Write every column with the rows of an invented visit."""
    _write(stream, SAMPLE_ROWS)


def write_readings(stream: TextIO, bridges: Iterable[Bridge], as_typed: bool = False) -> int:
    """Write all readings of some bridges; return the number of rows.

    A corrected reading is written as it now stands.  ``as_typed`` writes values in the
    words in which they were entered, where these still say the same.
    """
    return _write(stream, (row for bridge in bridges for row in _rows_of_bridge(bridge, as_typed)))


def _write(stream: TextIO, rows: Iterable[dict[str, str]]) -> int:
    writer = csv.DictWriter(stream, NAMES, restval="", lineterminator="\n")
    writer.writeheader()
    count = 0
    for row in rows:
        writer.writerow({name: neutralise(cell) for name, cell in row.items()})
        count += 1
    return count


def _rows_of_bridge(bridge: Bridge, as_typed: bool) -> Iterator[dict[str, str]]:
    zone = ZoneInfo(bridge.time_zone)
    readings, temperatures = defaultdict(list), defaultdict(list)
    for reading in (
        Reading.objects.filter(inspection__bridge=bridge, corrected_by__isnull=True)
        .select_related("element", "instrument")
        .order_by("taken_at", "element__station_m", "element__code", "point", "repeat", "pk")
    ):
        readings[reading.inspection_id].append(reading)
    for temperature in (
        TemperatureReading.objects.filter(inspection__bridge=bridge, corrected_by__isnull=True)
        .select_related("unit", "instrument")
        .order_by("taken_at", "pk")
    ):
        temperatures[temperature.inspection_id].append(temperature)
    for inspection in bridge.inspections.order_by("date", "kind"):
        head = {
            "bridge_code": bridge.code,
            "inspection_date": inspection.date.isoformat(),
            "inspection_kind": inspection.kind,
            "team": inspection.team,
            "weather": inspection.weather,
        }
        yield from _temperature_rows(head, temperatures[inspection.pk], zone, as_typed)
        yield from _reading_rows(head, readings[inspection.pk], zone, as_typed)


def _temperature_rows(
    head: dict[str, str], temperatures: list[TemperatureReading], zone: ZoneInfo, as_typed: bool
) -> Iterator[dict[str, str]]:
    grouped = defaultdict(list)
    for each in temperatures:
        grouped[each.taken_at, each.unit, each.instrument].append(each)
    for (taken_at, unit, instrument), rows in grouped.items():
        yield head | {
            "taken_at": _local(taken_at, zone),
            "unit_code": unit.code if unit else "",
            "sunlit": " ".join(each.place for each in rows if each.sunlit),
            "instrument": instrument.code if instrument else "",
            **dict(
                _cell(_TEMPERATURE_COLUMN[each.place], each.temperature_c, each.typed, as_typed)
                for each in rows
            ),
        }


def _reading_rows(
    head: dict[str, str], readings: list[Reading], zone: ZoneInfo, as_typed: bool
) -> Iterator[dict[str, str]]:
    grouped = defaultdict(list)
    for each in readings:
        column = _READING_COLUMN[each.quantity, each.axis]
        # An accuracy stands for the values of its row, so these must share a unit.
        unit = "" if each.accuracy is None else column.dimension
        grouped[
            each.taken_at, each.element, each.point, each.repeat, each.instrument, each.accuracy,
            each.remark, unit,
        ].append((column, each))  # fmt: skip
    for key, rows in grouped.items():
        taken_at, element, point, repeat, instrument, accuracy, remark, _unit = key
        yield head | {
            "taken_at": _local(taken_at, zone),
            "element_code": element.code,
            "point": point,
            "repeat": "" if repeat == 1 else str(repeat),
            "instrument": instrument.code if instrument else "",
            "accuracy": "" if accuracy is None else _number(accuracy),
            "remark": remark,
            **dict(_cell(column, each.value, each.typed, as_typed) for column, each in rows),
        }


def _cell(column: ValueColumn, value: float, typed: str, as_typed: bool) -> tuple[str, str]:
    if as_typed and _still_says(column, typed, value):
        return column.name, typed
    return column.name, _number(value)


def _still_says(column: ValueColumn, typed: str, value: float) -> bool:
    try:
        return abs(parse(column.name, typed, column.dimension).value - value) <= _SAME
    except InputError:
        return False


def _number(value: float) -> str:
    # Adding 0 turns -0.0 into 0.0: the same figure is written one way.
    return repr(round(value, _DECIMALS) + 0.0).removesuffix(".0")


def _local(taken_at: dt.datetime, zone: ZoneInfo) -> str:
    """Return a time in the bridge's zone with its offset, which clock changes cannot blur."""
    local = taken_at.astimezone(zone)
    whole = local.second == local.microsecond == 0
    return local.isoformat(sep=" ", timespec="minutes" if whole else "auto")
