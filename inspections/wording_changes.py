"""What changed over the years in one channel: drift, step and blunder, in sentences."""

from __future__ import annotations

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as mark

from inspections.models import ElementHistory
from inspections.models.choices import ReadingQuantity
from inspections.wording import dimension_of
from inspections.wording_figures import going_on, interval
from inventory.units import System, shown
from movement.history.findings import Finding
from movement.travel import DAYS_A_YEAR

_ADVICE = {
    Finding.STEP: mark("%(found)s; look for what happened then"),
    Finding.BLUNDER: mark("%(found)s: repeat that reading"),
}


def changes(history: ElementHistory, system: System) -> list[str]:
    """Return drift, step and blunder; those of which only one need be true in one sentence."""
    told = {
        Finding.STEP: _step(history, system),
        Finding.DRIFT: _drift(history, system),
        Finding.BLUNDER: _blunder(history, system),
    }
    found = {bit: words for bit, words in told.items() if history.findings & bit}
    either = [words for bit, words in found.items() if history.alternatives & bit]
    parts = [
        _(_ADVICE[bit]) % {"found": words} if bit in _ADVICE else words
        for bit, words in found.items()
        if not history.alternatives & bit
    ]
    if len(either) < 2:
        return parts + either
    listed = _("; or ").join(going_on(words) for words in either)
    one_of = (
        _("One of the two, which fit equally well: %(findings)s")
        if len(either) == 2
        else _("One of the three, which fit equally well: %(findings)s")
    )
    again = (
        _("Repeat that reading; the next visit tells them apart")
        if history.alternatives & Finding.BLUNDER
        else _("The next visit tells them apart")
    )
    return [*parts, one_of % {"findings": listed}, again]


def limit_year(history: ElementHistory, years: float | None) -> int | None:
    """Return the calendar year that lies that many years after the judgement."""
    if years is None or not -1500 < years < 2000:
        return None
    day = history.judged_at.timetuple().tm_yday
    return int(history.judged_at.year + day / DAYS_A_YEAR + years)


def _drift(history: ElementHistory, system: System) -> str:
    dimension = dimension_of(history)
    rate = history.drift_per_year
    if rate is None:
        return _("Drifts")
    ends = [history.drift_low_per_year, history.drift_high_per_year]
    if rate < 0 and None not in ends:
        ends = [-each for each in ends]
    a_year = _("%(amount)s a year") % {"amount": shown(abs(rate), dimension, system)}
    told = _("Drifts %(way)s") % {"way": _(_direction(history, rate)) % {"amount": a_year}}
    found = interval(*ends, dimension, system)
    told += f" ({found})" if found else ""
    if getattr(history, "shortens", False):
        told += ", " + _("unexplained by creep and shrinkage")
    return told + _limit(history)


def _limit(history: ElementHistory) -> str:
    at = history.limit_in_years
    year = limit_year(history, at)
    if at is None or year is None:
        return ""
    if at < 0:
        met = _("by this trend it has met its limit at a design extreme already")
        return f": {met}"
    low = limit_year(history, history.limit_in_years_low)
    high = limit_year(history, history.limit_in_years_high)
    if low is None and high is None:
        return ": " + _("reaches its limit in %(year)s") % {"year": year}
    if high is None:
        span = _("%(year)s or later") % {"year": low}
    else:
        span = _("%(low)s to %(high)s") % {"low": low or _("before"), "high": high}
    told = _("reaches its limit in %(year)s (%(span)s)") % {"year": year, "span": span}
    return f": {told}"


def _step(history: ElementHistory, system: System) -> str:
    dimension = dimension_of(history)
    size = history.step_size
    if size is None:
        return _("Stepped")
    ends = [history.step_low, history.step_high]
    if size < 0 and None not in ends:
        ends = [-each for each in ends]
    amount = {"amount": shown(abs(size), dimension, system)}
    told = _("Stepped %(way)s") % {"way": _(_direction(history, size)) % amount}
    found = interval(*ends, dimension, system)
    told += f" ({found})" if found else ""
    if history.step_after and history.step_before:
        between = _("between %(first)s and %(second)s")
        days = {
            "first": f"{history.step_after:%Y-%m-%d}",
            "second": f"{history.step_before:%Y-%m-%d}",
        }
        told += f" {between % days}"
    return told


def _blunder(history: ElementHistory, system: System) -> str:
    reading = history.blunder_reading
    which = _("One reading")
    if reading is not None:
        value = shown(reading.value, dimension_of(history), system)
        which = _("The reading of %(day)s, %(value)s,") % {
            "day": f"{reading.taken_at:%Y-%m-%d}",
            "value": value,
        }
    if history.blunder_size is None:
        return _("%(reading)s does not fit the others") % {"reading": which}
    told = (
        _("%(reading)s lies %(size)s above the line through the others")
        if history.blunder_size > 0
        else _("%(reading)s lies %(size)s below the line through the others")
    )
    size = shown(abs(history.blunder_size), dimension_of(history), system)
    return told % {"reading": which, "size": size}


def _direction(history: ElementHistory, value: float) -> str:
    """Return which way a change of the reading goes, with a place for its amount."""
    up = value > 0
    quantity = ReadingQuantity(history.quantity)
    if quantity in (ReadingQuantity.GAP, ReadingQuantity.KEY_GAP):
        return mark("%(amount)s wider") if up else mark("%(amount)s narrower")
    if quantity == ReadingQuantity.SLACK:
        return mark("%(amount)s slacker") if up else mark("%(amount)s tighter")
    if quantity == ReadingQuantity.OFFSET_ACROSS:
        return mark("%(amount)s to the left") if up else mark("%(amount)s to the right")
    if quantity == ReadingQuantity.PROJECTION:
        return mark("%(amount)s longer") if up else mark("%(amount)s shorter")
    if quantity == ReadingQuantity.LEVEL_STEP:
        return mark("%(amount)s up") if up else mark("%(amount)s down")
    return mark("%(amount)s ahead") if up else mark("%(amount)s back")
