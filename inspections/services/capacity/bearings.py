"""What the checks of bearings share: loads, and the device's own design figures."""

from __future__ import annotations

import numpy as np

from inspections.models.choices import ReadingQuantity
from inspections.services.capacity.devices import Devices
from inspections.services.capacity.found import Found, found, named
from movement.capacity import rotation
from movement.capacity.bearing_inputs import Loads
from movement.capacity.results import Check
from movement.capacity.sliding import travel


def loads_of(devices: Devices) -> Loads:
    """Return the vertical loads of the register."""
    names = (
        "permanent_kn",
        "live_kn",
        "vertical_service_min_kn",
        "vertical_service_max_kn",
        "vertical_strength_max_kn",
    )
    return Loads.of(**{name: devices.figure(name) for name in names})


def own_figures(devices: Devices) -> list[Found]:
    """Return movement both ways and rotation against what the register gives the device."""
    return [
        *own_movement(devices),
        *found([_own_rotation(devices)], applies=devices.given("rotation_mrad")),
    ]


def own_figures_alone(devices: Devices) -> list[Found]:
    """Return the same for devices that no rule is held for: their rotation is asked for."""
    return [*own_movement(devices), *found([_own_rotation(devices)])]


def _own_rotation(devices: Devices) -> Check:
    return rotation.rotation_design(
        devices.one(ReadingQuantity.ROTATION), devices.figure("rotation_mrad")
    )


def own_movement(devices: Devices, always: np.ndarray | bool = False) -> list[Found]:
    """Return movement along and across against its design figures, where there are any.

    ``always``: where movement along is checked even if no figure of it is on record.  A
    bearing made to stand still has no movement to use up.
    """
    sides = {"movement_back_mm": "movement_right_mm", "movement_ahead_mm": "movement_left_mm"}
    along = travel(
        devices.carried(ReadingQuantity.OFFSET_ALONG, "offset_along_mm"),
        devices.figure("movement_back_mm"),
        devices.figure("movement_ahead_mm"),
    )
    across = travel(
        devices.carried(ReadingQuantity.OFFSET_ACROSS, "offset_across_mm"),
        devices.figure("movement_right_mm"),
        devices.figure("movement_left_mm"),
    )
    moves, moves_across = (
        np.any([np.nan_to_num(devices.figure(name)[:, 0]) > 0 for name in names], axis=0)
        for names in (sides.keys(), sides.values())
    )
    return [
        *found(along, applies=moves | always),
        *found(
            [named(each, "Movement across") for each in across],
            applies=moves_across,
            names=sides,
        ),
    ]
