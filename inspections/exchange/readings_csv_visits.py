"""What a readings file tells, visit by visit, and what its rows may name."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass, field
from typing import NamedTuple

from inspections.models import Instrument
from inspections.services.readings import NewReading, NewTemperature
from inventory.models import Bridge, Element, Unit


class VisitKey(NamedTuple):
    """Names an inspection: one of a kind a day."""

    bridge_code: str
    date: dt.date
    kind: str


class Cell(NamedTuple):
    """Where a value stood in the file."""

    line: int
    column: str


@dataclass(slots=True)
class Visit:
    """What a file tells of one visit; cells go with readings and temperatures, one by one."""

    bridge: Bridge
    key: VisitKey
    line: int
    team: str = ""
    weather: str = ""
    readings: list[NewReading] = field(default_factory=list)
    reading_cells: list[Cell] = field(default_factory=list)
    temperatures: list[NewTemperature] = field(default_factory=list)
    temperature_cells: list[Cell] = field(default_factory=list)
    said_on: dict[str, int] = field(default_factory=dict)


@dataclass(slots=True)
class Known:
    """What rows may name, by its code; places and units by their bridge first.

    ``bridge_codes`` are those near which an unknown one may lie.
    """

    bridges: dict[str, Bridge]
    bridge_codes: list[str]
    elements: dict[int, dict[str, Element]]
    units: dict[int, dict[str, Unit]]
    instruments: dict[str, Instrument]

    @classmethod
    def of(cls, bridge_codes: set[str]) -> Known:
        """Load what belongs to the bridges that a file names, in a few queries."""
        bridges = {row.code: row for row in Bridge.objects.filter(code__in=bridge_codes)}
        all_known = bridges.keys() == bridge_codes
        known = cls(
            bridges,
            [] if all_known else list(Bridge.objects.values_list("code", flat=True)),
            defaultdict(dict),
            defaultdict(dict),
            {row.code: row for row in Instrument.objects.all()},
        )
        for model, by_bridge in ((Element, known.elements), (Unit, known.units)):
            for row in model.objects.filter(bridge__in=bridges.values()):
                by_bridge[row.bridge_id][row.code] = row
        return known
