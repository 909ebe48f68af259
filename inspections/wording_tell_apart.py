"""What to measure next to tell two explanations apart, in sentences."""

from __future__ import annotations

import math
from dataclasses import dataclass

from django.utils.dates import MONTHS
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as mark

from inspections.form_spec import FIELDS
from inspections.lookups.usual_temperatures import MayFind, Origin
from inspections.models import Explanation
from inspections.models.choices import CauseWord, ReadingQuantity
from inspections.services.device_figures import ChannelKey
from inspections.services.tell_apart import Pair, ToMeasure
from inspections.wording_causes import NEXT, SUBJECT
from inspections.wording_figures import as_sentence, bare, times
from inventory.decimal_mark import decimal_mark
from inventory.models.choices import GapAxis
from inventory.units import Dimension, System, shown
from movement.expected import BAND_K
from movement.whole_bridge.tell_apart import LEAST_RIGHT

SHOWN = 3
"""Readings proposed for each pair, each at another support."""
DECIDED = math.log(1000.0)
"""Log odds above which the readings so far have told two explanations apart.  Judgement."""
_OF_THE_PAST = (CauseWord.WRONG_TEMPERATURE, CauseWord.BLUNDER, CauseWord.HEALTHY)
"""They say something of a visit that is over, and nothing of the next one."""
_CALLED = {
    ReadingQuantity.GAP: mark("gap"),
    ReadingQuantity.OFFSET_ALONG: mark("offset along"),
    ReadingQuantity.TILT: mark("tilt"),
}


@dataclass(frozen=True, slots=True)
class Told:
    """One pair in words; ``proposals`` are sentences, the clearest first."""

    heading: str
    proposals: list[str]
    together: str
    not_separable: str


def tell_pair(pair: Pair, system: System) -> Told:
    """Return what would tell a pair apart, or plainly that nothing would."""
    first, second = subject(pair.first), subject(pair.second)
    if not pair.separable:
        either = _("%(first)s, or %(second)s?") % {"first": _capital(first), "second": second}
        return Told(either, [], "", _nothing_tells(pair))
    heading = _("To tell %(first)s from %(second)s")
    if pair.log_odds > DECIDED:
        heading = _(
            "The readings so far fit %(first)s better than %(second)s (%(times)s times likelier);"
            " to confirm it"
        )
    heading %= {"first": first, "second": second, "times": times(pair.log_odds)}
    worth = [each for each in pair.to_measure if each.right >= LEAST_RIGHT]
    by_support: dict[int, ToMeasure] = {}
    for each in worth:
        # what stands side by side tells about the same
        by_support.setdefault(each.element.support_id, each)
    proposals = [
        proposal(each, first, second, system) for each in list(by_support.values())[:SHOWN]
    ]
    at, right = pair.together
    together = ""
    if not worth or right >= worth[0].right + 0.01:
        told = (
            _(
                "All elements of the unit measured in one visit %(when)s tell them apart in"
                " %(cases)s."
            )
            if worth
            else _(
                "All elements of the unit measured in one visit %(when)s tell the two apart in"
                " %(cases)s."
            )
        )
        together = told % {"when": on_a_day(at, system), "cases": _of_100(right)}
    return Told(heading, proposals, together, "")


def subject(row: Explanation | None) -> str:
    """Return an explanation as the readings would be likelier with it."""
    return _("nothing wrong") if row is None else SUBJECT[CauseWord(row.cause)](row)


def proposal(each: ToMeasure, first: str, second: str, system: System) -> str:
    """Return one reading to take: where, when, and what each explanation foretells."""
    dimension = FIELDS[ReadingQuantity(each.key.quantity)].dimension
    values = [
        _("%(value)s (±%(band)s) with %(cause)s")
        % {
            "value": shown(value, dimension, system),
            "band": bare(BAND_K * u, dimension, system),
            "cause": name,
        }
        for value, u, name in (
            (each.if_first, each.u_first, first),
            (each.if_second, each.u_second, second),
        )
    ]
    told = _(
        "Measure the %(what)s at %(element)s %(when)s: %(first)s, %(second)s. It names the right"
        " one in %(cases)s."
    )
    return told % {
        "what": called(each.key),
        "element": each.element.code,
        "when": on_a_day(each.at, system),
        "first": values[0],
        "second": values[1],
        "cases": _of_100(each.right),
    }


def called(key: ChannelKey) -> str:
    """Return what is measured, in the words of a sentence."""
    name = _(_CALLED[ReadingQuantity(key.quantity)])
    if key.quantity != ReadingQuantity.GAP:
        return name
    axis = _("square to the joint") if key.axis == GapAxis.SQUARE else _("along the road")
    return _("%(what)s, %(axis)s,") % {"what": name, "axis": axis}


def on_a_day(at: MayFind, system: System) -> str:
    """Return a temperature and when it may be found."""
    near = {"temperature": whole_degrees(at.temperature_c, system)}
    if at.origin == Origin.COLDEST:
        return _("near %(temperature)s, the coldest of the design") % near
    if at.origin == Origin.HOTTEST:
        return _("near %(temperature)s, the hottest of the design") % near
    if at.month is not None:
        usual = _("near %(temperature)s, as on a usual day in %(month)s")
        return usual % {**near, "month": MONTHS[at.month]}
    return _("near %(temperature)s, as on %(day)s") % {**near, "day": f"{at.seen_on:%Y-%m-%d}"}


def whole_degrees(temperature_c: float, system: System) -> str:
    """Return a temperature to the whole degree."""
    text = shown(temperature_c, Dimension.TEMPERATURE, system)
    number, gap, label = text.partition("\u202f")
    plain = number.replace("−", "-").replace(decimal_mark(), ".")
    whole = f"{float(plain):.0f}".replace("-", "−")
    return f"{'0' if whole == '−0' else whole}{gap}{label}"


def _nothing_tells(pair: Pair) -> str:
    """Say that no reading will do, why, and what would."""
    both = [pair.first, *([pair.second] if pair.second else [])]
    causes = [CauseWord(each.cause) for each in both]
    advice = [NEXT[cause](each) for cause, each in zip(causes, both, strict=True) if cause in NEXT]
    if all(cause in _OF_THE_PAST for cause in causes):
        told = _(
            "Nothing that can be measured tells these apart: they speak of a past visit, so the"
            " next one would read the same with either."
        )
    else:
        told = _(
            "Nothing that can be measured tells these apart: either foretells the same readings,"
            " within what is not certain."
        )
    return " ".join(
        [
            told,
            *(as_sentence(each) for each in dict.fromkeys(advice)),
        ]
    )


def _of_100(right: float) -> str:
    """Return a chance as cases of a hundred; nothing is certain."""
    count = round(right * 100)
    if count > 99:
        return _("more than 99 of 100 cases")
    return _("%(count)s of 100 cases") % {"count": count}


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
