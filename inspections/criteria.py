"""Condition states at hand: which defects a device can have, and what each state looks like.

Defect numbers, states and limits: AASHTO Manual for Bridge Element Inspection, 2nd ed. (2019),
read in a copy; the limits stand in :mod:`movement.condition_states`.  The words are our own,
short, for the field, and replace no manual of the owner.  Where the fourth state is a matter of
structural review, no size alone makes it.
"""

from __future__ import annotations

from django.utils.translation import gettext_noop as _

from inspections.models.choices import DefectCode
from inventory.models.choices import KIND_OF_DEVICE, DeviceType, ElementKind

STATES = ("CS1", "CS2", "CS3", "CS4")
STATE_WORDS = {"CS1": _("Good"), "CS2": _("Fair"), "CS3": _("Poor"), "CS4": _("Severe")}

_D = DefectCode
_REVIEW = _(
    "Strength or function in doubt: an engineer must look before the next traffic decision."
)
CRITERIA: dict[DefectCode, tuple[str, str, str, str]] = {
    _D.OVERALL: (
        _("Does its work; nothing but ordinary wear."),
        _("Early trouble that does not yet hinder it."),
        _("Hindered, or losing material, but still carries and moves."),
        _REVIEW,
    ),
    _D.CORROSION: (
        _("None."),
        _("Freckled rust; corrosion has begun."),
        _("Loss of section to be seen, or pack rust."),
        _REVIEW,
    ),
    _D.CONNECTION: (
        _("In place and working."),
        _("A fastener loose, or pack rust that bends nothing; still works."),
        _("A bolt, rivet or nut missing, a weld broken, or pack rust that bends parts."),
        _REVIEW,
    ),
    _D.MOVEMENT: (
        _("Free to move."),
        _("Held back a little."),
        _("Held back."),
        _REVIEW,
    ),
    _D.ALIGNMENT: (
        _("In line and height, and where the temperature calls for."),
        _("Not where the temperature calls for, but bearable."),
        _("Near the end of what the device can take."),
        _REVIEW,
    ),
    _D.BULGING: (
        _("None."),
        _("Bulges by less than 15 % of the thickness."),
        _("Bulges by 15 % or more; any split or tear; or faces no longer parallel."),
        _REVIEW,
    ),
    _D.LOSS_OF_AREA: (
        _("Bears on its whole face."),
        _("Less than a tenth of the face without support."),
        _("A tenth or more without support."),
        _REVIEW,
    ),
    _D.LEAKAGE: (
        _("Dry below."),
        _("Drips a little."),
        _("More than a drip, less than free flow."),
        _("Runs through freely."),
    ),
    _D.SEAL_ADHESION: (
        _("Bonded over the whole height of the joint."),
        _("Bonded over more than half of the height."),
        _("Bonded over half of the height or less."),
        _("Bonded nowhere."),
    ),
    _D.SEAL_DAMAGE: (
        _("None."),
        _("Worn, not punctured."),
        _("Punctured, ripped or partly pulled out."),
        _("Punctured through, pulled out or gone."),
    ),
    _D.SEAL_CRACKING: (
        _("None."),
        _("On the surface alone."),
        _("Part of its depth."),
        _("Its whole depth."),
    ),
    _D.DEBRIS: (
        _("None, or a loose shallow cover."),
        _("Partly filled and packed hard; still moves freely."),
        _("Filled, and movement is hindered."),
        _("Filled, and the joint cannot move."),
    ),
    _D.ADJACENT_DECK: (
        _("Sound."),
        _("Spall up to 25 mm (1 in) deep and 150 mm (6 in) across; a patch that is sound."),
        _("Spall deeper or wider; bars laid bare; a loose edge or patch."),
        _("The joint cannot do its work: spall, patch or loose anchorage."),
    ),
    _D.METAL: (
        _("Sound."),
        _("Freckled rust; no crack; a fastener may be loose but works."),
        _("Loss of section, a crack, a fastener missing or broken; still works."),
        _("Cannot do its work."),
    ),
    _D.DAMAGE: (
        _("None."),
        _("Impact, with damage that counts as CS2 under its own defect."),
        _("Impact, with damage that counts as CS3 under its own defect."),
        _("Impact, with damage that counts as CS4 under its own defect."),
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
        _D.CORROSION, _D.CONNECTION, _D.MOVEMENT, _D.ALIGNMENT, _D.BULGING, _D.LOSS_OF_AREA,
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
    _("Keep people and traffic away from it, as far as you can safely."),
    _("Call the engineer on duty and the bridge's owner now; do not wait for the office."),
    _("Stay in sight of it until somebody has taken over, if that is safe."),
    _("Photograph it, and write down the hour and whom you told."),
)
"""What to do about a critical finding, beside the owner's own procedure, which governs."""
