"""What the readings of one channel show over the years, in a sentence or two.

``coldest_c``, ``hottest_c`` and ``shortens`` are what ``selectors.findings`` adds to a row:
the temperatures of its visits, and whether creep and shrinkage are part of what is expected.
"""

from __future__ import annotations

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as mark

from inspections.models import ElementHistory
from inspections.models.choices import ResponseWord
from inspections.wording_changes import changes
from inspections.wording_figures import (
    OR,
    as_sentence,
    bare,
    difference,
    joined,
    plain_number,
    ratio_interval,
    warmer_or_colder,
)
from inventory.decimal_mark import decimal_mark, with_mark
from inventory.units import Dimension, System, shown
from movement.history.findings import Finding, HistoryThresholds, Missing

_STANDING = HistoryThresholds()
CONFIDENCE = f"{_STANDING.confidence * 100:.0f}\u202f%"

RESPONSE = {
    ResponseWord.FREE: mark("moves freely"),
    ResponseWord.SLUGGISH: mark("sluggish"),
    ResponseWord.SLUGGISH_OR_FROZEN: mark("sluggish or frozen, the readings cannot tell which"),
    ResponseWord.FROZEN: mark("frozen"),
    ResponseWord.WRONG_SIGN: mark(
        "moves the wrong way; check the register first, its fixed point, setting and sign"
    ),
    ResponseWord.MORE_THAN_FREE: mark(
        "moves more than expected; check the register first, its expansion length and coefficient"
    ),
}
IN_SHORT = {
    ResponseWord.SLUGGISH: mark("sluggish"),
    ResponseWord.SLUGGISH_OR_FROZEN: mark("sluggish or frozen"),
    ResponseWord.FROZEN: mark("frozen"),
    ResponseWord.WRONG_SIGN: mark("moves the wrong way"),
    ResponseWord.MORE_THAN_FREE: mark("moves more than expected"),
}
FINDINGS_IN_SHORT = {
    Finding.DRIFT: mark("drifts"),
    Finding.STEP: mark("stepped"),
    Finding.BLUNDER: mark("a reading to repeat"),
    Finding.REACHES_LIMIT: mark("will reach its limit"),
}
MOST_RANGE_K = 90.0
"""No bridge sees a wider range of effective temperature."""
MOST_VISITS = 30
"""More visits than that are no advice."""
SENSIBLE_RATIO = 20.0
"""A response ratio beyond it only says that hardly any movement is expected."""
_VISITS = (mark("no visits"), mark("one visit"), mark("two visits"), mark("three visits"))
_NUMBERS = (mark("no"), mark("one"), mark("two"), mark("three"))
_FOLLOWS = mark(
    "Follows the temperature at %(ratio)s of what is expected (%(confidence)s: %(ends)s)"
)
_SO_FAR = mark(
    "so far it follows the temperature at %(ratio)s of what is expected (%(confidence)s: %(ends)s)"
)


def history_sentence(history: ElementHistory, system: System) -> str:
    """Return all that a history tells, with its numbers and what to measure next."""
    parts = [*changes(history, system), _travel(history, system)]
    told = [response_sentence(history, system), *(as_sentence(part) for part in parts if part)]
    return " ".join(told)


def response_sentence(history: ElementHistory, system: System) -> str:
    """Return how it follows the temperature, or what is missing to tell and how to get it."""
    return as_sentence(_response(history, system))


def history_in_short(*histories: ElementHistory) -> str:
    """Return what histories tell in a few words; empty where they have nothing against it."""
    parts = [words for each in histories for words in _in_short(each)]
    return ", ".join(dict.fromkeys(parts))


def _in_short(history: ElementHistory) -> list[str]:
    either = Finding(history.alternatives)
    response = ResponseWord(history.response)
    parts = [_(IN_SHORT[response])] if response in IN_SHORT else []
    parts += [
        _(words)
        for bit, words in FINDINGS_IN_SHORT.items()
        if history.findings & bit and not either & bit
    ]
    if either:
        kinds = [_(words) for bit, words in FINDINGS_IN_SHORT.items() if either & bit]
        parts.append(joined(kinds, OR))
    return [part for part in parts if part]


def ratio_words(history: ElementHistory) -> str:
    """Return the response ratio for a table; a dash where there is none that says anything."""
    if history.ratio is None or abs(history.ratio) > SENSIBLE_RATIO:
        return "–"
    return plain_number(history.ratio)


