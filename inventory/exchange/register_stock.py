"""What is stored of the bridges that a file names, by the keys of its rows."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from django.db import models

from inventory.exchange.columns import Record
from inventory.models import (
    DESIGN_OF_KIND,
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

Key = tuple[Any, ...]
_AT_ONCE = 500


class Stock:
    """Rows of the register in memory, tied to each other, so that no rule asks the database.

    Each row of a bridge refers to the same Python objects, whether stored or new.
    """

    def __init__(self) -> None:
        self.rows: dict[Record, dict[Key, models.Model]] = {record: {} for record in Record}
        self.parts: dict[type[models.Model], dict[Key, models.Model]] = {
            model: {}
            for model in (TemperatureBasis, UnitConcrete, UnitSection, *DESIGN_OF_KIND.values())
        }
        self.devices: dict[Key, list[Installation]] = {}

    @classmethod
    def of(cls, bridge_codes: Iterable[str], stations: Iterable[str] = ()) -> Stock:
        """Load what is stored of some bridges and air stations, and all districts.

        Locks the bridges.
        """
        stock = cls()
        for year in StationYear.objects.filter(station__in=set(stations)):
            stock.rows[Record.STATION_YEAR][year.station, year.year] = year
        districts = {each.pk: each for each in District.objects.all()}
        for district in districts.values():
            stock.rows[Record.DISTRICT][(district.code,)] = district
        codes = sorted(set(bridge_codes))
        for start in range(0, len(codes), _AT_ONCE):
            some = Bridge.objects.filter(code__in=codes[start : start + _AT_ONCE])
            bridges = {each.pk: each for each in some.select_for_update()}
            for bridge in bridges.values():
                bridge.district = districts[bridge.district_id]
                stock.rows[Record.BRIDGE][(bridge.code,)] = bridge
            for basis in TemperatureBasis.objects.filter(bridge__in=bridges):
                basis.bridge = bridges[basis.bridge_id]
                stock.parts[TemperatureBasis][(basis.bridge.code,)] = basis
            stock._load_places(bridges)
        return stock

    def find(self, record: Record, key: Key) -> models.Model | None:
        """Return the row of a record, None where there is none."""
        return self.rows[record].get(key)

    def _load_places(self, bridges: dict[int, Bridge]) -> None:
        units, supports = (
            {each.pk: each for each in self._of_bridges(model, record, bridges)}
            for model, record in ((Unit, Record.UNIT), (Support, Record.SUPPORT))
        )
        for model in (UnitConcrete, UnitSection):
            for detail in model.objects.filter(unit__bridge__in=bridges):
                unit = detail.unit = units[detail.unit_id]
                self.parts[model][unit.bridge.code, unit.code] = detail
        elements: dict[int, Element] = {}
        for element in self._of_bridges(Element, Record.ELEMENT, bridges):
            element.support = supports[element.support_id]
            for side in ("unit", "unit_ahead"):
                unit_id = getattr(element, f"{side}_id")
                if unit_id is not None:
                    setattr(element, side, units[unit_id])
            elements[element.pk] = element
        keys: dict[Any, Key] = {}
        for device in Installation.objects.filter(element__bridge__in=bridges):
            element = device.element = elements[device.element_id]
            place = (element.bridge.code, element.code)
            keys[device.pk] = (*place, device.installed_on)
            self.rows[Record.INSTALLATION][keys[device.pk]] = device
            self.devices.setdefault(place, []).append(device)
        for model in DESIGN_OF_KIND.values():
            for design in model.objects.filter(installation__element__bridge__in=bridges):
                self.parts[model][keys[design.installation_id]] = design

    def _of_bridges(
        self, model: type[models.Model], record: Record, bridges: dict[int, Bridge]
    ) -> Iterator[Any]:
        for row in model.objects.filter(bridge__in=bridges):
            row.bridge = bridges[row.bridge_id]
            self.rows[record][(row.bridge.code, row.code)] = row
            yield row
