"""Rocker and roller bearings: tilt and line contact, by AASHTO LRFD and EN 1337-4 and -6."""

from __future__ import annotations

import numpy as np

from inspections.models.choices import ReadingQuantity
from inspections.services.capacity.bearings import loads_of
from inspections.services.capacity.devices import Devices
from inspections.services.capacity.found import Found, found
from inventory.models.choices import DeviceType
from movement.capacity import rocker_roller
from movement.capacity.results import Carried
from movement.checks import Floats


def by_aashto(devices: Devices) -> list[Found]:
    """Return tilt and line contact by AASHTO LRFD."""
    return found(
        rocker_roller.rocker_roller_aashto(
            loads_of(devices),
            _tilt(devices),
            devices.figure("tilt_limit_deg"),
            devices.figure("rocker_radius_mm"),
            devices.figure("contact_length_mm"),
            devices.figure("contact_yield_mpa"),
        )
    )


def by_en(devices: Devices) -> list[Found]:
    """Return tilt and line contact by EN 1337-6, of rollers by EN 1337-4."""
    return found(
        rocker_roller.rocker_roller_en(
            loads_of(devices),
            _tilt(devices),
            _are_rollers(devices),
            devices.figure("tilt_limit_deg"),
            devices.figure("rocker_radius_mm"),
            devices.figure("contact_length_mm"),
            devices.figure("contact_ultimate_mpa"),
        )
    )


def _tilt(devices: Devices) -> Carried:
    """Return the tilt; where none was read, that of the offset read in its place."""
    read = devices.positions(ReadingQuantity.TILT)
    offset = devices.positions(ReadingQuantity.OFFSET_ALONG)
    turn = rocker_roller.roller_tilt_deg if _are_rollers(devices) else rocker_roller.rocker_tilt_deg
    unread = ~devices.was_read(ReadingQuantity.TILT)[:, np.newaxis]
    positions: Floats = np.where(unread, turn(offset, devices.figure("rocker_radius_mm")), read)
    return Carried.of("tilt_deg", *(positions[:, [column]] for column in range(3)))


def _are_rollers(devices: Devices) -> bool:
    """Return whether these devices, all of one type, are rollers."""
    return devices.rows[0].installation.device_type == DeviceType.ROLLER
