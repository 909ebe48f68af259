"""What the readings of one channel show over the years, in a sentence or two.

``coldest_c``, ``hottest_c`` and ``shortens`` are what ``selectors.findings`` adds to a row:
the temperatures of its visits, and whether creep and shrinkage are part of what is expected.
"""

from __future__ import annotations

from inspections.models import ElementHistory
from inspections.models.choices import ReadingQuantity, ResponseWord
from inspections.wording import dimension_of
from inspections.wording_figures import (
    as_sentence,
    bare,
    difference,
    interval,
    joined,
    plain_number,
    ratio_interval,
    warmer_or_colder,
)
from inventory.units import Dimension, System, shown
from movement.history.findings import Finding, HistoryThresholds, Missing
from movement.travel import DAYS_A_YEAR

_STANDING = HistoryThresholds()
CONFIDENCE = f"{_STANDING.confidence * 100:.0f}\u202f%"

RESPONSE = {
    ResponseWord.FREE: "moves freely",
    ResponseWord.SLUGGISH: "sluggish",
    ResponseWord.SLUGGISH_OR_FROZEN: "sluggish or frozen, the readings cannot tell which",
    ResponseWord.FROZEN: "frozen",
    ResponseWord.WRONG_SIGN: "moves the wrong way; check the register first, its fixed point,"
    " setting and sign",
    ResponseWord.MORE_THAN_FREE: "moves more than expected; check the register first, its"
    " expansion length and coefficient",
}
IN_SHORT = {
    ResponseWord.SLUGGISH: "sluggish",
    ResponseWord.SLUGGISH_OR_FROZEN: "sluggish or frozen",
    ResponseWord.FROZEN: "frozen",
    ResponseWord.WRONG_SIGN: "moves the wrong way",
    ResponseWord.MORE_THAN_FREE: "moves more than expected",
}
FINDINGS_IN_SHORT = {
    Finding.DRIFT: "drifts",
    Finding.STEP: "stepped",
    Finding.BLUNDER: "a reading to repeat",
    Finding.REACHES_LIMIT: "will reach its limit",
}
_ADVICE = {
    Finding.STEP: "; look for what happened then",
    Finding.BLUNDER: ": repeat that reading",
}
MOST_RANGE_K = 90.0
"""No bridge sees a wider range of effective temperature."""
MOST_VISITS = 30
"""More visits than that are no advice."""
SENSIBLE_RATIO = 20.0
"""A response ratio beyond it only says that hardly any movement is expected."""
_NUMBERS = ("no", "one", "two", "three")


def history_sentence(history: ElementHistory, system: System) -> str:
    """Return all that a history tells, with its numbers and what to measure next."""
    parts = [_response(history, system), *_findings(history, system), _travel(history, system)]
    return " ".join(as_sentence(part) for part in parts if part)


def history_in_short(*histories: ElementHistory) -> str:
    """Return what histories tell in a few words; empty where they have nothing against it."""
    parts = [words for each in histories for words in _in_short(each)]
    return ", ".join(dict.fromkeys(parts))


def _in_short(history: ElementHistory) -> list[str]:
    either = Finding(history.alternatives)
    parts = [IN_SHORT.get(ResponseWord(history.response), "")]
    parts += [
        words
        for bit, words in FINDINGS_IN_SHORT.items()
        if history.findings & bit and not either & bit
    ]
    if either:
        kinds = [words for bit, words in FINDINGS_IN_SHORT.items() if either & bit]
        parts.append(joined(kinds, "or"))
    return [part for part in parts if part]


def ratio_words(history: ElementHistory) -> str:
    """Return the response ratio for a table; a dash where there is none that says anything."""
    if history.ratio is None or abs(history.ratio) > SENSIBLE_RATIO:
        return "–"
    return plain_number(history.ratio)


def limit_year(history: ElementHistory, years: float | None) -> int | None:
    """Return the calendar year that lies that many years after the judgement."""
    if years is None or not -1500 < years < 2000:
        return None
    day = history.judged_at.timetuple().tm_yday
    return int(history.judged_at.year + day / DAYS_A_YEAR + years)


def _response(history: ElementHistory, system: System) -> str:
    word = ResponseWord(history.response)
    if word in RESPONSE:
        return f"{_ratio(history)}: {RESPONSE[word]}"
    missing = _missing(history, system)
    so_far = ""
    wide = history.missing & Missing.INTERVAL_TOO_WIDE
    if wide and history.ratio is not None and abs(history.ratio) <= SENSIBLE_RATIO:
        so_far = f"so far it {_ratio(history)[:1].lower()}{_ratio(history)[1:]}"
    told = "; ".join(part for part in (*missing, so_far) if part)
    return f"Not enough information: {told}" if told else "Not enough information"


def _ratio(history: ElementHistory) -> str:
    found = ratio_interval(history.ratio_low, history.ratio_high)
    return (
        f"Follows the temperature at {plain_number(history.ratio)} of what is expected"
        f" ({CONFIDENCE}: {found})"
    )


