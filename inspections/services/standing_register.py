"""What stands on a bridge: each row of its register read once, and joined in memory.

A join would read a bridge and a unit again with every device, and takes longer to write down
as a query than to run.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass

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
        bridge = Bridge.objects.select_related("temperature_basis").get(pk=bridge_id)
        units = Unit.objects.filter(bridge_id=bridge_id).select_related("concrete", "section")
        along = list(units.order_by("start_station_m", "pk"))
        elements = Element.objects.filter(bridge_id=bridge_id).order_by("station_m", "code")
        here = list(elements)
        if not here:
            return cls(bridge, along, {}, [], {})
        supports = Support.objects.filter(bridge_id=bridge_id).order_by("pk").in_bulk()
        devices = Installation.objects.filter(element__in=elements.order_by())
        installed = list(devices.order_by("pk"))
        prefetch_related_objects(installed, *DESIGNS)
        by_key = {unit.pk: unit for unit in along}
        for unit in along:
            unit.bridge = bridge
        for element in here:
            element.bridge = bridge
            element.support = supports[element.support_id]
            element.unit = by_key.get(element.unit_id)
            element.unit_ahead = by_key.get(element.unit_ahead_id)
        places = {element.pk: element for element in here}
        for device in installed:
            device.element = places[device.element_id]
        return cls(bridge, along, supports, here, {device.pk: device for device in installed})

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


def design_of(device: Installation) -> BearingDesign | JointDesign | RestraintDesign | None:
    """Return the row of capacities of a device; None where it has none."""
    found = (getattr(device, name, None) for name in DESIGNS)
    return next((each for each in found if each is not None), None)
