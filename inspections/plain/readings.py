"""One reading in plain words: what was read, what it should have been, and why none is judged."""

from __future__ import annotations

from inspections.models.choices import ReadingQuantity, VerdictWord
from inspections.plain.amounts import alike, amount, apart, day, share, temperature
from inspections.plain.facts import Measured
from inspections.reasons import RESIDUAL
from inventory.units import System
from movement.results import Reason

FAR, START = "towards the far end", "towards the start of the bridge"
Q = ReadingQuantity


def reading(measured: Measured, system: System) -> list[str]:
    """Return what was read, and what it should have been."""
    at = _at(measured, system)
    head = f"It was measured on {day(measured.on)}{at}."
    value = amount(measured.quantity, measured.value, system)
    if measured.reasons & Reason.IS_BASELINE:
        return [head, "It is the first reading, so there is nothing to compare it with."]
    expected = (
        None if measured.expected is None else amount(measured.quantity, measured.expected, system)
    )
    quantity = Q(measured.quantity)
    if quantity in (Q.GAP, Q.KEY_GAP):
        return [head, *_gap(measured, value, expected, system)]
    if quantity in (Q.OFFSET_ALONG, Q.OFFSET_ACROSS, Q.TILT, Q.ROTATION):
        return [head, *_offset(measured, value, expected, system)]
    return [head, *_other(measured, value, expected)]


def _at(measured: Measured, system: System) -> str:
    if measured.temperature_c is None:
        return ""
    return f", when the deck was at {temperature(measured.temperature_c, system)}"


def _gap(measured: Measured, value: str, expected: str | None, system: System) -> list[str]:
    what = "gap" if measured.quantity == Q.GAP else "free space beside it"
    touching = measured.quantity == Q.KEY_GAP and measured.value < 0.5
    told = [f"There was no {what} left." if touching else f"The {what} was {value}."]
    if expected is None or measured.expected is None:
        return told
    off = measured.value - measured.expected
    told.append(f"It should have been {expected}.")
    word = "wide" if off > 0 else "narrow"
    told += _so(measured, measured.value, measured.expected, f"too {word}", system)
    return told


def _offset(measured: Measured, value: str, expected: str | None, system: System) -> list[str]:
    quantity = Q(measured.quantity)
    leans = quantity in (Q.TILT, Q.ROTATION)
    then = measured.then
    if then is not None and measured.moved is not None and measured.should is not None:
        since = {
            "setting": "Since it was built in",
            "first": "Since it was first measured",
            "reading": f"Since {day(then.on)}" if then.on else "Since then",
        }[then.what]
        verb = "turned" if leans else "moved"
        moved = amount(measured.quantity, measured.moved, system)
        should = amount(measured.quantity, measured.should, system)
        told = [
            f"{since} it should have {verb} {should}{_way(quantity, measured.should)}.",
            f"It {verb} {moved}{_way(quantity, measured.moved)}."
            if abs(measured.moved) > 0.0
            else f"It has not {verb} at all.",
        ]
        away = "off" if then.what == "reading" else "away from where it should be"
        return [*told, *_so(measured, measured.moved, measured.should, away, system)]
    stood = "leaned" if leans else "stood"
    told = [f"It {stood} {value} away from its middle mark."]
    if expected is None:
        return told
    return [*told, f"It should have been {expected}."]


def _so(measured: Measured, one: float, other: float, how: str, system: System) -> list[str]:
    """Return what a difference means; nothing where the reading was not judged by it."""
    same = alike(measured.quantity, one, other, system)
    away = apart(measured.quantity, one, other, system)
    if measured.reasons & RESIDUAL:
        return [f"So it was {'a little' if same else away} {how}."]
    if measured.verdict == VerdictWord.CANNOT_JUDGE:
        return []
    if same:
        return ["So this is as it should be."]
    return [f"The difference of {away} is no larger than the doubt in the measuring."]


def _way(quantity: Q, value: float) -> str:
    """Return which way something went; nothing where it did not go."""
    if abs(value) < 1e-9:
        return ""
    if quantity == Q.OFFSET_ACROSS:
        return " to the left" if value > 0 else " to the right"
    return f" {FAR if value > 0 else START}"


def _other(measured: Measured, value: str, expected: str | None) -> list[str]:
    match Q(measured.quantity):
        case Q.PROJECTION:
            told = [f"The end of a rod stood out {value}."]
            return [*told, f"It should stand out {expected}."] if expected else told
        case Q.SLIP:
            return [f"It had slipped {value}.", "It should not slip at all."]
        case Q.BROKEN_RODS:
            count = round(measured.value)
            if count == 0:
                return ["No rod was broken or missing."]
            return [f"{count} rod{'s were' if count > 1 else ' was'} broken or missing."]
        case Q.ROD_TENSION:
            return _tension(measured)
        case Q.SLIDING_GAP:
            return [
                f"It slides on a thin sheet. The sheet stood out only {value}, as it wears away."
            ]
        case Q.PLATE_OVERLAP:
            return [f"Its upper plate reached {value} beyond the sheet on which it slides."]
        case Q.LEVEL_STEP:
            return [f"One side of the road stood {value} above the other."]
        case _:
            return [f"Its rubber bulged by {value}."]


def _tension(measured: Measured) -> list[str]:
    if measured.use is None:
        return ["The pull in its rods was measured."]
    return [f"Its rods have lost {share(measured.use)} of the pull they were given."]


def why_not(measured: Measured) -> str:
    """Return why a reading could not be judged."""
    if measured.reasons & Reason.NO_TEMPERATURE:
        return "nobody took the temperature with it"
    if measured.reasons & Reason.NO_SETTING:
        return "our files do not say how the part was set"
    if measured.reasons & Reason.NO_LIMITS:
        return "our files do not say how far it may move"
    if measured.reasons & Reason.NO_EXPANSION:
        return "our files do not say where the deck is held"
    if measured.reasons & Reason.NO_EXTREMES:
        return "our files do not say how hot and cold it gets there"
    return "something it needs is not in our files"
