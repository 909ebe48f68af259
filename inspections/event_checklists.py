"""What to look at first after an event, by kind of device.

Common practice, no source: it helps a crew to begin and replaces no procedure of the owner.
"""

from __future__ import annotations

from django.utils.translation import gettext_noop as _

from inspections.models.desk_choices import EventKind
from inventory.models.choices import ElementKind
from inventory.words import translated

ORDER = (ElementKind.RESTRAINT, ElementKind.BEARING, ElementKind.JOINT)
"""What an event inspection begins with at every support."""
_RESTRAINT, _BEARING, _JOINT = ORDER
_AFTER_A_BLOW = {
    _RESTRAINT: _(
        "Keys, hold-downs and clamps beside the place that was struck: cracks, rods bent"
        " or broken, gaps that have changed side to side."
    ),
    _BEARING: _(
        "Seats and pedestals for cracks; the bearing square on its seat; offset across"
        " first, then along."
    ),
    _JOINT: _(
        "Gap at both edges and the middle: a wedge shape shows a deck turned in plan; level"
        " difference across the joint."
    ),
}
CHECKLISTS: dict[EventKind, dict[ElementKind, str]] = {
    EventKind.EARTHQUAKE: {
        _RESTRAINT: _(
            "Key gaps on both sides, rods: length out of the nut, bent, broken; clamps"
            " slipped; lock-up devices leaking; restrainer cables taut, frayed or pulled out of"
            " their fittings. Seat length left at each support."
        ),
        _BEARING: _(
            "Still on its seat; offset along and across; rockers and rollers not toppled;"
            " anchor bolts; cracked pedestals."
        ),
        _JOINT: _(
            "Gap at both edges and the middle; blocked or torn; backwall cracked by the deck"
            " that struck it."
        ),
    },
    EventKind.VEHICLE_IMPACT: _AFTER_A_BLOW,
    EventKind.VESSEL_IMPACT: _AFTER_A_BLOW,
    EventKind.FLOOD: {
        _RESTRAINT: _(
            "Keys and hold-downs for debris, uplift and a deck that floated; rods for"
            " length and bend."
        ),
        _BEARING: _(
            "Washed-in debris, deck lifted off its bearings, a support that sank or leans:"
            " offsets and rotation of all bearings on it."
        ),
        _JOINT: _("Gap and level across: a support that moved shows here first; silt in the seal."),
    },
    EventKind.HEAT_WAVE: {
        _RESTRAINT: _("Keys bearing hard against the deck; gaps closed."),
        _BEARING: _("Bearings at the end of their travel; measure near the hottest hour."),
        _JOINT: _(
            "Gaps closed or near it, seals squeezed out, spalls at the edge; measure near the"
            " hottest hour."
        ),
    },
    EventKind.OTHER: {
        _RESTRAINT: _("Anything broken, bent or out of place."),
        _BEARING: _("Offset and rotation against those of the last visit."),
        _JOINT: _("Gap and level against those of the last visit."),
    },
}
CAUTION = _(
    "An event inspection finds what moved and what is broken. It does not by itself declare a"
    " bridge safe: that is for a licensed engineer, by the owner's procedures. Close the bridge"
    " and report at once where anything looks unsafe."
)


def checklist_of(kind: EventKind | str) -> list[tuple[str, str]]:
    """Return what to look at first after an event, in the order of the inspection."""
    told = CHECKLISTS[EventKind(kind)]
    return [(element.label, translated(told[element])) for element in ORDER]
