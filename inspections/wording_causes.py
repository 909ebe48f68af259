"""Each cause that can explain a unit's readings, in words: what it is, its size, what to do.

The advice is common practice, no source: it is for whoever plans the next visit, never a
decision.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as mark

from inspections.form_spec import point_words
from inspections.models import Explanation
from inspections.models.choices import CauseWord, ReadingQuantity
from inspections.wording_figures import plain_number, ratio_interval
from inventory.units import Dimension, System, shown
from inventory.words import in_sentence
from movement.whole_bridge.causes import REGISTER

REGISTER_CAUSES = frozenset(CauseWord(each) for each in REGISTER)
_LENGTHS = (CauseWord.SUPPORT_MOVED, CauseWord.BLUNDER, CauseWord.STEP, CauseWord.SETTING_OFF)
_RESPONSES = (CauseWord.FROZEN, CauseWord.SLUGGISH, CauseWord.SIGN)


def _at(row: Explanation) -> str:
    return row.element.code if row.element else _("an element")


def _support(row: Explanation) -> str:
    if not row.support:
        return _("a support")
    return f"{in_sentence(row.support.get_kind_display())} {row.support.code}"


def _day(visit: object) -> str:
    date: dt.date | None = getattr(visit, "date", None)
    return f"{date:%Y-%m-%d}" if date else _("an unknown day")


def _reading(row: Explanation) -> str:
    what = in_sentence(ReadingQuantity(row.quantity).label) if row.quantity else _("reading")
    at = f", {point_words(row.point)}" if row.point else ""
    return _("%(reading)s of %(element)s") % {"reading": f"{what}{at}", "element": _at(row)}


SUBJECT: dict[CauseWord, Callable[[Explanation], str]] = {
    CauseWord.HEALTHY: lambda row: _("nothing wrong"),
    CauseWord.FROZEN: lambda row: _("%(element)s frozen") % {"element": _at(row)},
    CauseWord.SLUGGISH: lambda row: _("%(element)s sluggish") % {"element": _at(row)},
    CauseWord.SUPPORT_MOVED: lambda row: _("%(support)s moved") % {"support": _support(row)},
    CauseWord.SHORTENING: lambda row: _("the deck shorter than creep and shrinkage make it"),
    CauseWord.WRONG_TEMPERATURE: lambda row: (
        _("a wrong temperature in the visit of %(day)s") % {"day": _day(row.visit)}
    ),
    CauseWord.BLUNDER: lambda row: (
        _("a blunder in the %(reading)s on %(day)s")
        % {"reading": _reading(row), "day": _day(row.visit)}
    ),
    CauseWord.STEP: lambda row: _("a step at %(element)s") % {"element": _at(row)},
    CauseWord.FIXED_POINT: lambda row: (
        _("the fixed point at %(support)s") % {"support": _support(row)}
    ),
    CauseWord.SIGN: lambda row: (
        _("the readings of %(element)s taken with the other sign") % {"element": _at(row)}
    ),
    CauseWord.COEFFICIENT: lambda row: _("another coefficient of expansion"),
    CauseWord.SETTING_OFF: lambda row: (
        _("another setting position of %(element)s") % {"element": _at(row)}
    ),
}
"""What the readings would be likelier with."""

HEADLINE: dict[CauseWord, Callable[[Explanation], str]] = {
    CauseWord.HEALTHY: lambda row: _("Nothing wrong"),
    CauseWord.FROZEN: lambda row: (
        _("%(element)s does not move with the temperature: frozen") % {"element": _at(row)}
    ),
    CauseWord.SLUGGISH: lambda row: (
        _("%(element)s moves too little with the temperature: sluggish") % {"element": _at(row)}
    ),
    CauseWord.SUPPORT_MOVED: lambda row: (
        _("A support has moved")
        if row.support is None
        else _("%(support)s has moved")
        % {"support": f"{row.support.get_kind_display()} {row.support.code}"}
    ),
    CauseWord.SHORTENING: lambda row: _("The deck has shortened more than was reckoned"),
    CauseWord.WRONG_TEMPERATURE: lambda row: (
        _("The temperature recorded in the visit of %(day)s is wrong") % {"day": _day(row.visit)}
    ),
    CauseWord.BLUNDER: lambda row: (
        _("A blunder in the %(reading)s on %(day)s")
        % {"reading": _reading(row), "day": _day(row.visit)}
    ),
    CauseWord.STEP: lambda row: _("%(element)s was shifted at one time") % {"element": _at(row)},
    CauseWord.FIXED_POINT: lambda row: (
        _("Check the register first: the thermal fixed point seems to be at %(support)s")
        % {"support": _support(row)}
    ),
    CauseWord.SIGN: lambda row: (
        _(
            "Check the register first: the readings of %(element)s seem to be kept with the"
            " wrong sign"
        )
        % {"element": _at(row)}
    ),
    CauseWord.COEFFICIENT: lambda row: _(
        "Check the register first: the coefficient of expansion seems to be wrong"
    ),
    CauseWord.SETTING_OFF: lambda row: (
        _("Check the register first: the setting position of %(element)s seems to be wrong")
        % {"element": _at(row)}
    ),
}
IN_SHORT = {
    CauseWord.HEALTHY: mark("nothing wrong"),
    CauseWord.FROZEN: mark("frozen"),
    CauseWord.SLUGGISH: mark("sluggish"),
    CauseWord.SUPPORT_MOVED: mark("support moved"),
    CauseWord.SHORTENING: mark("deck has shortened"),
    CauseWord.WRONG_TEMPERATURE: mark("wrong temperature in one visit"),
    CauseWord.BLUNDER: mark("blunder in one reading"),
    CauseWord.STEP: mark("stepped"),
    CauseWord.FIXED_POINT: mark("register: fixed point"),
    CauseWord.SIGN: mark("register: sign"),
    CauseWord.COEFFICIENT: mark("register: coefficient"),
    CauseWord.SETTING_OFF: mark("register: setting position"),
}
NEXT: dict[CauseWord, Callable[[Explanation], str]] = {
    CauseWord.FROZEN: lambda row: (
        _(
            "Look at %(element)s for corrosion, debris and paint across its moving faces; measure"
            " it once more when it is much warmer or colder than at its setting"
        )
        % {"element": _at(row)}
    ),
    CauseWord.SLUGGISH: lambda row: (
        _(
            "Measure %(element)s on the coldest and on the hottest day that can be had, and look"
            " at its sliding or rolling faces"
        )
        % {"element": _at(row)}
    ),
    CauseWord.SUPPORT_MOVED: lambda row: (
        _(
            "Survey %(support)s: plumb, level and distance to its neighbours; measure every"
            " element on it in one visit"
        )
        % {"support": _support(row)}
    ),
    CauseWord.SHORTENING: lambda row: _(
        "Measure every joint and bearing of the unit in one visit; check its concrete data and"
        " dates in the register"
    ),
    CauseWord.WRONG_TEMPERATURE: lambda row: (
        _(
            "Look up the field notes of %(day)s: where, when and with what the temperature was"
            " taken; correct it in the ledger if it is wrong"
        )
        % {"day": _day(row.visit)}
    ),
    CauseWord.BLUNDER: lambda row: (
        _("Look up the field notes of %(day)s and repeat the %(reading)s")
        % {"day": _day(row.visit), "reading": _reading(row)}
    ),
    CauseWord.STEP: lambda row: (
        _(
            "Measure %(element)s again at the same marks; find out what happened to it then: an"
            " impact, jacking, a flood, an earthquake, new marks"
        )
        % {"element": _at(row)}
    ),
    CauseWord.FIXED_POINT: lambda row: _(
        "Look up the articulation plan: which support holds the unit lengthwise; see on the bridge"
        " which bearings are built fixed"
    ),
    CauseWord.SIGN: lambda row: (
        _(
            "See at %(element)s which way is plus: towards increasing station, and compare with"
            " the direction of stations on the drawings"
        )
        % {"element": _at(row)}
    ),
    CauseWord.COEFFICIENT: lambda row: _(
        "Look up the deck material and the aggregate of its concrete; check the coefficient of"
        " expansion in the register"
    ),
    CauseWord.SETTING_OFF: lambda row: (
        _(
            "Look up at which position and temperature %(element)s was set or last reset; has it"
            " been reset without a record?"
        )
        % {"element": _at(row)}
    ),
}
"""What to look up or to measure next."""


def size_words(row: Explanation, system: System) -> str:
    """Return the size that an explanation gives its cause, with its 95 % interval."""
    cause = CauseWord(row.cause)
    if row.size is None:
        return ""
    if cause in _RESPONSES:
        found = _with_interval(plain_number(row.size), ratio_interval(row.low, row.high))
        return _("response %(ratio)s") % {"ratio": found}
    if cause == CauseWord.COEFFICIENT:
        found = _with_interval(plain_number(row.size), ratio_interval(row.low, row.high))
        return _("%(ratio)s of the one in the register") % {"ratio": found}
    if cause == CauseWord.SHORTENING:
        ends = ratio_interval(_micro(row.low), _micro(row.high), 0)
        strain = f"{plain_number(_micro(row.size), 0)} × 10⁻⁶"
        return _("strain %(strain)s") % {"strain": _with_interval(strain, ends)}
    if cause == CauseWord.WRONG_TEMPERATURE:
        side = _("too high") if row.size > 0 else _("too low")
        return _of_size(row, Dimension.TEMPERATURE_DIFFERENCE, system, side)
    if cause == CauseWord.FIXED_POINT:
        side = _("further along") if row.size > 0 else _("further back")
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
        return _("since the setting") if cause in (CauseWord.FROZEN, CauseWord.SLUGGISH) else ""
    if row.last_before is None:
        return _("before %(day)s") % {"day": _day(row.visit)}
    days = {"first": _day(row.last_before), "second": _day(row.visit)}
    return _("between %(first)s and %(second)s") % days


def _side(cause: CauseWord, positive: bool) -> str:
    if cause == CauseWord.BLUNDER:
        return _("too much") if positive else _("too little")
    return _("towards increasing station") if positive else _("towards decreasing station")


def _of_size(row: Explanation, dimension: Dimension, system: System, side: str) -> str:
    """Return the amount without its sign, which ``side`` tells."""
    amount = shown(abs(row.size), dimension, system)
    if row.low is None or row.high is None:
        return f"{amount} {side}"
    sign = 1.0 if row.size >= 0 else -1.0
    low, high = sorted((sign * row.low, sign * row.high))
    unit = amount.lstrip("0123456789.,")
    first, last = (
        shown(each, dimension, system).removesuffix(unit).strip() for each in (low, high)
    )
    ends = _("%(low)s to %(high)s") % {"low": first, "high": last}
    return f"{amount} {side} ({ends})"


def _with_interval(value: str, ends: str) -> str:
    return f"{value} ({ends})" if ends else value


def _micro(value: float | None) -> float | None:
    return None if value is None else value * 1e6
