"""One reading in plain words: what was read, what it should have been, and why none is judged."""

from __future__ import annotations

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext, pgettext

from inspections.models.choices import ReadingQuantity, VerdictWord
from inspections.plain.amounts import alike, amount, apart, day, share, temperature
from inspections.plain.facts import Measured, Then
from inspections.reasons import RESIDUAL
from inventory.units import System
from movement.results import Reason

FAR = gettext_lazy("towards the far end")
START = gettext_lazy("towards the start of the bridge")
SINCE = {
    "setting": gettext_lazy("Since it was built in"),
    "first": gettext_lazy("Since it was first measured"),
}
Q = ReadingQuantity


def reading(measured: Measured, system: System) -> list[str]:
    """Return what was read, and what it should have been."""
    head = _head(measured, system)
    value = amount(measured.quantity, measured.value, system)
    if measured.reasons & Reason.IS_BASELINE:
        return [head, _("It is the first reading, so there is nothing to compare it with.")]
    expected = (
        None if measured.expected is None else amount(measured.quantity, measured.expected, system)
    )
    quantity = Q(measured.quantity)
    if quantity in (Q.GAP, Q.KEY_GAP, Q.SLACK):
        return [head, *_gap(measured, value, expected, system)]
    if quantity in (Q.OFFSET_ALONG, Q.OFFSET_ACROSS, Q.TILT, Q.ROTATION):
        return [head, *_offset(measured, value, expected, system)]
    return [head, *_other(measured, value, expected)]


def _head(measured: Measured, system: System) -> str:
    if measured.temperature_c is None:
        return _("It was measured on %(day)s.") % {"day": day(measured.on)}
    told = {"day": day(measured.on), "warm": temperature(measured.temperature_c, system)}
    return _("It was measured on %(day)s, when the deck was at %(warm)s.") % told


def _gap(measured: Measured, value: str, expected: str | None, system: System) -> list[str]:
    if measured.quantity == Q.GAP:
        told = [_("The gap was %(value)s.") % {"value": value}]
    elif measured.quantity == Q.SLACK:
        told = [
            _("It could still be pulled out by %(value)s.") % {"value": value}
            if measured.value >= 0.5
            else _("It was pulled tight.")
        ]
    elif measured.value < 0.5:
        told = [_("There was no free space beside it left.")]
    else:
        told = [_("The free space beside it was %(value)s.") % {"value": value}]
    if expected is None or measured.expected is None:
        return told
    off = measured.value - measured.expected
    told.append(_("It should have been %(value)s.") % {"value": expected})
    wide, narrow = (
        (_("too loose"), _("too tight"))
        if measured.quantity == Q.SLACK
        else (_("too wide"), _("too narrow"))
    )
    how = wide if off > 0 else narrow
    told += _so(measured, measured.value, measured.expected, how, system)
    return told


def _offset(measured: Measured, value: str, expected: str | None, system: System) -> list[str]:
    quantity = Q(measured.quantity)
    leans = quantity in (Q.TILT, Q.ROTATION)
    then = measured.then
    if then is not None and measured.moved is not None and measured.should is not None:
        moved = amount(measured.quantity, measured.moved, system)
        should = amount(measured.quantity, measured.should, system)
        values = {
            "since": _since(then),
            "should": f"{should}{_way(quantity, measured.should)}",
            "moved": f"{moved}{_way(quantity, measured.moved)}",
        }
        if leans:
            told = [_("%(since)s it should have turned %(should)s.") % values]
            stayed, went = _("It has not turned at all."), _("It turned %(moved)s.")
        else:
            told = [_("%(since)s it should have moved %(should)s.") % values]
            stayed, went = _("It has not moved at all."), _("It moved %(moved)s.")
        told.append(went % values if abs(measured.moved) > 0.0 else stayed)
        away = (
            pgettext("16 mm", "off")
            if then.what == "reading"
            else _("away from where it should be")
        )
        return [*told, *_so(measured, measured.moved, measured.should, away, system)]
    stood = (
        _("It leaned %(value)s away from its middle mark.")
        if leans
        else _("It stood %(value)s away from its middle mark.")
    )
    told = [stood % {"value": value}]
    if expected is None:
        return told
    return [*told, _("It should have been %(value)s.") % {"value": expected}]


def _since(then: Then) -> str:
    if then.what in SINCE:
        return str(SINCE[then.what])
    return (
        _("Since %(day)s") % {"day": day(then.on)}
        if then.on
        else pgettext("it should have moved", "Since then")
    )


def _so(measured: Measured, one: float, other: float, how: str, system: System) -> list[str]:
    """Return what a difference means; nothing where the reading was not judged by it."""
    same = alike(measured.quantity, one, other, system)
    away = apart(measured.quantity, one, other, system)
    if measured.reasons & RESIDUAL:
        told = {"away": _("a little") if same else away, "how": how}
        return [_("So it was %(away)s %(how)s.") % told]
    if measured.verdict == VerdictWord.CANNOT_JUDGE:
        return []
    if same:
        return [_("So this is as it should be.")]
    return [
        _("The difference of %(away)s is no larger than the doubt in the measuring.")
        % {"away": away}
    ]


def _way(quantity: Q, value: float) -> str:
    """Return which way something went; nothing where it did not go."""
    if abs(value) < 1e-9:
        return ""
    if quantity == Q.OFFSET_ACROSS:
        aside = _("to the left") if value > 0 else _("to the right")
        return f" {aside}"
    return f" {FAR if value > 0 else START}"


def _other(measured: Measured, value: str, expected: str | None) -> list[str]:
    size = {"value": value}
    match Q(measured.quantity):
        case Q.PROJECTION:
            told = [_("The end of a rod stood out %(value)s.") % size]
            if expected:
                told.append(_("It should stand out %(value)s.") % {"value": expected})
            return told
        case Q.SLIP:
            return [_("It had slipped %(value)s.") % size, _("It should not slip at all.")]
        case Q.BROKEN_RODS:
            count = round(measured.value)
            if count == 0:
                return [_("No rod was broken or missing.")]
            told_of = ngettext(
                "%(count)s rod was broken or missing.",
                "%(count)s rods were broken or missing.",
                count,
            )
            return [told_of % {"count": count}]
        case Q.ROD_TENSION:
            return _tension(measured)
        case Q.SLIDING_GAP:
            thin = _(
                "It slides on a thin sheet. The sheet stood out only %(value)s, as it wears away."
            )
            return [thin % size]
        case Q.PLATE_OVERLAP:
            return [
                _("Its upper plate reached %(value)s beyond the sheet on which it slides.") % size
            ]
        case Q.LEVEL_STEP:
            return [_("One side of the road stood %(value)s above the other.") % size]
        case _:
            return [_("Its rubber bulged by %(value)s.") % size]


def _tension(measured: Measured) -> list[str]:
    if measured.use is None:
        return [_("The pull in its rods was measured.")]
    lost = {"share": share(measured.use)}
    return [_("Its rods have lost %(share)s of the pull they were given.") % lost]


def why_not(measured: Measured) -> str:
    """Return why a reading could not be judged."""
    if measured.reasons & Reason.NO_TEMPERATURE:
        return _("nobody took the temperature with it")
    if measured.reasons & Reason.NO_SETTING:
        return _("our files do not say how the part was set")
    if measured.reasons & Reason.NO_LIMITS:
        return _("our files do not say how far it may move")
    if measured.reasons & Reason.NO_EXPANSION:
        return _("our files do not say where the deck is held")
    if measured.reasons & Reason.NO_EXTREMES:
        return _("our files do not say how hot and cold it gets there")
    return _("something it needs is not in our files")
