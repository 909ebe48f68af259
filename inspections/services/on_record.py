"""What new rows are held to: what stands on record where they are to go."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass, field
from typing import NamedTuple

from inspections.models import Inspection, Reading, TemperatureReading
from inspections.services.new_rows import NewReading
from inspections.services.rows_passed import RowsPassed
from inspections.services.standing_register import StandingRegister
from inventory.models import Installation


class Stored(NamedTuple):
    """What a reading on record holds besides its key."""

    value: float
    accuracy: float | None
    instrument_id: int | None


class Devices(dict[int, list[Installation]]):
    """What stood at elements, by their keys; looked up once, however many visits read there."""

    @classmethod
    def of(cls, register: StandingRegister) -> Devices:
        """Return what stood at each element of a bridge whose register has been read."""
        found = cls((each.pk, []) for each in register.elements)
        for device in register.installations.values():
            found[device.element_id].append(device)
        return found

    def look_up(self, element_ids: Iterable[int]) -> None:
        """Read what stood at elements, unless it is known."""
        new = set(element_ids) - self.keys()
        if not new:
            return
        self.update((each, []) for each in new)
        rows = Installation.objects.filter(element_id__in=new).order_by()
        for device in rows.only("element_id", "device_type", "installed_on", "removed_on"):
            self[device.element_id].append(device)


@dataclass(frozen=True, slots=True)
class OnRecord:
    """What new rows are held to: devices by element, rows by inspection and what they are of.

    Of a point or place it is all that ever stood there, the last of it as it stands now: a row
    that was handed in once stays known when it has been corrected, and so does its correction.
    """

    devices: Devices
    readings: dict[int, dict[tuple, list[Stored | NewReading]]]
    temperatures: dict[int, dict[tuple, list[tuple[float, bool]]]]
    passed: RowsPassed = field(default_factory=RowsPassed)
    local_times: dict[str, dict[dt.datetime, tuple[dt.datetime, dt.date, int]]] = field(
        default_factory=lambda: defaultdict(dict)
    )
    """Times in a zone, by its name, with day and day's number: many visits are read at the same."""

    @classmethod
    def of(
        cls,
        inspections: Collection[Inspection],
        element_ids: Iterable[int],
        devices: Devices,
        passed: RowsPassed | None = None,
    ) -> OnRecord:
        """Read what stands in some inspections, and at some elements, in three queries."""
        devices.look_up(element_ids)
        passed = RowsPassed() if passed is None else passed
        found = cls(devices, defaultdict(dict), defaultdict(dict), passed)
        for visit, *of, value, accuracy, instrument_id in (
            Reading.objects.filter(inspection__in=inspections)
            .order_by("pk")
            .values_list(
                "inspection_id", "element_id", "quantity", "point", "axis", "repeat", "taken_at",
                "value", "accuracy", "instrument_id",
            )
        ):  # fmt: skip
            stored = Stored(value, accuracy, instrument_id)
            found.readings[visit].setdefault(tuple(of), []).append(stored)
        for visit, *of, value, sunlit in (
            TemperatureReading.objects.filter(inspection__in=inspections)
            .order_by("pk")
            .values_list("inspection_id", "unit_id", "place", "taken_at", "temperature_c", "sunlit")
        ):
            found.temperatures[visit].setdefault(tuple(of), []).append((value, sunlit))
        return found
