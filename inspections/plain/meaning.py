"""What it means for the use of the bridge, in plain words; never that it is safe."""

from __future__ import annotations

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from inspections.models.choices import ReadingQuantity, VerdictWord
from inspections.models.desk_choices import FlagCause, FlagState
from inspections.plain.facts import Facts, Measured
from inspections.plain.found import cause_words
from inventory.models.choices import ElementKind

TELL = gettext_lazy(
    "A critical finding stands. The engineer in charge and the owner of the bridge must be told at"
    " once."
)
ENGINEER = gettext_lazy(
    "An engineer decides whether and how the bridge may be used. This page does not decide that."
)
RECORD = gettext_lazy(
    "This page was made from our files. It is no engineer's finding until one has signed it. Local"
    " rules and the licensed engineer decide."
)
STUCK = gettext_lazy(
    "A part that moves too little holds the deck back when it grows and shrinks. The push can crack"
    " concrete or bend steel over the years."
)
NARROW = gettext_lazy(
    "If the gap closes, the deck pushes against its neighbour on a hot day. That can damage the"
    " deck and the wall behind it."
)
WIDE = gettext_lazy(
    "If the gap grows too wide, the seal can tear and cars get a jolt. Water then runs through."
)
STEP = gettext_lazy(
    "Cars get a jolt at a step in the road. The blows wear the joint and the deck beside it."
)
OFF_BEARING = gettext_lazy(
    "If the part strays too far, the deck no longer rests on it as it should. It can also push its"
    " support aside."
)
OF_RESTRAINT = gettext_lazy(
    "If it does not hold, the deck may shift or lift more than it should in a storm, a flood or an"
    " earthquake."
)
CLEAR = gettext_lazy("The difference is larger than the doubt in the measuring.")
SMALL = gettext_lazy("The difference is small. It is little more than the doubt in the measuring.")


def meaning(facts: Facts) -> list[str]:
    """Return the sentences, what matters most first."""
    told = [str(TELL), *_told_whom(facts)] if facts.critical else []
    told.append(str(ENGINEER))
    if facts.place is None:
        return [*told, str(RECORD)]
    if facts.state in (FlagState.CLOSED, FlagState.WITHDRAWN):
        told.append(_("For this fault nothing more is to be done now."))
    elif facts.cause:
        told += _at_stake(facts)
    elif not facts.other_flags and facts.severity == VerdictWord.IN_RANGE:
        told.append(_("What was measured is as it should be."))
    if facts.state == FlagState.BACK:
        told.append(
            _("The last reading was as it should be again. One reading alone proves little.")
        )
    if facts.state == FlagState.MENDED:
        told.append(_("The fault was mended. It is not proved yet that the part works again."))
    if words := cause_words(facts):
        told.append(words)
    if facts.other_flags:
        told.append(_others(facts.other_flags, more=bool(facts.cause)))
    return [*told, str(RECORD)]


def _others(count: int, *, more: bool) -> str:
    told = (
        ngettext(
            "The list of this bridge holds %(count)s more finding.",
            "The list of this bridge holds %(count)s more findings.",
            count,
        )
        if more
        else ngettext(
            "The list of this bridge holds %(count)s finding.",
            "The list of this bridge holds %(count)s findings.",
            count,
        )
    )
    return told % {"count": count}


def _told_whom(facts: Facts) -> list[str]:
    last = facts.critical[0]
    if last.told:
        return [_("The crew told: %(whom)s.") % {"whom": last.told}]
    return [_("Our files do not say whom the crew told.")]


def _at_stake(facts: Facts) -> list[str]:
    place, measured = facts.place, facts.measured
    if place is None:
        return []
    told = []
    if facts.cause == FlagCause.CONDITION:
        told.append(_("In the worst grade it is in doubt whether the part can still do its work."))
    if facts.cause == FlagCause.RESPONSE and place.kind != ElementKind.RESTRAINT:
        told.append(str(STUCK))
    elif place.kind == ElementKind.RESTRAINT:
        told.append(str(OF_RESTRAINT))
    elif place.kind == ElementKind.BEARING:
        told.append(str(OFF_BEARING))
    else:
        told.append(_gap(measured))
    if facts.cause == FlagCause.POSITION and _shown_by_reading(facts):
        told.append(str(CLEAR if facts.severity == VerdictWord.OUT_OF_RANGE else SMALL))
    return told


def _shown_by_reading(facts: Facts) -> bool:
    return any(item["kind"] == "reading" for item in facts.evidence)


def _gap(measured: Measured | None) -> str:
    if measured is not None and measured.quantity == ReadingQuantity.LEVEL_STEP:
        return str(STEP)
    if measured is None or measured.expected is None:
        return f"{NARROW} {WIDE}"
    return str(NARROW if measured.value < measured.expected else WIDE)
