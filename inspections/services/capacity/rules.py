"""Which checks are held for each type of device.

A fixed pin has its own figures alone: no rule of either family is held for it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from inspections.services.capacity import (
    bearings,
    elastomeric,
    joints,
    restraints,
    rolling,
    sliding,
)
from inspections.services.capacity.devices import Devices
from inspections.services.capacity.found import Found
from inventory.models.choices import DeviceType
from movement.errors import InputError

Checks = Callable[[Devices], list[Found]]
_SURFACE: tuple[Checks, ...] = (sliding.by_aashto, sliding.by_en, sliding.travel_and_cover)
CHECKS_OF_DEVICE: dict[str, tuple[Checks, ...]] = {
    DeviceType.PLAIN_ELASTOMERIC: (
        elastomeric.plain_by_aashto, elastomeric.plain_by_en, bearings.own_figures
    ),
    DeviceType.REINFORCED_ELASTOMERIC: (
        elastomeric.reinforced_by_aashto, elastomeric.reinforced_by_en,
        elastomeric.reinforced_by_txdot, bearings.own_figures,
    ),
    DeviceType.FLAT_SLIDING: (*_SURFACE, bearings.own_figures),
    DeviceType.POT: (sliding.pot_by_aashto, sliding.pot_by_en, *_SURFACE),
    DeviceType.DISC: (sliding.disc_by_aashto, *_SURFACE),
    DeviceType.SPHERICAL: (sliding.spherical_by_aashto, *_SURFACE),
    DeviceType.ROCKER: (rolling.by_aashto, rolling.by_en, bearings.own_movement),
    DeviceType.ROLLER: (rolling.by_aashto, rolling.by_en, bearings.own_movement),
    DeviceType.FIXED_PIN: (bearings.own_figures_alone,),
    DeviceType.OTHER_BEARING: (bearings.own_figures_alone,),
    DeviceType.STRIP_SEAL: (joints.strip_seal,),
    DeviceType.COMPRESSION_SEAL: (joints.compression_seal, joints.racking),
    DeviceType.POURED: (joints.poured, joints.racking),
    DeviceType.MODULAR: (joints.modular_joint, joints.racking),
    DeviceType.FINGER: (joints.finger, joints.racking),
    DeviceType.SLIDING_PLATE: (joints.sliding_plate, joints.racking),
    DeviceType.PLUG: (joints.plug, joints.racking),
    DeviceType.OPEN: (joints.open_joint, joints.racking),
    DeviceType.OTHER_JOINT: (joints.other, joints.racking),
    DeviceType.SHEAR_KEY: (restraints.gaps, restraints.horizontal),
    DeviceType.HOLD_DOWN: (
        restraints.hold_down, restraints.gaps, restraints.projection,
        restraints.rods_where_known, restraints.horizontal,
    ),
    DeviceType.ANCHOR_RODS: (
        restraints.rod_group, restraints.projection, restraints.horizontal
    ),
    DeviceType.CLAMP: (
        restraints.clamp, restraints.rods_where_known, restraints.horizontal
    ),
    DeviceType.LOCK_UP: (restraints.gaps, restraints.horizontal),
    DeviceType.RESTRAINER_CABLE: (
        restraints.slack, restraints.cables, restraints.horizontal
    ),
}  # fmt: skip


def checked(checks: Checks, devices: Devices) -> Iterator[tuple[Devices, list[Found] | InputError]]:
    """Yield the checks of devices of one type, found in one go.

    A figure that cannot be right spoils the go: then the halves are tried, until the device
    stands alone with its error.
    """
    try:
        yield devices, checks(devices)
    except InputError as error:
        if len(devices) == 1:
            yield devices, error
            return
        middle = len(devices) // 2
        yield from checked(checks, devices.between(0, middle))
        yield from checked(checks, devices.between(middle, len(devices)))
