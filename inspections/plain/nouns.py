"""Parts of a bridge in plain words, each explained where it is named first."""

from __future__ import annotations

from inspections.models.choices import CauseWord, DefectCode, ReadingQuantity
from inspections.plain.facts import Place
from inventory.models.choices import DeviceType, ElementKind, SupportKind

DECK = "The deck is the part of the bridge that carries the road."
EXPLAINED = {
    ElementKind.BEARING: "A bearing is the part on which the deck rests. It lets the deck move"
    " as it warms and cools.",
    ElementKind.JOINT: "A joint is the gap in the road that lets the deck grow in summer.",
    ElementKind.RESTRAINT: "It is there to hold the deck in its place.",
}
OF_DEVICE = {
    DeviceType.ROCKER: "A bearing is the part on which the deck rests. This one leans to and fro"
    " as the deck grows and shrinks.",
    DeviceType.ROLLER: "A bearing is the part on which the deck rests. This one rolls to and fro"
    " as the deck grows and shrinks.",
    DeviceType.FIXED_PIN: "A bearing is the part on which the deck rests. This one holds the deck"
    " and only lets it turn.",
    DeviceType.PLAIN_ELASTOMERIC: "A bearing is the part on which the deck rests. This one is a"
    " rubber block that gives way sideways.",
    DeviceType.REINFORCED_ELASTOMERIC: "A bearing is the part on which the deck rests. This one"
    " is a rubber block that gives way sideways.",
    DeviceType.SHEAR_KEY: "A stop keeps the deck from being pushed off its place.",
    DeviceType.HOLD_DOWN: "A hold-down is a tie that keeps the deck from lifting.",
    DeviceType.ANCHOR_RODS: "These steel rods tie a part of the bridge to its support.",
    DeviceType.CLAMP: "A clamp grips two parts so that they cannot slip.",
    DeviceType.LOCK_UP: "This part lets slow movement pass. It locks when the bridge is shaken.",
    DeviceType.RESTRAINER_CABLE: "A slack cable keeps the deck from falling off its seat when the"
    " bridge is shaken.",
}
NAMES = {
    ElementKind.BEARING: "bearing",
    ElementKind.JOINT: "joint",
    ElementKind.RESTRAINT: "tie",
    DeviceType.SHEAR_KEY: "stop",
    DeviceType.HOLD_DOWN: "hold-down",
    DeviceType.ANCHOR_RODS: "group of rods",
    DeviceType.CLAMP: "clamp",
    DeviceType.LOCK_UP: "lock",
    DeviceType.RESTRAINER_CABLE: "cable",
}
ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth",
            "tenth")  # fmt: skip
CAUSES = {
    CauseWord.FROZEN: "a bearing that no longer moves",
    CauseWord.SLUGGISH: "a bearing that moves too little",
    CauseWord.SUPPORT_MOVED: "a support that has moved",
    CauseWord.SHORTENING: "a deck that has grown shorter with age",
    CauseWord.WRONG_TEMPERATURE: "a wrong temperature in the notes of one visit",
    CauseWord.BLUNDER: "a slip in one reading",
    CauseWord.STEP: "a sudden shift at this place",
    CauseWord.FIXED_POINT: "a wrong entry in our files about where the deck is held",
    CauseWord.SIGN: "readings written down the wrong way round",
    CauseWord.COEFFICIENT: "a wrong entry in our files about the deck",
    CauseWord.SETTING_OFF: "a wrong entry in our files about how this part was set",
}
DEFECTS = {
    DefectCode.OVERALL: "the part as a whole",
    DefectCode.CORROSION: "rust",
    DefectCode.CONNECTION: "loose or broken bolts or welds",
    DefectCode.MOVEMENT: "the way it moves",
    DefectCode.ALIGNMENT: "it does not stand in line",
    DefectCode.BULGING: "bulges, splits or tears",
    DefectCode.LOSS_OF_AREA: "the deck no longer rests on all of it",
    DefectCode.LEAKAGE: "water leaks through",
    DefectCode.SEAL_ADHESION: "the seal has come loose",
    DefectCode.SEAL_DAMAGE: "the seal is damaged",
    DefectCode.SEAL_CRACKING: "the seal is cracked",
    DefectCode.DEBRIS: "it is packed with dirt",
    DefectCode.ADJACENT_DECK: "the road beside it is damaged",
    DefectCode.METAL: "its metal is worn or damaged",
    DefectCode.DAMAGE: "damage",
}
CALLED = {
    ReadingQuantity.GAP: "how wide the gap is of {}",
    ReadingQuantity.OFFSET_ALONG: "how far {} stands from its middle mark",
    ReadingQuantity.TILT: "how far {} leans",
}
"""What is to be measured of a part."""


IN_BRIEF = {
    ElementKind.BEARING: "a part on which the deck rests",
    ElementKind.JOINT: "a gap in the road that lets the deck grow",
}


def cause(word: int, place: Place | None) -> str:
    """Return a cause; what it names is explained where the page is about something else."""
    told = CAUSES.get(CauseWord(word), "")
    about_bearing = place is not None and place.kind == ElementKind.BEARING
    if "bearing" in told and not about_bearing:
        return f"{told} ({IN_BRIEF[ElementKind.BEARING]})"
    return told


def noun(place: Place) -> str:
    """Return what a part is called."""
    return NAMES.get(DeviceType(place.device_type)) or NAMES[ElementKind(place.kind)]


def explained(place: Place) -> str:
    """Return what a part is for, in a sentence or two."""
    return OF_DEVICE.get(DeviceType(place.device_type)) or EXPLAINED[ElementKind(place.kind)]


def where(place: Place) -> str:
    """Return where a part is, counted from the start of the bridge."""
    if place.support_kind == SupportKind.ABUTMENT:
        if place.number == 1:
            return "at the start of the bridge"
        if place.number == place.supports:
            return "at the far end of the bridge"
    if place.support_kind == SupportKind.HINGE:
        return "at a hinge between two supports"
    number = place.number
    told = f"{ORDINALS[number - 1]} support" if number <= len(ORDINALS) else f"support {number}"
    return f"at the {told} from the start" if number <= len(ORDINALS) else f"at {told}"


def part(place: Place) -> str:
    """Return a part with its place: ``the joint at the far end of the bridge``."""
    name = noun(place)
    if place.beside > 1:
        plural = "groups of rods" if name == "group of rods" else f"{name}s"
        return f"one of the {place.beside} {plural} {where(place)}"
    return f"the {name} {where(place)}"
