"""What rests on the figures of a device: what is lost where a new one comes without any."""

from __future__ import annotations

import math
from typing import NamedTuple

from inspections.form_spec import fields_for
from inspections.models.choices import ReadingQuantity
from inspections.services.capacity.devices import Device, Devices
from inspections.services.capacity.found import REGISTER_NAMES
from inspections.services.capacity.rules import CHECKS_OF_DEVICE
from inspections.services.device_figures import NAN, ChannelKey, limits_of
from inventory.models import DESIGN_OF_KIND, Element, Installation
from inventory.models.choices import GapAxis


class Resting(NamedTuple):
    """Quantities that have no limit without the figures, and names of checks that lack them."""

    quantities: list[ReadingQuantity]
    checks: list[str]


def resting_on_figures(element: Element, device_type: str) -> Resting:
    """Return what cannot be told of a device of a type at a place while it has no figures.

    Checks that are held only where one of their figures is on record are left out: nobody
    would miss them.
    """
    device = Installation(element=element, device_type=device_type)
    return Resting(_without_limit(device), _without_figure(device))


def _without_limit(device: Installation) -> list[ReadingQuantity]:
    found = []
    for field in fields_for(device.device_type):
        key = ChannelKey(None, field.quantity, field.points[0], GapAxis.SQUARE)
        low, high, _neutral = limits_of(device, key)
        if field.wanted and math.isnan(low) and math.isnan(high):
            found.append(field.quantity)
    return found


def _without_figure(device: Installation) -> list[str]:
    figures = {each.name for each in DESIGN_OF_KIND[device.element.kind]._meta.fields}
    nothing_read = Devices([Device(device, None, {}, NAN, NAN, NAN)])
    names: dict[str, None] = {}
    for checks in CHECKS_OF_DEVICE[device.device_type]:
        for each in checks(nothing_read):
            lacking = {
                each.names.get(name, REGISTER_NAMES.get(name, name))
                for name, missing in each.check.missing.items()
                if missing.any()
            }
            if (each.applies is None or each.applies[0]) and lacking & figures:
                names[each.check.rule.name] = None
    return list(names)
