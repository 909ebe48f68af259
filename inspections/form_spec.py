"""What is read on each type of device: label, unit, points, limits and why.

The one declaration that the web form, the file columns, the database constraint and
every screen's words come from.
"""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.translation import gettext
from django.utils.translation import gettext_noop as _

from inspections.models.choices import ReadingQuantity
from inventory.models.choices import DeviceType
from inventory.units import Dimension
from inventory.words import translated


@dataclass(frozen=True, slots=True)
class ReadingField:
    """One quantity that can be read.

    Attributes
    ----------
    quantity : ReadingQuantity
    dimension : Dimension
        The unit it is stored in.
    points : tuple of str
        Where it is taken; the empty point where there is but one.
    low, high : float
        What cannot be outside, in the stored unit.
    why : str
        How it is taken and with which sign, in the words of a field manual.
    wanted : bool
        A visit is complete only with it; False for what needs a device that few carry.
    """

    quantity: ReadingQuantity
    dimension: Dimension
    points: tuple[str, ...]
    low: float
    high: float
    why: str
    wanted: bool = True


RODS = tuple(f"rod {n}" for n in range(1, 13))
FIELDS = {
    each.quantity: each
    for each in (
        ReadingField(
            ReadingQuantity.GAP,
            Dimension.LENGTH,
            ("left", "centre", "right"),
            0,
            3000,
            _(
                "Between the faces at the same marks each time, at both kerbs and the centre."
                " Say whether the tape lay square to the joint or along the road."
            ),
        ),
        ReadingField(
            ReadingQuantity.OFFSET_ALONG,
            Dimension.LENGTH,
            ("",),
            -2000,
            2000,
            _(
                "From the centre mark of the lower plate to that of the upper one; plus when the"
                " superstructure stands towards increasing station."
            ),
        ),
        ReadingField(
            ReadingQuantity.OFFSET_ACROSS,
            Dimension.LENGTH,
            ("",),
            -2000,
            2000,
            _("The same across the bridge; plus to the left, looking towards increasing station."),
        ),
        ReadingField(
            ReadingQuantity.TILT,
            Dimension.TILT,
            ("",),
            -45,
            45,
            _("Inclinometer on the rocker; plus when the top leans towards increasing station."),
        ),
        ReadingField(
            ReadingQuantity.ROTATION,
            Dimension.ROTATION,
            ("",),
            -200,
            200,
            _(
                "Upper plate against lower plate; plus when the top moves towards increasing"
                " station."
            ),
        ),
        ReadingField(
            ReadingQuantity.KEY_GAP,
            Dimension.LENGTH,
            ("back", "ahead", "left", "right"),
            0,
            3000,
            _("Clear distance between key and stop on each side; 0 when they touch."),
        ),
        ReadingField(
            ReadingQuantity.SLACK,
            Dimension.LENGTH,
            ("back", "ahead", "left", "right"),
            0,
            3000,
            _(
                "How far the cable can still be drawn out, on the side towards which the deck"
                " moves as it tightens; 0 when it is taut. Where it ties two units: back, for it"
                " tightens as the one behind moves away from the one ahead."
            ),
        ),
        ReadingField(
            ReadingQuantity.PROJECTION,
            Dimension.LENGTH,
            RODS,
            0,
            1000,
            _("From the face of the nut to the end of the rod."),
        ),
        ReadingField(
            ReadingQuantity.SLIP,
            Dimension.LENGTH,
            ("",),
            -200,
            200,
            _("Of the clamped part along its match mark; plus towards increasing station."),
        ),
        ReadingField(
            ReadingQuantity.ROD_TENSION,
            Dimension.FORCE,
            ("mean", *RODS),
            0,
            10_000,
            _(
                "By lift-off with a jack, load cell or ultrasound; the mean alone where single"
                " rods were not read."
            ),
            wanted=False,
        ),
        ReadingField(
            ReadingQuantity.BROKEN_RODS,
            Dimension.COUNT,
            ("",),
            0,
            1000,
            _("Rods broken or missing, counted; 0 when every rod is whole."),
        ),
        ReadingField(
            ReadingQuantity.SLIDING_GAP,
            Dimension.LENGTH,
            ("",),
            0,
            30,
            _(
                "Least gap between the sliding plate and the edge of the recess that holds the"
                " PTFE, by feeler gauge, all round."
            ),
            wanted=False,
        ),
        ReadingField(
            ReadingQuantity.PLATE_OVERLAP,
            Dimension.LENGTH,
            ("back", "ahead"),
            0,
            3000,
            _(
                "How far the sliding plate still reaches beyond the sheet on that side; 0 where the"
                " sheet begins to show."
            ),
            wanted=False,
        ),
        ReadingField(
            ReadingQuantity.BULGE,
            Dimension.LENGTH,
            ("",),
            0,
            60,
            _("Greatest bulge of a layer beyond its plates, by straightedge and rule."),
            wanted=False,
        ),
        ReadingField(
            ReadingQuantity.LEVEL_STEP,
            Dimension.LENGTH,
            ("left", "centre", "right"),
            -300,
            300,
            _(
                "How far one side of the joint stands above the other, by straightedge and rule"
                " in the wheel path; plus when the side towards increasing station stands higher."
            ),
            wanted=False,
        ),
    )
}

