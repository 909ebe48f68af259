"""Verdicts in sentences that a field person understands, in the reader's units."""

from __future__ import annotations

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as mark

from inspections.form_spec import FIELDS, point_words
from inspections.models import Verdict
from inspections.models.choices import ReadingQuantity, TemperatureWay, VerdictWord
from inventory.models.choices import GapAxis
from inventory.units import Dimension, System, shown
from movement.expected import BAND_K
from movement.results import Reason

SHORT = {
    Reason.RESIDUAL_OUT: mark("far from expected"),
    Reason.PAST_LIMIT_NOW: mark("limit reached now"),
    Reason.PAST_LIMIT_AT_MIN: mark("limit reached when coldest"),
    Reason.PAST_LIMIT_AT_MAX: mark("limit reached when hottest"),
    Reason.RESIDUAL_WATCH: mark("off expected"),
    Reason.NEAR_LIMIT_NOW: mark("near a limit now"),
    Reason.NEAR_LIMIT_AT_MIN: mark("near a limit when coldest"),
    Reason.NEAR_LIMIT_AT_MAX: mark("near a limit when hottest"),
    Reason.NO_READING: mark("no reading"),
    Reason.NO_TEMPERATURE: mark("no temperature"),
    Reason.NO_SETTING: mark("no setting or baseline"),
    Reason.NO_EXPANSION: mark("no fixed point or radius"),
    Reason.NO_LIMITS: mark("no limits recorded"),
    Reason.NO_EXTREMES: mark("no design extremes"),
    Reason.IS_BASELINE: mark("baseline"),
}
"""A reason in a few words, for lists and filters; the weightiest first."""

MISSING = {
    Reason.NO_TEMPERATURE: mark(
        "no temperature was taken with it: next time measure a girder"
        " surface in the shade, and the deck soffit"
    ),
    Reason.NO_SETTING: mark(
        "no setting is on record and no earlier accepted reading can serve as"
        " baseline: accept this one, then measure again at another temperature"
    ),
    Reason.NO_EXPANSION: mark(
        "the register lacks the unit's thermal fixed point or the rocker's radius: enter it"
    ),
    Reason.NO_LIMITS: mark(
        "no limit is on record for it: enter the device's capacity, which is not needed"
        " in a direction in which it is fixed or guided"
    ),
    Reason.NO_EXTREMES: mark("the bridge has no usable design temperature basis: enter one"),
    Reason.IS_BASELINE: mark(
        "it is the baseline itself: measure again, best when at least 15 K warmer or colder"
    ),
}
NEVER_READ = mark(
    "Cannot judge: it has not been measured since the present device was installed."
    " Measure it at the next visit, with a temperature."
)


_AT_EXTREMES = int(
    Reason.PAST_LIMIT_AT_MIN
    | Reason.PAST_LIMIT_AT_MAX
    | Reason.NEAR_LIMIT_AT_MIN
    | Reason.NEAR_LIMIT_AT_MAX
)

_BITS = [(reason, int(reason)) for reason in SHORT]
"""Reasons with their bits as plain numbers, which compare without making a reason each time."""


def reasons_of(verdict: Verdict) -> list[Reason]:
    """Return the reasons of a verdict, the weightiest first.

    What does not move with temperature has nothing to be carried to an extreme.
    """
    told = int(verdict.reasons)
    if verdict.b == 0:
        told &= ~_AT_EXTREMES
    return [reason for reason, bit in _BITS if told & bit]


def in_short(verdict: Verdict) -> str:
    """Return the weightiest reasons in a few words."""
    wanted = [
        _(SHORT[reason])
        for reason in reasons_of(verdict)
        if verdict.verdict == VerdictWord.CANNOT_JUDGE or reason < Reason.NO_READING
    ]
    return ", ".join(wanted[:3]) or _("as expected")


