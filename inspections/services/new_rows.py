"""Readings and temperatures on their way in, and what is wrong with them."""

from __future__ import annotations

import datetime as dt
import uuid
from dataclasses import dataclass
from typing import NamedTuple

from inspections.models import Instrument, TabletRecord
from inventory.models import Element, Unit


class NewReading(NamedTuple):
    """A measured value on its way in; ``value`` is in the stored unit of its quantity."""

    element: Element
    quantity: str
    value: float
    typed: str
    taken_at: dt.datetime
    point: str = ""
    axis: str = ""
    repeat: int = 1
    instrument: Instrument | None = None
    accuracy: float | None = None
    remark: str = ""
    record: TabletRecord | None = None

    @property
    def instrument_id(self) -> int | None:
        """Return the key of its instrument, as a row on record has it."""
        return None if self.instrument is None else self.instrument.pk


class NewTemperature(NamedTuple):
    """A temperature on its way in."""

    place: str
    temperature_c: float
    typed: str
    taken_at: dt.datetime
    unit: Unit | None = None
    sunlit: bool = False
    instrument: Instrument | None = None
    record: TabletRecord | None = None


class FreshReading(NamedTuple):
    """A reading that may be written: its inspection, and the device that it was taken on."""

    inspection_id: int
    installation_id: uuid.UUID
    new: NewReading


class FreshTemperature(NamedTuple):
    """A temperature that may be written."""

    inspection_id: int
    new: NewTemperature


@dataclass(frozen=True, slots=True)
class RowProblem:
    """What is wrong with one of the rows handed in."""

    row: int
    field: str
    message: str


class RowsRefused(Exception):  # noqa: N818 - reads as what happened; the problems are inside
    """Some rows cannot be taken, so none was."""

    def __init__(
        self, readings: list[RowProblem] | None = None, temperatures: list[RowProblem] | None = None
    ) -> None:
        self.readings = readings or []
        self.temperatures = temperatures or []
        super().__init__(f"{len(self.readings) + len(self.temperatures)} rows refused")