def _missing(history: ElementHistory, system: System) -> list[str]:
    bits, parts = Missing(history.missing), []
    if bits & Missing.NO_READING:
        return [
            "no reading with a temperature is on record; measure it at the next visit, with one"
        ]
    if bits & Missing.NO_EXPECTED_SLOPE:
        if history.expected_slope_per_c == 0:
            return ["the temperature does not move it here, so there is no response to tell"]
        parts.append(
            "the register does not say how much it should move; enter the unit's thermal fixed"
            " point, or the radius"
        )
    if bits & Missing.TOO_FEW_VISITS:
        count = history.visits
        least = _STANDING.fewest_visits
        visits = f"{_NUMBERS[count] if count < len(_NUMBERS) else count} visit{'s' * (count != 1)}"
        parts.append(f"{visits} with a temperature, where {_NUMBERS[least]} are the least")
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
        parts.append(f"visits between {low} and {high}" if low != high else f"visits at {low} only")
    if dull & Missing.SPREAD_WITHIN_ITS_ERROR:
        parts.append("which differ by hardly more than the temperatures are uncertain")
    told = ", ".join(parts)
    needed = history.spread_needed_k
    if needed is not None and needed > MOST_RANGE_K:
        told += "; so little movement is expected here that its response cannot be told"
    elif needed is not None and needed > (history.spread_k or 0.0):
        if coldest is None or hottest is None:
            return f"{told}; measure over a range of {difference(needed, system)}".lstrip("; ")
        told += f"; {warmer_or_colder(coldest, hottest, needed, system)}"
        if 1 <= (history.visits_needed or 0) <= MOST_VISITS:
            told += f"; or {history.visits_needed:.0f} more visits at the present range"
    elif dull:
        told += "; measure when it is much warmer or colder"
    return told.lstrip("; ")


def _findings(history: ElementHistory, system: System) -> list[str]:
    """Return drift, step and blunder; those of which only one need be true in one sentence."""
    told = {
        Finding.STEP: _step(history, system),
        Finding.DRIFT: _drift(history, system),
        Finding.BLUNDER: _blunder(history, system),
    }
    found = {bit: words for bit, words in told.items() if history.findings & bit}
    either = [words for bit, words in found.items() if history.alternatives & bit]
    parts = [
        f"{words}{_ADVICE.get(bit, '')}"
        for bit, words in found.items()
        if not history.alternatives & bit
    ]
    if len(either) < 2:
        return parts + either
    count = "two" if len(either) == 2 else "three"
    listed = "; or ".join(f"{words[:1].lower()}{words[1:]}" for words in either)
    again = "Repeat that reading; the" if history.alternatives & Finding.BLUNDER else "The"
    return [
        *parts,
        f"One of the {count}, which fit equally well: {listed}",
        f"{again} next visit tells them apart",
    ]


def _drift(history: ElementHistory, system: System) -> str:
    dimension = dimension_of(history)
    rate = history.drift_per_year
    if rate is None:
        return "Drifts"
    ends = [history.drift_low_per_year, history.drift_high_per_year]
    if rate < 0 and None not in ends:
        ends = [-each for each in ends]
    told = f"Drifts {shown(abs(rate), dimension, system)} a year {_direction(history, rate)}"
    found = interval(*ends, dimension, system)
    told += f" ({found})" if found else ""
    if getattr(history, "shortens", False):
        told += ", unexplained by creep and shrinkage"
    return told + _limit(history)


def _limit(history: ElementHistory) -> str:
    at = history.limit_in_years
    year = limit_year(history, at)
    if at is None or year is None:
        return ""
    if at < 0:
        return ": by this trend it has met its limit at a design extreme already"
    low = limit_year(history, history.limit_in_years_low)
    high = limit_year(history, history.limit_in_years_high)
    if low is None and high is None:
        return f": reaches its limit in {year}"
    span = f"{low or 'before'} to {high}" if high is not None else f"{low} or later"
    return f": reaches its limit in {year} ({span})"


def _step(history: ElementHistory, system: System) -> str:
    dimension = dimension_of(history)
    size = history.step_size
    if size is None:
        return "Stepped"
    ends = [history.step_low, history.step_high]
    if size < 0 and None not in ends:
        ends = [-each for each in ends]
    told = f"Stepped {shown(abs(size), dimension, system)} {_direction(history, size)}"
    found = interval(*ends, dimension, system)
    told += f" ({found})" if found else ""
    if history.step_after and history.step_before:
        told += f" between {history.step_after:%Y-%m-%d} and {history.step_before:%Y-%m-%d}"
    return told


def _blunder(history: ElementHistory, system: System) -> str:
    reading = history.blunder_reading
    which = "One reading"
    if reading is not None:
        value = shown(reading.value, dimension_of(history), system)
        which = f"The reading of {reading.taken_at:%Y-%m-%d}, {value},"
    if history.blunder_size is None:
        return f"{which} does not fit the others"
    size = shown(abs(history.blunder_size), dimension_of(history), system)
    side = "above" if history.blunder_size > 0 else "below"
    return f"{which} lies {size} {side} the line through the others"


def _travel(history: ElementHistory, system: System) -> str:
    if history.travel_mm_per_year is None:
        return ""
    told = f"Its sliding surface travels {metres(history.travel_mm_per_year / 1e3, system)} a year"
    if history.travelled_m is not None:
        told += f", {metres(history.travelled_m, system)} since it was installed"
    return told


def metres(value: float, system: System) -> str:
    """Return a long way, to three figures at most."""
    text = bare(value, Dimension.STATION, system)
    unit = shown(value, Dimension.STATION, system).removeprefix(text)
    number = float(text.replace("−", "-"))
    return f"{number:.0f}{unit}" if abs(number) >= 100 else f"{number:.1f}{unit}"


def _direction(history: ElementHistory, value: float) -> str:
    """Return which way a change of the reading goes."""
    up = value > 0
    quantity = ReadingQuantity(history.quantity)
    if quantity in (ReadingQuantity.GAP, ReadingQuantity.KEY_GAP):
        return "wider" if up else "narrower"
    if quantity == ReadingQuantity.OFFSET_ACROSS:
        return "to the left" if up else "to the right"
    if quantity == ReadingQuantity.PROJECTION:
        return "longer" if up else "shorter"
    if quantity == ReadingQuantity.LEVEL_STEP:
        return "up" if up else "down"
    return "ahead" if up else "back"