def sentence(verdict: Verdict, system: System) -> str:
    """Return the whole verdict as one or two sentences with its numbers."""
    found = reasons_of(verdict)
    compared = verdict.residual is not None and Reason.IS_BASELINE not in found
    parts = [_comparison(verdict, system)] if compared else []
    if Reason.PAST_LIMIT_NOW in found:
        limit = _limit(verdict, verdict.value, system)
        parts.append(_("it has reached its limit of %(limit)s now") % {"limit": limit})
    elif Reason.NEAR_LIMIT_NOW in found:
        parts.append(_near_now(verdict, system))
    parts += [
        _carried(verdict, at_min, system, past=past in found)
        for at_min, near, past in (
            (True, Reason.NEAR_LIMIT_AT_MIN, Reason.PAST_LIMIT_AT_MIN),
            (False, Reason.NEAR_LIMIT_AT_MAX, Reason.PAST_LIMIT_AT_MAX),
        )
        if near in found or past in found
    ]
    if verdict.verdict == VerdictWord.CANNOT_JUDGE or Reason.IS_BASELINE in found:
        parts += [_(text) for reason, text in MISSING.items() if verdict.reasons & reason]
        if verdict.problem:
            parts.append(verdict.problem.rstrip("."))
    elif verdict.verdict == VerdictWord.IN_RANGE:
        parts.append(_kept(verdict))
    if verdict.stands:
        parts.append(
            _(
                "found on %(day)s: no later reading was far enough from the setting temperature to"
                " show that it has gone"
            )
            % {"day": f"{verdict.taken_at:%Y-%m-%d}"}
        )
    name = name_of(verdict)
    return f"{name} {_value(verdict, verdict.value, system)}{_at(verdict, system)}: " + (
        "; ".join(parts) + "."
    )


def name_of(verdict: Verdict) -> str:
    """Return what was read and where: ``Joint gap, left, square``."""
    parts = [ReadingQuantity(verdict.quantity).label, point_words(verdict.point)]
    if verdict.axis:
        parts.append(_("square") if verdict.axis == GapAxis.SQUARE else _("along the road"))
    return ", ".join(part for part in parts if part)


def dimension_of(verdict: Verdict) -> Dimension:
    """Return what a verdict's values measure."""
    return FIELDS[ReadingQuantity(verdict.quantity)].dimension


def way_words(verdict: Verdict, station: str = "") -> str:
    """Return how the effective temperature was got, of which air station if that is known."""
    way = TemperatureWay(verdict.temperature_way)
    if not station:
        return way.label
    if way == TemperatureWay.AIR_HISTORY:
        return _("%(way)s at %(station)s") % {"way": way.label, "station": station}
    return way.label.replace("the station", station)


def band(verdict: Verdict) -> tuple[float, float] | None:
    """Return the expected band, lower and upper; None where it could not be had."""
    if verdict.expected is None or verdict.u_residual is None:
        return None
    half = BAND_K * verdict.u_residual
    return verdict.expected - half, verdict.expected + half


def _comparison(verdict: Verdict, system: System) -> str:
    half = _value(verdict, BAND_K * (verdict.u_residual or 0.0), system)
    expected = _value(verdict, verdict.expected, system)
    if abs(verdict.residual_in_u or 0.0) <= BAND_K:
        within = _("expected %(expected)s, within the band of ±%(band)s")
        return within % {"expected": expected, "band": half}
    amount = _value(verdict, abs(verdict.residual), system)
    away = _(_direction(verdict)) % {"amount": amount, "expected": expected}
    outside = _("outside the band of ±%(band)s") % {"band": half}
    return f"{away}, {outside}"


MORE = mark("%(amount)s more than the %(expected)s expected")
FEWER = mark("%(amount)s fewer than the %(expected)s expected")
LESS = mark("%(amount)s less than the %(expected)s expected")
WIDER = mark("%(amount)s wider than the %(expected)s expected")
NARROWER = mark("%(amount)s narrower than the %(expected)s expected")
TO_THE_LEFT = mark("%(amount)s to the left of the %(expected)s expected")
TO_THE_RIGHT = mark("%(amount)s to the right of the %(expected)s expected")
ABOVE = mark("%(amount)s above the %(expected)s expected")
BELOW = mark("%(amount)s below the %(expected)s expected")
AHEAD = mark("%(amount)s ahead of the %(expected)s expected")
BEHIND = mark("%(amount)s behind the %(expected)s expected")


