"""Parts of a bridge in plain words, each explained where it is named first."""

from __future__ import annotations

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext_lazy

from inspections.models.choices import CauseWord, DefectCode, ReadingQuantity
from inspections.plain.facts import Place
from inventory.models.choices import DeviceType, ElementKind, SupportKind

DECK = gettext_lazy("The deck is the part of the bridge that carries the road.")
EXPLAINED = {
    ElementKind.BEARING: gettext_lazy(
        "A bearing is the part on which the deck rests. It lets the deck move"
        " as it warms and cools."
    ),
    ElementKind.JOINT: gettext_lazy(
        "A joint is the gap in the road that lets the deck grow in summer."
    ),
    ElementKind.RESTRAINT: gettext_lazy("It is there to hold the deck in its place."),
}
OF_DEVICE = {
    DeviceType.ROCKER: gettext_lazy(
        "A bearing is the part on which the deck rests. This one leans to and fro"
        " as the deck grows and shrinks."
    ),
    DeviceType.ROLLER: gettext_lazy(
        "A bearing is the part on which the deck rests. This one rolls to and fro"
        " as the deck grows and shrinks."
    ),
    DeviceType.FIXED_PIN: gettext_lazy(
        "A bearing is the part on which the deck rests. This one holds the deck"
        " and only lets it turn."
    ),
    DeviceType.PLAIN_ELASTOMERIC: gettext_lazy(
        "A bearing is the part on which the deck rests. This one is a"
        " rubber block that gives way sideways."
    ),
    DeviceType.REINFORCED_ELASTOMERIC: gettext_lazy(
        "A bearing is the part on which the deck rests. This one"
        " is a rubber block that gives way sideways."
    ),
    DeviceType.SHEAR_KEY: gettext_lazy("A stop keeps the deck from being pushed off its place."),
    DeviceType.HOLD_DOWN: gettext_lazy("A hold-down is a tie that keeps the deck from lifting."),
    DeviceType.ANCHOR_RODS: gettext_lazy(
        "These steel rods tie a part of the bridge to its support."
    ),
    DeviceType.CLAMP: gettext_lazy("A clamp grips two parts so that they cannot slip."),
    DeviceType.LOCK_UP: gettext_lazy(
        "This part lets slow movement pass. It locks when the bridge is shaken."
    ),
    DeviceType.RESTRAINER_CABLE: gettext_lazy(
        "A slack cable keeps the deck from falling off its seat when the bridge is shaken."
    ),
}
NAMES = {
    ElementKind.BEARING: pgettext_lazy("in plain words", "bearing"),
    ElementKind.JOINT: pgettext_lazy("in plain words", "joint"),
    ElementKind.RESTRAINT: pgettext_lazy("in plain words", "tie"),
    DeviceType.SHEAR_KEY: pgettext_lazy("in plain words", "stop"),
    DeviceType.HOLD_DOWN: pgettext_lazy("in plain words", "hold-down"),
    DeviceType.ANCHOR_RODS: pgettext_lazy("in plain words", "group of rods"),
    DeviceType.CLAMP: pgettext_lazy("in plain words", "clamp"),
    DeviceType.LOCK_UP: pgettext_lazy("in plain words", "lock"),
    DeviceType.RESTRAINER_CABLE: pgettext_lazy("in plain words", "cable"),
}
SEVERAL = {
    ElementKind.BEARING: pgettext_lazy("one of several", "bearings"),
    ElementKind.JOINT: pgettext_lazy("one of several", "joints"),
    ElementKind.RESTRAINT: pgettext_lazy("one of several", "ties"),
    DeviceType.SHEAR_KEY: pgettext_lazy("one of several", "stops"),
    DeviceType.HOLD_DOWN: pgettext_lazy("one of several", "hold-downs"),
    DeviceType.ANCHOR_RODS: pgettext_lazy("one of several", "groups of rods"),
    DeviceType.CLAMP: pgettext_lazy("one of several", "clamps"),
    DeviceType.LOCK_UP: pgettext_lazy("one of several", "locks"),
    DeviceType.RESTRAINER_CABLE: pgettext_lazy("one of several", "cables"),
}
"""What a part is called that stands beside others of its kind."""
ORDINALS = (
    pgettext_lazy("in plain words", "first"),
    pgettext_lazy("in plain words", "second"),
    pgettext_lazy("in plain words", "third"),
    pgettext_lazy("in plain words", "fourth"),
    pgettext_lazy("in plain words", "fifth"),
    pgettext_lazy("in plain words", "sixth"),
    pgettext_lazy("in plain words", "seventh"),
    pgettext_lazy("in plain words", "eighth"),
    pgettext_lazy("in plain words", "ninth"),
    pgettext_lazy("in plain words", "tenth"),
)
CAUSES = {
    CauseWord.FROZEN: gettext_lazy("a bearing that no longer moves"),
    CauseWord.SLUGGISH: gettext_lazy("a bearing that moves too little"),
    CauseWord.SUPPORT_MOVED: gettext_lazy("a support that has moved"),
    CauseWord.SHORTENING: gettext_lazy("a deck that has grown shorter with age"),
    CauseWord.WRONG_TEMPERATURE: gettext_lazy("a wrong temperature in the notes of one visit"),
    CauseWord.BLUNDER: gettext_lazy("a slip in one reading"),
    CauseWord.STEP: gettext_lazy("a sudden shift at this place"),
    CauseWord.FIXED_POINT: gettext_lazy("a wrong entry in our files about where the deck is held"),
    CauseWord.SIGN: gettext_lazy("readings written down the wrong way round"),
    CauseWord.COEFFICIENT: gettext_lazy("a wrong entry in our files about the deck"),
    CauseWord.SETTING_OFF: gettext_lazy("a wrong entry in our files about how this part was set"),
}
DEFECTS = {
    DefectCode.OVERALL: pgettext_lazy("in plain words", "the part as a whole"),
    DefectCode.CORROSION: pgettext_lazy("in plain words", "rust"),
    DefectCode.CONNECTION: pgettext_lazy("in plain words", "loose or broken bolts or welds"),
    DefectCode.MOVEMENT: pgettext_lazy("in plain words", "the way it moves"),
    DefectCode.ALIGNMENT: pgettext_lazy("in plain words", "it does not stand in line"),
    DefectCode.BULGING: pgettext_lazy("in plain words", "bulges, splits or tears"),
    DefectCode.LOSS_OF_AREA: pgettext_lazy(
        "in plain words", "the deck no longer rests on all of it"
    ),
    DefectCode.LEAKAGE: pgettext_lazy("in plain words", "water leaks through"),
    DefectCode.SEAL_ADHESION: pgettext_lazy("in plain words", "the seal has come loose"),
    DefectCode.SEAL_DAMAGE: pgettext_lazy("in plain words", "the seal is damaged"),
    DefectCode.SEAL_CRACKING: pgettext_lazy("in plain words", "the seal is cracked"),
    DefectCode.DEBRIS: pgettext_lazy("in plain words", "it is packed with dirt"),
    DefectCode.ADJACENT_DECK: pgettext_lazy("in plain words", "the road beside it is damaged"),
    DefectCode.METAL: pgettext_lazy("in plain words", "its metal is worn or damaged"),
    DefectCode.DAMAGE: pgettext_lazy("in plain words", "damage"),
}
CALLED = {
    ReadingQuantity.GAP: gettext_lazy("how wide the gap is of %(part)s"),
    ReadingQuantity.OFFSET_ALONG: gettext_lazy("how far %(part)s stands from its middle mark"),
    ReadingQuantity.TILT: gettext_lazy("how far %(part)s leans"),
}
"""What is to be measured of a part."""


