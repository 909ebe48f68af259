"""Figures inside sentences: intervals, odds, changes a year, in the reader's units."""

from __future__ import annotations

import math

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as mark

from inventory.decimal_mark import with_mark
from inventory.units import Dimension, System, shown, to_shown
from inventory.words import is_english, translated

NARROW_SPACE = "\u202f"
MOST_TIMES = 1e6
"""Above it a number of times says no more than that it is overwhelming."""
AND, OR = mark("and"), mark("or")
_PER = (mark("per °C"), mark("per °F"))


def bare(value: float | None, dimension: Dimension, system: System, sign: bool = False) -> str:
    """Return a value without its unit, where another beside it has it."""
    return shown(value, dimension, system, sign).partition(NARROW_SPACE)[0].rstrip("°")


def coefficient(per_c: float, system: System) -> str:
    """Return a coefficient of thermal expansion as ``11.7 × 10⁻⁶ per °C``."""
    value, label, decimals = to_shown(per_c, Dimension.EXPANSION, system)
    number = with_mark(f"{value * 1e6:.{decimals - 6}f}")
    return f"{number}{NARROW_SPACE}×{NARROW_SPACE}10⁻⁶ {translated(label)}"


def interval(low: float | None, high: float | None, dimension: Dimension, system: System) -> str:
    """Return ``1.2 to 2.4`` in the unit named before it; empty where it is not known."""
    if low is None or high is None:
        return ""
    low, high = sorted((low, high))
    ends = {"low": bare(low, dimension, system), "high": bare(high, dimension, system)}
    return _("%(low)s to %(high)s") % ends


def plain_number(value: float | None, decimals: int = 2) -> str:
    """Return a pure number; a dash where there is none."""
    if value is None or not math.isfinite(value):
        return "–"
    text = f"{value:.{decimals}f}"
    if float(text) == 0:
        text = text.lstrip("-")
    return with_mark(text.replace("-", "−"))


def ratio_interval(low: float | None, high: float | None, decimals: int = 2) -> str:
    """Return ``−0.08 to 0.19``; empty where it is not known."""
    if low is None or high is None:
        return ""
    ends = {"low": plain_number(low, decimals), "high": plain_number(high, decimals)}
    return _("%(low)s to %(high)s") % ends


def times(log_ratio: float | None) -> str:
    """Return how many times likelier a natural log of a ratio says, as far as it can be meant.

    Two figures are kept: what lies behind them is not known so well.
    """
    if log_ratio is None or not math.isfinite(log_ratio):
        return _("some")
    if log_ratio > math.log(MOST_TIMES):
        return _("more than a million")
    ratio = math.exp(log_ratio)
    if ratio < 10:
        return with_mark(f"{ratio:.1f}")
    step = 10.0 ** (math.floor(math.log10(ratio)) - 1)
    return grouped(round(ratio / step) * step)


def grouped(value: float) -> str:
    """Return a whole number with its thousands apart: ``12,000``, in German by a thin space."""
    text = f"{value:,.0f}"
    return text if is_english() else text.replace(",", NARROW_SPACE)


def odds(log_odds: float | None) -> str:
    """Return odds for or against as people say them: ``120 to 1``, ``1 to 4``."""
    if log_odds is None or not math.isfinite(log_odds):
        return _("not known")
    if log_odds < 0:
        return _("1 to %(times)s") % {"times": times(-log_odds)}
    return _("%(times)s to 1") % {"times": times(log_odds)}


def warmer_or_colder(coldest_c: float, hottest_c: float, range_k: float, system: System) -> str:
    """Return where the next visit must lie for the visits to span a range."""
    above = shown(coldest_c + range_k, Dimension.TEMPERATURE, system)
    below = shown(hottest_c - range_k, Dimension.TEMPERATURE, system)
    ends = {"above": above, "below": below}
    return _("measure once at or above %(above)s, or at or below %(below)s") % ends


def difference(kelvin: float, system: System) -> str:
    """Return a difference of temperatures, to the whole degree."""
    number, label, _ = to_shown(kelvin, Dimension.TEMPERATURE_DIFFERENCE, system)
    return f"{number:.0f}{NARROW_SPACE}{label}"


def joined(parts: list[str], word: str = AND) -> str:
    """Return ``a, b and c``, or with ``OR`` instead."""
    if len(parts) < 2:
        return "".join(parts)
    return f"{', '.join(parts[:-1])} {translated(word)} {parts[-1]}"


def as_sentence(text: str) -> str:
    """Return a text that begins with a capital and ends with one full stop."""
    return f"{text[:1].upper()}{text[1:].rstrip('.')}." if text else ""


def going_on(text: str) -> str:
    """Return a sentence as it goes on after a colon or a name; German keeps its capital."""
    return f"{text[:1].lower()}{text[1:]}" if is_english() else text