def _response(history: ElementHistory, system: System) -> str:
    word = ResponseWord(history.response)
    if word in RESPONSE:
        return f"{_(_FOLLOWS) % _ratio(history)}: {_(RESPONSE[word])}"
    missing = _missing(history, system)
    so_far = ""
    wide = history.missing & Missing.INTERVAL_TOO_WIDE
    if wide and history.ratio is not None and abs(history.ratio) <= SENSIBLE_RATIO:
        so_far = _(_SO_FAR) % _ratio(history)
    told = "; ".join(part for part in (*missing, so_far) if part)
    if not told:
        return _("Not enough information")
    return _("Not enough information: %(lacking)s") % {"lacking": told}


def _ratio(history: ElementHistory) -> dict[str, str]:
    """Return the figures of the response ratio, as its sentences name them."""
    ends = ratio_interval(history.ratio_low, history.ratio_high)
    return {"ratio": plain_number(history.ratio), "confidence": CONFIDENCE, "ends": ends}


def _missing(history: ElementHistory, system: System) -> list[str]:
    bits, parts = Missing(history.missing), []
    if bits & Missing.NO_READING:
        return [
            _("no reading with a temperature is on record; measure it at the next visit, with one")
        ]
    if bits & Missing.NO_EXPECTED_SLOPE:
        if history.expected_slope_per_c == 0:
            return [_("the temperature does not move it here, so there is no response to tell")]
        parts.append(
            _(
                "the register does not say how much it should move; enter the unit's thermal fixed"
                " point, or the radius"
            )
        )
    if bits & Missing.TOO_FEW_VISITS:
        count = history.visits
        least = _NUMBERS[_STANDING.fewest_visits]
        if count < len(_VISITS):
            visits = _(_VISITS[count])
        else:
            visits = _("%(count)s visits") % {"count": count}
        told = _("%(visits)s with a temperature, where %(least)s are the least")
        parts.append(told % {"visits": visits, "least": _(least)})
    parts.append(_span(history, bits, system))
    return [part for part in parts if part]


def _span(history: ElementHistory, bits: Missing, system: System) -> str:
    """Return between which temperatures it was read, and at which to read it next."""
    coldest = getattr(history, "coldest_c", None)
    hottest = getattr(history, "hottest_c", None)
    dull = bits & (
        Missing.NO_TEMPERATURE_SPREAD | Missing.SPREAD_WITHIN_ITS_ERROR | Missing.INTERVAL_TOO_WIDE
    )
    parts = []
    if coldest is not None and hottest is not None:
        low, high = (shown(each, Dimension.TEMPERATURE, system) for each in (coldest, hottest))
        between = _("visits between %(low)s and %(high)s") % {"low": low, "high": high}
        parts.append(between if low != high else _("visits at %(low)s only") % {"low": low})
    if dull & Missing.SPREAD_WITHIN_ITS_ERROR:
        parts.append(_("which differ by hardly more than the temperatures are uncertain"))
    told = ", ".join(parts)
    needed = history.spread_needed_k
    if needed is not None and needed > MOST_RANGE_K:
        told += "; "
        told += _("so little movement is expected here that its response cannot be told")
    elif needed is not None and needed > (history.spread_k or 0.0):
        if coldest is None or hottest is None:
            over = _("measure over a range of %(range)s") % {"range": difference(needed, system)}
            return f"{told}; {over}".lstrip("; ")
        told += f"; {warmer_or_colder(coldest, hottest, needed, system)}"
        if 1 <= (history.visits_needed or 0) <= MOST_VISITS:
            more = _("or %(count)s more visits at the present range")
            told += f"; {more % {'count': f'{history.visits_needed:.0f}'}}"
    elif dull:
        told += "; " + _("measure when it is much warmer or colder")
    return told.lstrip("; ")


def _travel(history: ElementHistory, system: System) -> str:
    if history.travel_mm_per_year is None:
        return ""
    told = _("Its sliding surface travels %(way)s a year")
    told %= {"way": metres(history.travel_mm_per_year / 1e3, system)}
    if history.travelled_m is not None:
        since = _("%(way)s since it was installed")
        told += f", {since % {'way': metres(history.travelled_m, system)}}"
    return told


def metres(value: float, system: System) -> str:
    """Return a long way, to three figures at most."""
    text = bare(value, Dimension.STATION, system)
    unit = shown(value, Dimension.STATION, system).removeprefix(text)
    number = float(text.replace("−", "-").replace(decimal_mark(), "."))
    return f"{number:.0f}{unit}" if abs(number) >= 100 else with_mark(f"{number:.1f}{unit}")
