"""Each cause that can explain a unit's readings, in words: what it is, its size, what to do.

The advice is common practice, no source: it is for whoever plans the next visit, never a
decision.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable

from inspections.models import Explanation
from inspections.models.choices import CauseWord, ReadingQuantity
from inspections.wording_figures import plain_number, ratio_interval
from inventory.units import Dimension, System, shown
from movement.whole_bridge.causes import REGISTER

REGISTER_CAUSES = frozenset(CauseWord(each) for each in REGISTER)
_LENGTHS = (CauseWord.SUPPORT_MOVED, CauseWord.BLUNDER, CauseWord.STEP, CauseWord.SETTING_OFF)
_RESPONSES = (CauseWord.FROZEN, CauseWord.SLUGGISH, CauseWord.SIGN)


def _at(row: Explanation) -> str:
    return row.element.code if row.element else "an element"


def _support(row: Explanation) -> str:
    return (
        f"{row.support.get_kind_display().lower()} {row.support.code}"
        if row.support
        else ("a support")
    )


def _day(visit: object) -> str:
    date: dt.date | None = getattr(visit, "date", None)
    return f"{date:%Y-%m-%d}" if date else "an unknown day"


def _reading(row: Explanation) -> str:
    what = ReadingQuantity(row.quantity).label.lower() if row.quantity else "reading"
    return f"{what}{f', {row.point}' if row.point else ''} of {_at(row)}"


SUBJECT: dict[CauseWord, Callable[[Explanation], str]] = {
    CauseWord.HEALTHY: lambda row: "nothing wrong",
    CauseWord.FROZEN: lambda row: f"{_at(row)} frozen",
    CauseWord.SLUGGISH: lambda row: f"{_at(row)} sluggish",
    CauseWord.SUPPORT_MOVED: lambda row: f"{_support(row)} moved",
    CauseWord.SHORTENING: lambda row: "the deck shorter than creep and shrinkage make it",
    CauseWord.WRONG_TEMPERATURE: lambda row: (
        f"a wrong temperature in the visit of {_day(row.visit)}"
    ),
    CauseWord.BLUNDER: lambda row: f"a blunder in the {_reading(row)} on {_day(row.visit)}",
    CauseWord.STEP: lambda row: f"a step at {_at(row)}",
    CauseWord.FIXED_POINT: lambda row: f"the fixed point at {_support(row)}",
    CauseWord.SIGN: lambda row: f"the readings of {_at(row)} taken with the other sign",
    CauseWord.COEFFICIENT: lambda row: "another coefficient of expansion",
    CauseWord.SETTING_OFF: lambda row: f"another setting position of {_at(row)}",
}
"""What the readings would be likelier with."""

HEADLINE: dict[CauseWord, Callable[[Explanation], str]] = {
    CauseWord.HEALTHY: lambda row: "Nothing wrong",
    CauseWord.FROZEN: lambda row: f"{_at(row)} does not move with the temperature: frozen",
    CauseWord.SLUGGISH: lambda row: f"{_at(row)} moves too little with the temperature: sluggish",
    CauseWord.SUPPORT_MOVED: lambda row: (
        f"{_support(row).capitalize()} has moved"
        if row.support is None
        else f"{row.support.get_kind_display()} {row.support.code} has moved"
    ),
    CauseWord.SHORTENING: lambda row: "The deck has shortened more than was reckoned",
    CauseWord.WRONG_TEMPERATURE: lambda row: (
        f"The temperature recorded in the visit of {_day(row.visit)} is wrong"
    ),
    CauseWord.BLUNDER: lambda row: f"A blunder in the {_reading(row)} on {_day(row.visit)}",
    CauseWord.STEP: lambda row: f"{_at(row)} was shifted at one time",
    CauseWord.FIXED_POINT: lambda row: (
        f"Check the register first: the thermal fixed point seems to be at {_support(row)}"
    ),
    CauseWord.SIGN: lambda row: (
        f"Check the register first: the readings of {_at(row)} seem to be kept with the wrong sign"
    ),
    CauseWord.COEFFICIENT: lambda row: (
        "Check the register first: the coefficient of expansion seems to be wrong"
    ),
    CauseWord.SETTING_OFF: lambda row: (
        f"Check the register first: the setting position of {_at(row)} seems to be wrong"
    ),
}
IN_SHORT = {
    CauseWord.HEALTHY: "nothing wrong",
    CauseWord.FROZEN: "frozen",
    CauseWord.SLUGGISH: "sluggish",
    CauseWord.SUPPORT_MOVED: "support moved",
    CauseWord.SHORTENING: "deck has shortened",
    CauseWord.WRONG_TEMPERATURE: "wrong temperature in one visit",
    CauseWord.BLUNDER: "blunder in one reading",
    CauseWord.STEP: "stepped",
    CauseWord.FIXED_POINT: "register: fixed point",
    CauseWord.SIGN: "register: sign",
    CauseWord.COEFFICIENT: "register: coefficient",
    CauseWord.SETTING_OFF: "register: setting position",
}
NEXT: dict[CauseWord, Callable[[Explanation], str]] = {
    CauseWord.FROZEN: lambda row: (
        f"Look at {_at(row)} for corrosion, debris and paint across its"
        " moving faces; measure it once more when it is much warmer or colder than at its setting"
    ),
    CauseWord.SLUGGISH: lambda row: (
        f"Measure {_at(row)} on the coldest and on the hottest day that"
        " can be had, and look at its sliding or rolling faces"
    ),
    CauseWord.SUPPORT_MOVED: lambda row: (
        f"Survey {_support(row)}: plumb, level and distance to its"
        " neighbours; measure every element on it in one visit"
    ),
    CauseWord.SHORTENING: lambda row: (
        "Measure every joint and bearing of the unit in one visit;"
        " check its concrete data and dates in the register"
    ),
    CauseWord.WRONG_TEMPERATURE: lambda row: (
        f"Look up the field notes of {_day(row.visit)}: where,"
        " when and with what the temperature was taken; correct it in the ledger if it is wrong"
    ),
    CauseWord.BLUNDER: lambda row: (
        f"Look up the field notes of {_day(row.visit)} and repeat the {_reading(row)}"
    ),
    CauseWord.STEP: lambda row: (
        f"Measure {_at(row)} again at the same marks; find out what happened"
        " to it then: an impact, jacking, a flood, an earthquake, new marks"
    ),
    CauseWord.FIXED_POINT: lambda row: (
        "Look up the articulation plan: which support holds the unit"
        " lengthwise; see on the bridge which bearings are built fixed"
    ),
    CauseWord.SIGN: lambda row: (
        f"See at {_at(row)} which way is plus: towards increasing station,"
        " and compare with the direction of stations on the drawings"
    ),
    CauseWord.COEFFICIENT: lambda row: (
        "Look up the deck material and the aggregate of its concrete;"
        " check the coefficient of expansion in the register"
    ),
    CauseWord.SETTING_OFF: lambda row: (
        f"Look up at which position and temperature {_at(row)} was set"
        " or last reset; has it been reset without a record?"
    ),
}
"""What to look up or to measure next."""


def size_words(row: Explanation, system: System) -> str:
    """Return the size that an explanation gives its cause, with its 95 % interval."""
    cause = CauseWord(row.cause)
    if row.size is None:
        return ""
    if cause in _RESPONSES:
        return _with_interval(
            "response ", plain_number(row.size), ratio_interval(row.low, row.high)
        )
    if cause == CauseWord.COEFFICIENT:
        found = ratio_interval(row.low, row.high)
        return f"{_with_interval('', plain_number(row.size), found)} of the one in the register"
    if cause == CauseWord.SHORTENING:
        ends = ratio_interval(_micro(row.low), _micro(row.high), 0)
        strain = f"{plain_number(_micro(row.size), 0)} × 10⁻⁶"
        return _with_interval("strain ", strain, ends)
    if cause == CauseWord.WRONG_TEMPERATURE:
        side = "too high" if row.size > 0 else "too low"
        return _of_size(row, Dimension.TEMPERATURE_DIFFERENCE, system, side)
    if cause == CauseWord.FIXED_POINT:
        side = "further along" if row.size > 0 else "further back"
        return _of_size(row, Dimension.STATION, system, side)
    if cause in _LENGTHS:
        return _of_size(row, Dimension.LENGTH, system, _side(cause, row.size > 0))
    return ""


def dates_words(row: Explanation) -> str:
    """Return since when it holds: between two visits, at one, or since the setting."""
    cause = CauseWord(row.cause)
    if cause in (CauseWord.WRONG_TEMPERATURE, CauseWord.BLUNDER, CauseWord.HEALTHY):
        return ""  # told with the cause
    if cause in REGISTER_CAUSES or cause == CauseWord.SHORTENING:
        return ""
    if row.visit is None:
        return "since the setting" if cause in (CauseWord.FROZEN, CauseWord.SLUGGISH) else ""
    if row.last_before is None:
        return f"before {_day(row.visit)}"
    return f"between {_day(row.last_before)} and {_day(row.visit)}"


def _side(cause: CauseWord, positive: bool) -> str:
    if cause == CauseWord.BLUNDER:
        return "too much" if positive else "too little"
    return "towards increasing station" if positive else "towards decreasing station"


def _of_size(row: Explanation, dimension: Dimension, system: System, side: str) -> str:
    """Return the amount without its sign, which ``side`` tells."""
    amount = shown(abs(row.size), dimension, system)
    if row.low is None or row.high is None:
        return f"{amount} {side}"
    sign = 1.0 if row.size >= 0 else -1.0
    low, high = sorted((sign * row.low, sign * row.high))
    unit = amount.lstrip("0123456789.")
    ends = " to ".join(
        shown(each, dimension, system).removesuffix(unit).strip() for each in (low, high)
    )
    return f"{amount} {side} ({ends})"


def _with_interval(before: str, value: str, ends: str) -> str:
    return f"{before}{value} ({ends})" if ends else f"{before}{value}"


def _micro(value: float | None) -> float | None:
    return None if value is None else value * 1e6