IN_BRIEF = {
    ElementKind.BEARING: gettext_lazy("a part on which the deck rests"),
    ElementKind.JOINT: gettext_lazy("a gap in the road that lets the deck grow"),
}


def cause(word: int, place: Place | None) -> str:
    """Return a cause; what it names is explained where the page is about something else."""
    told = str(CAUSES.get(CauseWord(word), ""))
    about_bearing = place is not None and place.kind == ElementKind.BEARING
    if word in (CauseWord.FROZEN, CauseWord.SLUGGISH) and not about_bearing:
        return f"{told} ({IN_BRIEF[ElementKind.BEARING]})"
    return told


def noun(place: Place) -> str:
    """Return what a part is called."""
    return str(NAMES.get(DeviceType(place.device_type)) or NAMES[ElementKind(place.kind)])


def explained(place: Place) -> str:
    """Return what a part is for, in a sentence or two."""
    told = OF_DEVICE.get(DeviceType(place.device_type)) or EXPLAINED[ElementKind(place.kind)]
    return str(told)


def where(place: Place) -> str:
    """Return where a part is, counted from the start of the bridge."""
    if place.support_kind == SupportKind.ABUTMENT:
        if place.number == 1:
            return _("at the start of the bridge")
        if place.number == place.supports:
            return _("at the far end of the bridge")
    if place.support_kind == SupportKind.HINGE:
        return _("at a hinge between two supports")
    if place.number > len(ORDINALS):
        return _("at support %(number)s") % {"number": place.number}
    return _("at the %(ordinal)s support from the start") % {"ordinal": ORDINALS[place.number - 1]}


def in_title(place: Place) -> str:
    """Return where a part is, as short as a title needs it."""
    abutment = place.support_kind == SupportKind.ABUTMENT and place.number in (1, place.supports)
    if abutment or place.support_kind == SupportKind.HINGE or place.number > len(ORDINALS):
        return where(place)
    return _("at the %(ordinal)s support") % {"ordinal": ORDINALS[place.number - 1]}


def part(place: Place) -> str:
    """Return a part with its place: ``the joint at the far end of the bridge``."""
    if place.beside > 1:
        several = SEVERAL.get(DeviceType(place.device_type)) or SEVERAL[ElementKind(place.kind)]
        told = {"count": place.beside, "parts": several, "where": where(place)}
        return _("one of the %(count)s %(parts)s %(where)s") % told
    return _("the %(part)s %(where)s") % {"part": noun(place), "where": where(place)}
