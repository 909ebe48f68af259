"""What stands on a bridge: each row of its register read once, and joined in memory.

A join would read a bridge and a unit again with every device, and takes longer to write down
as a query than to run.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import TypeVar

from django.db.models import Model, prefetch_related_objects

from inventory.models import (
    BearingDesign,
    Bridge,
    Element,
    Installation,
    JointDesign,
    RestraintDesign,
    Support,
    Unit,
)

OnBridge = TypeVar("OnBridge", Unit, Support, Element)
DESIGNS = ("bearing_design", "joint_design", "restraint_design")


@dataclass(frozen=True, slots=True, eq=False)
class StandingRegister:
    """The register of one bridge.

    Attributes
    ----------
    bridge
        With its temperature basis, where it has one.
    units
        Along the bridge, with their concrete and section.
    supports
        By key.
    elements
        Along the bridge, with bridge, support and units.
    installations
        All devices of all times by key, with their element and design.
    """

    bridge: Bridge
    units: list[Unit]
    supports: dict[int, Support]
    elements: list[Element]
    installations: dict[object, Installation]

    @classmethod
    def of(cls, bridge_id: int) -> StandingRegister:
        """Read the register of a bridge."""
        return cls.of_each([bridge_id])[0]

    @classmethod
    def of_each(cls, bridge_ids: Sequence[int]) -> list[StandingRegister]:
        """Read the registers of some bridges, in their order."""
        bridges = Bridge.objects.select_related("temperature_basis").in_bulk(bridge_ids)
        here = {"bridge__in": bridge_ids}
        units = Unit.objects.filter(**here).select_related("concrete", "section")
        units_of = _by_bridge(units.order_by("start_station_m", "pk"))
        elements_of = _by_bridge(Element.objects.filter(**here).order_by("station_m", "code"))
        supports_of: dict[int, list[Support]] = {}
        devices_of: dict[int, list[Installation]] = {}
        if elements_of:
            supports_of = _by_bridge(Support.objects.filter(**here).order_by("pk"))
            elements = Element.objects.filter(**here).order_by()
            installed = list(Installation.objects.filter(element__in=elements).order_by("pk"))
            prefetch_related_objects(installed, *DESIGNS)
            bridge_of = {
                each.pk: bridge_id for bridge_id, some in elements_of.items() for each in some
            }
            for device in installed:
                devices_of.setdefault(bridge_of[device.element_id], []).append(device)
        return [
            cls._joined(
                bridges[pk],
                units_of.get(pk, []),
                supports_of.get(pk, []) if pk in elements_of else [],
                elements_of.get(pk, []),
                devices_of.get(pk, []),
            )
            for pk in bridge_ids
        ]

    @classmethod
    def _joined(
        cls,
        bridge: Bridge,
        units: list[Unit],
        supports: list[Support],
        elements: list[Element],
        devices: list[Installation],
    ) -> StandingRegister:
        by_key = {unit.pk: unit for unit in units}
        support_by_key = {support.pk: support for support in supports}
        for unit in units:
            unit.bridge = bridge
        for element in elements:
            element.bridge = bridge
            element.support = support_by_key[element.support_id]
            element.unit = by_key.get(element.unit_id)
            element.unit_ahead = by_key.get(element.unit_ahead_id)
        places = {element.pk: element for element in elements}
        for device in devices:
            device.element = places[device.element_id]
        return cls(bridge, units, support_by_key, elements, {each.pk: each for each in devices})

    def devices_of(self, element_ids: set[int]) -> dict[object, Installation]:
        """Return the devices of some elements by key."""
        return {
            pk: device
            for pk, device in self.installations.items()
            if device.element_id in element_ids
        }

    def in_place_since(self) -> dict[int, dt.date]:
        """Return the day of the first device of each element."""
        found: dict[int, dt.date] = {}
        for device in self.installations.values():
            since = found.get(device.element_id, device.installed_on)
            found[device.element_id] = min(since, device.installed_on)
        return found

    def rows(self) -> Iterator[Model]:
        """Yield every row, in an order that does not change while the rows do not."""
        yield from sorted(self.elements, key=lambda each: each.pk)
        yield from sorted(self.units, key=lambda each: each.pk)
        yield from self.supports.values()
        for device in self.installations.values():
            yield device
            if (design := design_of(device)) is not None:
                yield design


def _by_bridge(rows: Iterable[OnBridge]) -> dict[int, list[OnBridge]]:
    found: dict[int, list[OnBridge]] = {}
    for row in rows:
        found.setdefault(row.bridge_id, []).append(row)
    return found


def design_of(device: Installation) -> BearingDesign | JointDesign | RestraintDesign | None:
    """Return the row of capacities of a device; None where it has none."""
    found = (getattr(device, name, None) for name in DESIGNS)
    return next((each for each in found if each is not None), None)
