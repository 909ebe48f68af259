"""What showed a flag, in words, from the evidence that was kept with it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from inspections.models import ElementHistory, Explanation, Verdict
from inspections.models.choices import CauseWord, DefectCode
from inspections.models.desk_choices import FlagCause
from inspections.wording import dimension_of, in_short, name_of
from inspections.wording_causes import IN_SHORT as CAUSE_IN_SHORT
from inspections.wording_causes import size_words
from inspections.wording_figures import as_sentence, odds, plain_number, ratio_interval
from inspections.wording_history import history_in_short
from inventory.units import Dimension, System, shown

Item = Mapping[str, Any]
MEANING = {
    FlagCause.POSITION: "A reading, a step or its whole unit says that it does not stand where"
    " temperature, setting and age call for.",
    FlagCause.LIMIT: "It is near or past the end of what the device can take, now or carried to"
    " the coldest or hottest day, or will be before long.",
    FlagCause.RESPONSE: "Over the visits it moves less than the temperature calls for, or the"
    " wrong way.",
    FlagCause.CONDITION: "Part of it was found in condition state 4: strength or function in"
    " doubt.",
    FlagCause.CRITICAL: "The crew reported something that cannot wait.",
}
"""What a cause means, in a sentence."""


def evidence_words(evidence: Iterable[Item], system: System) -> list[str]:
    """Return what showed a cause, one sentence an item, with its numbers."""
    return [as_sentence(_LONG[item["kind"]](item, system)) for item in evidence]


def evidence_in_short(evidence: Iterable[Item]) -> str:
    """Return the same in a few words."""
    parts = [words for item in evidence if (words := _SHORT[item["kind"]](item))]
    return ", ".join(list(dict.fromkeys(parts))[:3])


def _channel(item: Item) -> dict[str, str]:
    return {name: item[name] for name in ("quantity", "point", "axis")}


def _reading(item: Item, system: System) -> str:
    verdict = Verdict(**_channel(item), reasons=item["reasons"])
    dimension = dimension_of(verdict)
    told = f"{name_of(verdict)} {shown(item['value'], dimension, system)}"
    if item["temperature_c"] is not None:
        told += f" at {shown(item['temperature_c'], Dimension.TEMPERATURE, system)}"
    parts = []
    if item["residual"] is not None:
        away = shown(item["residual"], dimension, system, sign=True)
        told_u = plain_number(abs(item["residual_in_u"] or 0.0), 1)
        parts.append(
            f"expected {shown(item['expected'], dimension, system)}, {away} off, {told_u} standard"
            " uncertainties"
        )
    if item["use"] is not None:
        parts.append(f"{item['use'] * 100:.0f}\u202f% of its nearest limit used")
    return f"{told}: {'; '.join(parts)}" if parts else told


def _history(item: Item, system: System) -> str:
    history = _history_row(item)
    told = f"Its history, {name_of(_verdict(item)).lower()}: {history_in_short(history)}"
    if item["ratio"] is not None:
        ends = ratio_interval(item["ratio_low"], item["ratio_high"])
        told += f"; response ratio {plain_number(item['ratio'])}{f' ({ends})' if ends else ''}"
    if item["step_size"] is not None:
        size = shown(item["step_size"], dimension_of(_verdict(item)), system, sign=True)
        told += f"; step of {size}"
    years = item["limit_in_years"]
    if years is not None and years >= 0:
        told += f"; limit in {years:.1f} years by this trend"
    return told


def _verdict(item: Item) -> Verdict:
    return Verdict(**_channel(item))


def _history_row(item: Item) -> ElementHistory:
    return ElementHistory(**_channel(item), response=item["response"], findings=item["findings"])


def _unit(item: Item, system: System) -> str:
    cause = CauseWord(item["cause"])
    row = Explanation(cause=cause, size=item["size"], low=item["low"], high=item["high"])
    size = size_words(row, system)
    return (
        f"The readings of unit {item['unit']} together: {CAUSE_IN_SHORT[cause]}"
        f"{f', {size}' if size else ''}; {odds(item['odds_log'])} against nothing wrong"
    )


def _capacity(item: Item, _system: System) -> str:
    use = "nothing is left" if item["use"] is None else f"demand is {item['use'] * 100:.0f}\u202f%"
    return f"{item['name']}: {use} of the capacity as found ({item['clause']}, {item['edition']})"


def _condition(item: Item, _system: System) -> str:
    return (
        f"{DefectCode(item['defect']).label}: {item['cs4']} of {item['total']} in CS4,"
        f" {item['cs3']} in CS3"
    )


_LONG: dict[str, Callable[[Item, System], str]] = {
    "reading": _reading,
    "history": _history,
    "unit": _unit,
    "capacity": _capacity,
    "condition": _condition,
    "critical": lambda item, _system: str(item["what"]),
}
_SHORT: dict[str, Callable[[Item], str]] = {
    "reading": lambda item: in_short(Verdict(**_channel(item), reasons=item["reasons"], b=1.0)),
    "history": lambda item: history_in_short(_history_row(item)),
    "unit": lambda item: CAUSE_IN_SHORT[CauseWord(item["cause"])],
    "capacity": lambda item: f"{item['name'].lower()} over its capacity",
    "condition": lambda item: f"CS4: {DefectCode(item['defect']).label.lower()}",
    "critical": lambda item: str(item["what"])[:80],
}
