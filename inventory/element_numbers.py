"""National element numbers of the devices of this register.

Numbers and names: AASHTO Manual for Bridge Element Inspection, 2nd ed. (2019), bridge
management elements 300 to 306 (joints, in feet) and national bridge elements 310 to 316
(bearings, each); numbers, units and definitions held against a public table of them (2012) and
a public file (Iowa, 2023), the manual itself not at hand.  By those definitions 305 holds finger
and sliding plate joints, 311 whatever turns and moves by rollers, rockers or sliding, 314 and 315
pots and disks whether fixed, guided or free.  312 is a bearing of any type that is enclosed, so
that it is not open for detailed inspection.  Restraints have no number.
"""

from __future__ import annotations

from inventory.models.choices import Access, DeviceType

STRIP_SEAL, POURED, COMPRESSION, SEALED_ASSEMBLY, OPEN, ASSEMBLY, OTHER_JOINT = range(300, 307)
ELASTOMERIC, MOVABLE, ENCLOSED, FIXED, POT, DISC, OTHER_BEARING = range(310, 317)
NAMES = {
    STRIP_SEAL: "Strip seal expansion joint",
    POURED: "Pourable joint seal",
    COMPRESSION: "Compression joint seal",
    SEALED_ASSEMBLY: "Assembly joint with seal",
    OPEN: "Open expansion joint",
    ASSEMBLY: "Assembly joint without seal",
    OTHER_JOINT: "Other joint",
    ELASTOMERIC: "Elastomeric bearing",
    MOVABLE: "Movable bearing",
    ENCLOSED: "Enclosed or concealed bearing",
    FIXED: "Fixed bearing",
    POT: "Pot bearing",
    DISC: "Disk bearing",
    OTHER_BEARING: "Other bearing",
}
JOINTS = frozenset(range(STRIP_SEAL, OTHER_JOINT + 1))
ELEMENT_NUMBER = {
    DeviceType.PLAIN_ELASTOMERIC: ELASTOMERIC,
    DeviceType.REINFORCED_ELASTOMERIC: ELASTOMERIC,
    DeviceType.FLAT_SLIDING: MOVABLE,
    DeviceType.POT: POT,
    DeviceType.DISC: DISC,
    DeviceType.SPHERICAL: OTHER_BEARING,
    DeviceType.ROCKER: MOVABLE,
    DeviceType.ROLLER: MOVABLE,
    DeviceType.FIXED_PIN: FIXED,
    DeviceType.OTHER_BEARING: OTHER_BEARING,
    DeviceType.STRIP_SEAL: STRIP_SEAL,
    DeviceType.COMPRESSION_SEAL: COMPRESSION,
    DeviceType.POURED: POURED,
    DeviceType.MODULAR: SEALED_ASSEMBLY,
    DeviceType.FINGER: ASSEMBLY,
    DeviceType.SLIDING_PLATE: ASSEMBLY,
    DeviceType.PLUG: OTHER_JOINT,
    DeviceType.OPEN: OPEN,
    DeviceType.OTHER_JOINT: OTHER_JOINT,
}


def number_of(device_type: str, access: str) -> int | None:
    """Return the number of a device at a place that is reached so; None where it has none."""
    number = ELEMENT_NUMBER.get(DeviceType(device_type))
    if number is None or number in JOINTS or access != Access.ENCLOSED:
        return number
    return ENCLOSED
