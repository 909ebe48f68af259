"""What showed a flag, in words, from the evidence that was kept with it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as mark

from inspections.models import ElementHistory, Explanation, Verdict
from inspections.models.choices import CauseWord, DefectCode
from inspections.models.desk_choices import FlagCause
from inspections.wording import dimension_of, in_short, name_of
from inspections.wording_causes import IN_SHORT as CAUSE_IN_SHORT
from inspections.wording_causes import size_words
from inspections.wording_figures import as_sentence, odds, plain_number, ratio_interval
from inspections.wording_history import history_in_short
from inventory.decimal_mark import with_mark
from inventory.units import Dimension, System, shown
from inventory.words import in_sentence, shortened, translated

Item = Mapping[str, Any]
MEANING = {
    FlagCause.POSITION: mark(
        "A reading, a step or its whole unit says that it does not stand where temperature,"
        " setting and age call for."
    ),
    FlagCause.LIMIT: mark(
        "It is near or past the end of what the device can take, now or carried to the coldest or"
        " hottest day, or will be before long."
    ),
    FlagCause.RESPONSE: mark(
        "Over the visits it moves less than the temperature calls for, or the wrong way."
    ),
    FlagCause.CONDITION: mark(
        "Part of it was found in condition state 4: strength or function in doubt."
    ),
    FlagCause.CRITICAL: mark("The crew reported something that cannot wait."),
}
"""What a cause means, in a sentence."""


def evidence_words(evidence: Iterable[Item], system: System) -> list[str]:
    """Return what showed a cause, one sentence an item, with its numbers."""
    return [as_sentence(_LONG[item["kind"]](item, system)) for item in evidence]


def evidence_in_short(evidence: Iterable[Item]) -> str:
    """Return the same in a few words."""
    parts = [told for item in evidence if (told := _SHORT[item["kind"]](item))]
    # A history and its whole unit may say the same word: it is told once.
    words = [word for part in list(dict.fromkeys(parts))[:3] for word in part.split(", ")]
    return ", ".join(dict.fromkeys(words))


def _channel(item: Item) -> dict[str, str]:
    return {name: item[name] for name in ("quantity", "point", "axis")}


def _reading(item: Item, system: System) -> str:
    verdict = Verdict(**_channel(item), reasons=item["reasons"])
    dimension = dimension_of(verdict)
    told = f"{name_of(verdict)} {shown(item['value'], dimension, system)}"
    if item["temperature_c"] is not None:
        at = {"temperature": shown(item["temperature_c"], Dimension.TEMPERATURE, system)}
        told += " " + _("at %(temperature)s") % at
    parts = []
    if item["residual"] is not None:
        away = shown(item["residual"], dimension, system, sign=True)
        told_u = plain_number(abs(item["residual_in_u"] or 0.0), 1)
        off = _("expected %(expected)s, %(residual)s off, %(in_u)s standard uncertainties")
        expected = shown(item["expected"], dimension, system)
        parts.append(off % {"expected": expected, "residual": away, "in_u": told_u})
    if item["use"] is not None:
        used = _("%(share)s of its nearest limit used")
        parts.append(used % {"share": f"{item['use'] * 100:.0f}\u202f%"})
    return f"{told}: {'; '.join(parts)}" if parts else told


def _history(item: Item, system: System) -> str:
    history = _history_row(item)
    told = _("Its history, %(reading)s: %(findings)s") % {
        "reading": in_sentence(name_of(_verdict(item))),
        "findings": history_in_short(history),
    }
    parts = [told]
    if item["ratio"] is not None:
        ends = ratio_interval(item["ratio_low"], item["ratio_high"])
        ratio = f"{plain_number(item['ratio'])}{f' ({ends})' if ends else ''}"
        parts.append(_("response ratio %(ratio)s") % {"ratio": ratio})
    if item["step_size"] is not None:
        size = shown(item["step_size"], dimension_of(_verdict(item)), system, sign=True)
        parts.append(_("step of %(size)s") % {"size": size})
    years = item["limit_in_years"]
    if years is not None and years >= 0:
        until = _("limit in %(years)s years by this trend")
        parts.append(until % {"years": with_mark(f"{years:.1f}")})
    return "; ".join(parts)


def _verdict(item: Item) -> Verdict:
    return Verdict(**_channel(item))


def _history_row(item: Item) -> ElementHistory:
    return ElementHistory(**_channel(item), response=item["response"], findings=item["findings"])


def _unit(item: Item, system: System) -> str:
    cause = CauseWord(item["cause"])
    row = Explanation(cause=cause, size=item["size"], low=item["low"], high=item["high"])
    size = size_words(row, system)
    told = _("The readings of unit %(unit)s together: %(cause)s; %(odds)s against nothing wrong")
    return told % {
        "unit": item["unit"],
        "cause": f"{_(CAUSE_IN_SHORT[cause])}{f', {size}' if size else ''}",
        "odds": odds(item["odds_log"]),
    }


def _capacity(item: Item, _system: System) -> str:
    if item["use"] is None:
        told = _("%(check)s: nothing is left of the capacity as found (%(rule)s)")
    else:
        told = _("%(check)s: demand is %(share)s of the capacity as found (%(rule)s)")
    share = "" if item["use"] is None else f"{item['use'] * 100:.0f}\u202f%"
    rule = f"{translated(item['clause'])}, {translated(item['edition'])}"
    return told % {"check": translated(item["name"]), "share": share, "rule": rule}


def _condition(item: Item, _system: System) -> str:
    return _("%(defect)s: %(cs4)s of %(total)s in CS4, %(cs3)s in CS3") % {
        "defect": DefectCode(item["defect"]).label,
        **{name: item[name] for name in ("cs4", "total", "cs3")},
    }


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
    "unit": lambda item: _(CAUSE_IN_SHORT[CauseWord(item["cause"])]),
    "capacity": lambda item: _("check «%(check)s» exceeded") % {"check": translated(item["name"])},
    "condition": lambda item: f"CS4: {in_sentence(DefectCode(item['defect']).label)}",
    "critical": lambda item: shortened(str(item["what"]), 80),
}
