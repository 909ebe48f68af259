"""Which device stood at a place on a day."""

import datetime as dt
from collections.abc import Callable, Iterable

from inventory.models import Installation

Stands = Callable[[Installation], bool]
"""Whether a device stands at its place at the time in question."""


def stands_now(device: Installation) -> bool:
    """Return whether a device is the present one."""
    return device.removed_on is None


def stood_on(day: dt.date) -> Stands:
    """Return what tells the devices that stood on a day; on that of a change it is the new one."""
    return lambda device: (
        device.installed_on <= day and (device.removed_on is None or day < device.removed_on)
    )


def device_on(installations: Iterable[Installation], day: dt.date) -> Installation | None:
    """Return the one of a place's installations that stood there on a day, if any did."""
    stood = stood_on(day)
    # A loop: a large file asks this of every row.
    for device in installations:
        if stood(device):
            return device
    return None
