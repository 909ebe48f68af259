"""Condition states at hand: which defects a device can have, and what each state looks like.

Defect numbers and the four states are those of AASHTO's element inspection, from memory; the
descriptions are our own short words for the field and replace no manual of the owner.
"""

from __future__ import annotations

from inspections.models.choices import DefectCode
from inventory.models.choices import KIND_OF_DEVICE, DeviceType, ElementKind

STATES = ("CS1", "CS2", "CS3", "CS4")
STATE_WORDS = {"CS1": "Good", "CS2": "Fair", "CS3": "Poor", "CS4": "Severe"}

_D = DefectCode
_REVIEW = "Strength or function in doubt: an engineer must look before the next traffic decision."
CRITERIA: dict[DefectCode, tuple[str, str, str, str]] = {
    _D.OVERALL: (
        "Does its work; nothing but ordinary wear.",
        "Early trouble that does not yet hinder it.",
        "Hindered, or losing material, but still carries and moves.",
        _REVIEW,
    ),
    _D.CORROSION: (
        "None.",
        "Freckled rust; coating broken; no measurable loss.",
        "Loss that can be measured, or flaking and pack rust; load path still whole.",
        _REVIEW,
    ),
    _D.CONNECTION: (
        "Tight and whole.",
        "Loose or missing part without change of alignment; light rust about fasteners.",
        "Broken bolts, cracked welds or missing nuts in part of the group.",
        _REVIEW,
    ),
    _D.MOVEMENT: (
        "Moves freely and is where the temperature calls for.",
        "Moves, but less than it should; signs of rubbing.",
        "Hardly moves, or stands near the end of its travel.",
        _REVIEW,
    ),
    _D.ALIGNMENT: (
        "Seated and in line.",
        "Slightly out of line or unevenly seated; contact on most of its face.",
        "Out of line so that load or movement is hindered.",
        _REVIEW,
    ),
    _D.BULGING: (
        "None.",
        "Bulges up to about 15 % of the layer; hairline splits.",
        "Bulges beyond that, or splits and tears that open.",
        _REVIEW,
    ),
    _D.LOSS_OF_AREA: (
        "Bears on its whole face.",
        "Less than a tenth of the face without support.",
        "A tenth or more without support.",
        _REVIEW,
    ),
    _D.LEAKAGE: (
        "Dry below.",
        "Damp or a slow drip.",
        "Runs through at more than one place.",
        "Water runs freely onto what lies below; an engineer must look.",
    ),
    _D.SEAL_ADHESION: (
        "Bonded all along.",
        "Loose over up to a tenth of its length.",
        "Loose over a tenth to half of its length.",
        "Loose over more than half.",
    ),
    _D.SEAL_DAMAGE: (
        "None.",
        "Nicked or worn, still tight.",
        "Punctured or torn in part.",
        "Torn through, or gone.",
    ),
    _D.SEAL_CRACKING: (
        "None.",
        "On the surface.",
        "Into the seal, not through.",
        "Through the seal.",
    ),
    _D.DEBRIS: (
        "None that matters.",
        "Lies in the joint; the joint still closes.",
        "Packed so that closing is hindered.",
        "Packed hard: the joint cannot close.",
    ),
    _D.ADJACENT_DECK: (
        "Sound.",
        "Small spalls or cracks at the edge.",
        "Spalls that loosen the anchorage or catch wheels.",
        _REVIEW,
    ),
    _D.METAL: (
        "Sound.",
        "Rust or small dents; anchorage tight.",
        "Cracked, bent or loose in part.",
        "Broken, missing, or standing proud of the road: a danger to traffic.",
    ),
    _D.DAMAGE: (
        "None.",
        "Impact marks; nothing bent.",
        "Bent or cracked by impact.",
        _REVIEW,
    ),
}  # fmt: skip

_METAL_BEARING = (_D.CORROSION, _D.CONNECTION, _D.MOVEMENT, _D.ALIGNMENT, _D.LOSS_OF_AREA)
_SEALED = (_D.LEAKAGE, _D.SEAL_ADHESION, _D.SEAL_DAMAGE, _D.SEAL_CRACKING, _D.DEBRIS)
_OPEN_JOINT = (_D.DEBRIS, _D.ADJACENT_DECK, _D.METAL)
_OF_KIND = {
    ElementKind.BEARING: _METAL_BEARING,
    ElementKind.JOINT: (*_SEALED, _D.ADJACENT_DECK, _D.METAL),
    ElementKind.RESTRAINT: (_D.CORROSION, _D.CONNECTION, _D.MOVEMENT, _D.ALIGNMENT),
}
_OF_DEVICE = {
    DeviceType.PLAIN_ELASTOMERIC: (
        _D.MOVEMENT, _D.ALIGNMENT, _D.BULGING, _D.LOSS_OF_AREA,
    ),
    DeviceType.REINFORCED_ELASTOMERIC: (
        _D.CORROSION, _D.MOVEMENT, _D.ALIGNMENT, _D.BULGING, _D.LOSS_OF_AREA,
    ),
    DeviceType.POT: (*_METAL_BEARING, _D.BULGING),
    DeviceType.POURED: (*_SEALED, _D.ADJACENT_DECK),
    DeviceType.PLUG: (_D.LEAKAGE, _D.SEAL_ADHESION, _D.SEAL_CRACKING, _D.ADJACENT_DECK),
    DeviceType.OPEN: _OPEN_JOINT,
    DeviceType.FINGER: _OPEN_JOINT,
    DeviceType.SLIDING_PLATE: _OPEN_JOINT,
}  # fmt: skip


def defects_of(device_type: str) -> tuple[DefectCode, ...]:
    """Return the defects that a device can have: as a whole first, damage last."""
    device = DeviceType(device_type)
    own = _OF_DEVICE.get(device, _OF_KIND[KIND_OF_DEVICE[device]])
    return (_D.OVERALL, *own, _D.DAMAGE)


NEXT_STEPS = (
    "Keep people and traffic away from it, as far as you can safely.",
    "Call the engineer on duty and the bridge's owner now; do not wait for the office.",
    "Stay in sight of it until somebody has taken over, if that is safe.",
    "Photograph it, and write down the hour and whom you told.",
)
"""What to do about a critical finding, beside the owner's own procedure, which governs."""