def _kept(verdict: Verdict) -> str:
    if verdict.limit_lower is None and verdict.limit_upper is None:
        return _("it is fixed or guided in this direction, so no limit is to be kept")
    return _("every recorded limit is met now and at both design extremes")


def _near_now(verdict: Verdict, system: System) -> str:
    if verdict.quantity == ReadingQuantity.ROD_TENSION:
        told = _("it has lost %(share)s of its pretension")
        return told % {"share": f"{verdict.use_now:.0%}"}
    if verdict.quantity == ReadingQuantity.SLIDING_GAP:
        return _(
            "it nears the %(limit)s at which the sheet is spent: inspect it at shorter intervals"
        ) % {"limit": _value(verdict, verdict.limit_lower, system)}
    return _("it uses %(share)s of its limit now") % {"share": f"{verdict.use_now:.0%}"}


def _direction(verdict: Verdict) -> str:
    more = verdict.residual > 0
    if verdict.quantity == ReadingQuantity.BROKEN_RODS:
        return MORE if more else FEWER
    if verdict.quantity == ReadingQuantity.SLACK:
        return MORE if more else LESS
    if verdict.quantity in (ReadingQuantity.GAP, ReadingQuantity.KEY_GAP):
        return WIDER if more else NARROWER
    if verdict.quantity == ReadingQuantity.OFFSET_ACROSS:
        return TO_THE_LEFT if more else TO_THE_RIGHT
    if verdict.quantity == ReadingQuantity.PROJECTION:
        return ABOVE if more else BELOW
    return AHEAD if more else BEHIND


def _carried(verdict: Verdict, at_min: bool, system: System, past: bool) -> str:
    extreme = verdict.design_min_c if at_min else verdict.design_max_c
    value = verdict.carried_to_min if at_min else verdict.carried_to_max
    use = verdict.use_at_min if at_min else verdict.use_at_max
    told = {"extreme": shown(extreme, Dimension.TEMPERATURE, system)}
    if not past:
        words = (
            _(
                "carried to the lowest design temperature of %(extreme)s it would"
                " use %(share)s of its limit"
            )
            if at_min
            else _(
                "carried to the highest design temperature of %(extreme)s it would"
                " use %(share)s of its limit"
            )
        )
        return words % {**told, "share": f"{use:.0%}"}
    lower = verdict.limit_lower is not None and value <= verdict.limit_lower
    meets = verdict.lower_at_c if lower else verdict.upper_at_c
    reached = "" if meets is None else _at_temperature(meets, system)
    words = (
        _(
            "carried to the lowest design temperature of %(extreme)s it would"
            " reach its limit of %(limit)s"
        )
        if at_min
        else _(
            "carried to the highest design temperature of %(extreme)s it would"
            " reach its limit of %(limit)s"
        )
    )
    return words % {**told, "limit": _limit(verdict, value, system)} + reached


def _limit(verdict: Verdict, value: float, system: System) -> str:
    low = verdict.limit_lower is not None and value <= verdict.limit_lower
    return _value(verdict, verdict.limit_lower if low else verdict.limit_upper, system)


def _at(verdict: Verdict, system: System) -> str:
    if verdict.temperature_c is None:
        return ""
    return _at_temperature(verdict.temperature_c, system)


def _at_temperature(temperature_c: float, system: System) -> str:
    at = {"temperature": shown(temperature_c, Dimension.TEMPERATURE, system)}
    return " " + _("at %(temperature)s") % at


def _value(verdict: Verdict, value: float | None, system: System) -> str:
    return shown(value, dimension_of(verdict), system)
