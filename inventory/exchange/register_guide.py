"""The register's format told to people: a table of its columns, and a file to start from."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from typing import IO

from inventory.exchange.cells import Number
from inventory.exchange.columns import NAMES, OF_RECORD, RECORD, Record

EXAMPLES: dict[Record, dict[str, str]] = {
    Record.DISTRICT: {"district_code": "N", "name": "North"},
    Record.BRIDGE: {
        "district_code": "N",
        "bridge_code": "N-001",
        "name": "Mill Lane over Alder Water",
        "carries": "Mill Lane",
        "crosses": "Alder Water",
        "main_material": "Steel, composite",
        "year_built": "1998",
        "length_m": "84.2",
        "largest_span_m": "42",
        "skew_deg": "12",
        "time_zone": "Europe/Lisbon",
        "air_station": "ALDER-7",
        "basis_method": "en_1991_1_5",
        "shade_air_min_c": "-20",
        "shade_air_max_c": "38",
        "basis_source": "Drawing 104",
    },
    Record.UNIT: {
        "bridge_code": "N-001",
        "unit_code": "U1",
        "name": "Spans 1 and 2",
        "deck_type": "composite",
        "start_station_m": "0",
        "end_station_m": "84",
        "fixed_station_m": "42",
        "expansion_per_c": "12e-6",
        "shortening_rule": "en_2004",
        "cast_on": "1997-09-15",
        "concrete_strength_mpa": "35",
        "humidity_percent": "75",
        "notional_size_mm": "250",
        "section_form": "composite_girders",
        "depth_mm": "1750",
        "surfacing_mm": "90",
        "slab_mm": "250",
        "girder_spacing_mm": "2800",
    },
    Record.SUPPORT: {
        "bridge_code": "N-001",
        "support_code": "A2",
        "name": "East abutment",
        "kind": "abutment",
        "station_m": "84",
    },
    Record.ELEMENT: {
        "bridge_code": "N-001",
        "unit_code": "U1",
        "support_code": "A2",
        "element_code": "J2",
        "name": "Joint at the east abutment",
        "kind": "joint",
        "station_m": "84",
        "skew_deg": "12",
        "access": "deck",
        "replaceable": "yes",
    },
    Record.INSTALLATION: {
        "bridge_code": "N-001",
        "element_code": "J2",
        "device_type": "strip_seal",
        "installed_on": "2011-05-17",
        "setting_source": "measured",
        "setting_temperature_c": "14",
        "setting_gap_mm": "45",
        "setting_gap_axis": "square",
        "opening_min_mm": "10",
        "opening_max_mm": "80",
        "opening_axis": "square",
    },
    Record.STATION_YEAR: {
        "station": "ALDER-7",
        "year": "2003",
        "year_min_c": "-11.4",
        "year_max_c": "35.2",
    },
}
"""One invented row of each record; together they are a file that can be imported."""


@dataclass(frozen=True, slots=True)
class Told:
    """A column in words."""

    name: str
    unit: str
    records: str
    needed: str
    meaning: str


def described() -> list[Told]:
    """Return every column with its unit, its records, who needs it, and what it means."""
    kinds = ", ".join(Record)
    told = [Told(RECORD, "", "all", "yes", f"What the row is. One of: {kinds}.")]
    for name in NAMES:
        uses = {record: OF_RECORD[record][name] for record in Record if name in OF_RECORD[record]}
        needing = [record for record, column in uses.items() if column.needed]
        meanings: dict[str, list[str]] = {}
        for record, column in uses.items():
            meanings.setdefault(column.meaning, []).append(record)
        several = len(meanings) > 1
        cell = next(iter(uses.values())).cell
        told.append(
            Told(
                name,
                cell.quantity.unit if isinstance(cell, Number) else "",
                "all" if len(uses) == len(Record) else ", ".join(uses),
                "yes" if len(needing) == len(uses) else ", ".join(needing),
                " ".join(
                    f"In {' and '.join(records)} rows: {meaning}" if several else meaning
                    for meaning, records in meanings.items()
                ),
            )
        )
    return told


BEARING: dict[Record, dict[str, str]] = {
    Record.ELEMENT: {
        "bridge_code": "N-001",
        "unit_code": "U1",
        "support_code": "A2",
        "element_code": "A2-G1",
        "name": "Bearing of girder 1",
        "kind": "bearing",
        "station_m": "84",
        "line": "G1",
        "access": "ladder",
        "replaceable": "yes",
    },
    Record.INSTALLATION: {
        "bridge_code": "N-001",
        "element_code": "A2-G1",
        "device_type": "pot",
        "installed_on": "2011-05-17",
        "setting_source": "measured",
        "setting_temperature_c": "14",
        "setting_offset_along_mm": "0",
        "setting_offset_across_mm": "0",
        "movement_back_mm": "40",
        "movement_ahead_mm": "40",
        "movement_left_mm": "0",
        "movement_right_mm": "0",
        "rotation_mrad": "20",
    },
}
"""A second element: what a bearing fills in is not what a joint does."""


def write_template(file: IO[str]) -> None:
    """Write the header with one example row of each record, and those of a bearing."""
    writer = csv.DictWriter(file, [RECORD, *NAMES], restval="", lineterminator="\n")
    writer.writeheader()
    examples = [*EXAMPLES.items(), *BEARING.items()]
    writer.writerows({RECORD: record.value, **cells} for record, cells in examples)