AS_UNITS_PART = "back"
"""The only side on which a cable between two units tightens: the one behind moves back from it."""
_Q = ReadingQuantity
_MOVING = (_Q.OFFSET_ALONG, _Q.OFFSET_ACROSS, _Q.ROTATION)
_ELASTOMERIC = (*_MOVING, _Q.BULGE)
_SLIDING = (*_MOVING, _Q.SLIDING_GAP, _Q.PLATE_OVERLAP)
_ROLLING = (_Q.TILT, _Q.OFFSET_ALONG)
_JOINT = (_Q.GAP, _Q.LEVEL_STEP)
_RODS = (_Q.ROD_TENSION, _Q.BROKEN_RODS)
QUANTITIES_OF_DEVICE: dict[str, tuple[ReadingQuantity, ...]] = {
    DeviceType.PLAIN_ELASTOMERIC: _ELASTOMERIC,
    DeviceType.REINFORCED_ELASTOMERIC: _ELASTOMERIC,
    DeviceType.FLAT_SLIDING: _SLIDING,
    DeviceType.POT: _SLIDING,
    DeviceType.DISC: _SLIDING,
    DeviceType.SPHERICAL: _SLIDING,
    DeviceType.ROCKER: _ROLLING,
    DeviceType.ROLLER: _ROLLING,
    DeviceType.FIXED_PIN: _MOVING,
    DeviceType.OTHER_BEARING: _MOVING,
    DeviceType.STRIP_SEAL: _JOINT,
    DeviceType.COMPRESSION_SEAL: _JOINT,
    DeviceType.POURED: _JOINT,
    DeviceType.MODULAR: _JOINT,
    DeviceType.FINGER: _JOINT,
    DeviceType.SLIDING_PLATE: _JOINT,
    DeviceType.PLUG: _JOINT,
    DeviceType.OPEN: _JOINT,
    DeviceType.OTHER_JOINT: _JOINT,
    DeviceType.SHEAR_KEY: (_Q.KEY_GAP,),
    DeviceType.HOLD_DOWN: (_Q.KEY_GAP, _Q.PROJECTION, *_RODS),
    DeviceType.ANCHOR_RODS: (_Q.PROJECTION, *_RODS),
    DeviceType.CLAMP: (_Q.SLIP, *_RODS),
    DeviceType.LOCK_UP: (_Q.KEY_GAP,),
    DeviceType.RESTRAINER_CABLE: (_Q.SLACK,),
}


_POINTS = (_("left"), _("centre"), _("right"), _("back"), _("ahead"), _("mean"))


def point_words(point: str) -> str:
    """Return a point in the reader's language; it is stored as it stands in FIELDS."""
    kind, _space, number = point.partition(" ")
    if kind == "rod" and number:
        return gettext("rod %(number)s") % {"number": number}
    return translated(point)


def fields_for(device_type: str) -> list[ReadingField]:
    """Return what is read on a device, in the order of its form."""
    return [FIELDS[quantity] for quantity in QUANTITIES_OF_DEVICE[device_type]]
