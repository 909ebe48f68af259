"""Verdicts in sentences that a field person understands, in the reader's units."""

from __future__ import annotations

from inspections.form_spec import FIELDS
from inspections.models import Verdict
from inspections.models.choices import ReadingQuantity, TemperatureWay, VerdictWord
from inventory.models.choices import GapAxis
from inventory.units import Dimension, System, shown
from movement.expected import BAND_K
from movement.results import Reason

SHORT = {
    Reason.RESIDUAL_OUT: "far from expected",
    Reason.PAST_LIMIT_NOW: "limit reached now",
    Reason.PAST_LIMIT_AT_MIN: "limit reached when coldest",
    Reason.PAST_LIMIT_AT_MAX: "limit reached when hottest",
    Reason.RESIDUAL_WATCH: "off expected",
    Reason.NEAR_LIMIT_NOW: "near a limit now",
    Reason.NEAR_LIMIT_AT_MIN: "near a limit when coldest",
    Reason.NEAR_LIMIT_AT_MAX: "near a limit when hottest",
    Reason.NO_READING: "no reading",
    Reason.NO_TEMPERATURE: "no temperature",
    Reason.NO_SETTING: "no setting or baseline",
    Reason.NO_EXPANSION: "no fixed point or radius",
    Reason.NO_LIMITS: "no limits recorded",
    Reason.NO_EXTREMES: "no design extremes",
    Reason.IS_BASELINE: "baseline",
}
"""A reason in a few words, for lists and filters; the weightiest first."""

MISSING = {
    Reason.NO_TEMPERATURE: "no temperature was taken with it: next time measure a girder"
    " surface in the shade, and the deck soffit",
    Reason.NO_SETTING: "no setting is on record and no earlier accepted reading can serve as"
    " baseline: accept this one, then measure again at another temperature",
    Reason.NO_EXPANSION: "the register lacks the unit's thermal fixed point or the rocker's"
    " radius: enter it",
    Reason.NO_LIMITS: "no movement this way is on record that could be used up: enter the device's"
    " movement, unless it is fixed or guided this way",
    Reason.NO_EXTREMES: "the bridge has no usable design temperature basis: enter one",
    Reason.IS_BASELINE: "it is the baseline itself: measure again, best when at least 15 K"
    " warmer or colder",
}
NEVER_READ = (
    "Cannot judge: it has not been measured since the present device was installed."
    " Measure it at the next visit, with a temperature."
)


_AT_EXTREMES = (
    Reason.PAST_LIMIT_AT_MIN
    | Reason.PAST_LIMIT_AT_MAX
    | Reason.NEAR_LIMIT_AT_MIN
    | Reason.NEAR_LIMIT_AT_MAX
)


def reasons_of(verdict: Verdict) -> list[Reason]:
    """Return the reasons of a verdict, the weightiest first.

    What does not move with temperature has nothing to be carried to an extreme.
    """
    carried = Reason(0) if verdict.b != 0 else _AT_EXTREMES
    return [reason for reason in SHORT if verdict.reasons & reason & ~carried]


def in_short(verdict: Verdict) -> str:
    """Return the weightiest reasons in a few words."""
    wanted = [
        SHORT[reason]
        for reason in reasons_of(verdict)
        if verdict.verdict == VerdictWord.CANNOT_JUDGE or reason < Reason.NO_READING
    ]
    return ", ".join(wanted[:3]) or "as expected"


def sentence(verdict: Verdict, system: System) -> str:
    """Return the whole verdict as one or two sentences with its numbers."""
    found = reasons_of(verdict)
    compared = verdict.residual is not None and Reason.IS_BASELINE not in found
    parts = [_comparison(verdict, system)] if compared else []
    if Reason.PAST_LIMIT_NOW in found:
        parts.append(f"it has reached its limit of {_limit(verdict, verdict.value, system)} now")
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
        parts += [text for reason, text in MISSING.items() if verdict.reasons & reason]
        if verdict.problem:
            parts.append(verdict.problem.rstrip("."))
    elif verdict.verdict == VerdictWord.IN_RANGE:
        parts.append("every recorded limit is met now and at both design extremes")
    if verdict.stands:
        parts.append(
            f"found on {verdict.taken_at:%Y-%m-%d}: no later reading was far enough from the"
            " setting temperature to show that it has gone"
        )
    name = name_of(verdict)
    return f"{name} {_value(verdict, verdict.value, system)}{_at(verdict, system)}: " + (
        "; ".join(parts) + "."
    )


def name_of(verdict: Verdict) -> str:
    """Return what was read and where: ``Joint gap, left, square``."""
    parts = [ReadingQuantity(verdict.quantity).label, verdict.point]
    if verdict.axis:
        parts.append("square" if verdict.axis == GapAxis.SQUARE else "along the road")
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
        return f"{way.label} at {station}"
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
        return f"expected {expected}, within the band of ±{half}"
    amount = _value(verdict, abs(verdict.residual), system)
    return f"{amount} {_direction(verdict)} the {expected} expected, outside the band of ±{half}"


def _near_now(verdict: Verdict, system: System) -> str:
    if verdict.quantity == ReadingQuantity.ROD_TENSION:
        return f"it has lost {verdict.use_now:.0%} of its pretension"
    if verdict.quantity == ReadingQuantity.SLIDING_GAP:
        return (
            f"it nears the {_value(verdict, verdict.limit_lower, system)} at which the sheet is"
            " spent: inspect it at shorter intervals"
        )
    return f"it uses {verdict.use_now:.0%} of its limit now"


def _direction(verdict: Verdict) -> str:
    more = verdict.residual > 0
    if verdict.quantity == ReadingQuantity.BROKEN_RODS:
        return "more than" if more else "fewer than"
    if verdict.quantity in (ReadingQuantity.GAP, ReadingQuantity.KEY_GAP):
        return "wider than" if more else "narrower than"
    if verdict.quantity == ReadingQuantity.OFFSET_ACROSS:
        return "to the left of" if more else "to the right of"
    if verdict.quantity == ReadingQuantity.PROJECTION:
        return "above" if more else "below"
    return "ahead of" if more else "behind"


def _carried(verdict: Verdict, at_min: bool, system: System, past: bool) -> str:
    extreme = verdict.design_min_c if at_min else verdict.design_max_c
    value = verdict.carried_to_min if at_min else verdict.carried_to_max
    use = verdict.use_at_min if at_min else verdict.use_at_max
    when = (
        f"carried to the {'lowest' if at_min else 'highest'} design temperature of"
        f" {shown(extreme, Dimension.TEMPERATURE, system)}"
    )
    if not past:
        return f"{when} it would use {use:.0%} of its limit"
    lower = verdict.limit_lower is not None and value <= verdict.limit_lower
    meets = verdict.lower_at_c if lower else verdict.upper_at_c
    reached = "" if meets is None else f" at {shown(meets, Dimension.TEMPERATURE, system)}"
    return f"{when} it would reach its limit of {_limit(verdict, value, system)}{reached}"


def _limit(verdict: Verdict, value: float, system: System) -> str:
    low = verdict.limit_lower is not None and value <= verdict.limit_lower
    return _value(verdict, verdict.limit_lower if low else verdict.limit_upper, system)


def _at(verdict: Verdict, system: System) -> str:
    if verdict.temperature_c is None:
        return ""
    return f" at {shown(verdict.temperature_c, Dimension.TEMPERATURE, system)}"


def _value(verdict: Verdict, value: float | None, system: System) -> str:
    return shown(value, dimension_of(verdict), system)
