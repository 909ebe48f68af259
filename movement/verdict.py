"""Verdict of a reading: against what physics predicts, and against the limits."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from movement.blockwise import BLOCK, any_side, by_blocks, over_sides
from movement.checks import Floats, at_least_zero, known_or_missing
from movement.expected import a_row_each, predict_with_thermal
from movement.inputs import DesignExtremes, Limits, Measured, Setting, Sides, Thresholds
from movement.results import OUT_REASONS, WATCH_REASONS, Judgement, Reason, Verdict

Flags = NDArray[np.bool_]
_NOT_JUDGED = (
    Reason.NO_READING
    | Reason.NO_TEMPERATURE
    | Reason.NO_SETTING
    | Reason.NO_EXPANSION
    | Reason.NO_LIMITS
    | Reason.NO_EXTREMES
    | Reason.IS_BASELINE
)


def judge(
    sides: Sides,
    setting: Setting,
    measured: Measured,
    limits: Limits,
    extremes: DesignExtremes,
    thresholds: Thresholds,
    is_baseline: ArrayLike = False,
    is_compared: ArrayLike = True,
    needs_limit: ArrayLike = True,
    watch_use: ArrayLike = np.nan,
    temperature_correlation: float = 1.0,
) -> Judgement:
    """Judge readings: one or millions, the same path.

    Parameters
    ----------
    sides, setting, measured, limits, extremes
        Arrays that broadcast to (n,); NaN means "not known".
    thresholds : Thresholds
        The agency's.
    is_baseline : array_like of bool
        True where the setting was taken from this very reading: its residual says
        nothing, so it is never "in range".
    is_compared : array_like of bool
        False where nothing foretells the reading, such as a rod's tension: it has no
        setting and is held against its limits alone.
    needs_limit : array_like of bool
        False where a device is made to stand still in the direction that is read: it has
        no range to use up, and its place alone is held against what is expected.
    watch_use : array_like
        Share of a limit above which to watch; NaN where it is that of ``thresholds`` [-].
    temperature_correlation : float
        See :func:`movement.expected.predict`.

    Returns
    -------
    Judgement
        "Out of range" and "watch" need only what shows them; "in range" needs the
        reading, the prediction, a limit where there is to be one, and both extremes.

    Notes
    -----
    A verdict compares a field reading with the movement at the temperature of that
    hour, so neither the load factor 1.20 of AASHTO LRFD Table 3.4.1-1 nor the
    allowance S of EN 1991-1-5 6.1.3.3 enters here.  A position is carried to the extremes
    with what the deck has shortened by the day of its reading, not with what it will yet.
    """
    sides = a_row_each(sides, measured)
    tables = (
        sides, setting, measured, limits, extremes,
        np.asarray(is_baseline, dtype=bool), np.asarray(is_compared, dtype=bool),
        np.asarray(needs_limit, dtype=bool),
        known_or_missing("watch_use", watch_use),
    )  # fmt: skip

    def each(*rows: Any) -> Judgement:
        return _judge(*rows, thresholds=thresholds, temperature_correlation=temperature_correlation)

    rows = measured.value.shape[0] if measured.value.ndim == 1 else 0
    return by_blocks(each, rows, *tables) if rows > BLOCK else each(*tables)


def _judge(
    sides: Sides,
    setting: Setting,
    measured: Measured,
    limits: Limits,
    extremes: DesignExtremes,
    baseline: Flags,
    compared: Flags,
    limited: Flags,
    near: Floats,
    *,
    thresholds: Thresholds,
    temperature_correlation: float,
) -> Judgement:
    setting, measured, extremes = _without_temperature(sides, setting, measured, extremes)
    prediction, thermal = predict_with_thermal(sides, setting, measured, temperature_correlation)
    value = measured.value
    residual = value - prediction.expected
    in_u = _ratio(residual, prediction.standard_uncertainty)

    slope = prediction.line.b
    at_zero = value - thermal
    at_min = at_zero + slope * extremes.min_c
    at_max = at_zero + slope * extremes.max_c
    room = _room(limits)
    use_now, past_now = _use(value, limits, *room)
    use_min, past_min = _use(at_min, limits, *room)
    use_max, past_max = _use(at_max, limits, *room)

    # All numbers of the sides but those of the shortening enter c2.
    of_shortening = over_sides(sides.shortening + sides.u_shortening)
    unknown_movement = np.isnan(prediction.line.c2 + of_shortening)
    near = np.where(np.isnan(near), thresholds.watch_use, near)
    off = np.where(baseline, 0.0, np.abs(in_u))
    shape = np.broadcast_shapes(
        residual.shape, baseline.shape, compared.shape, limited.shape, use_min.shape, use_max.shape
    )
    reasons = _reasons(
        shape,
        (Reason.RESIDUAL_WATCH, (off > thresholds.watch_k) & ~(off > thresholds.out_k)),
        (Reason.RESIDUAL_OUT, off > thresholds.out_k),
        (Reason.NEAR_LIMIT_NOW, (use_now >= near) & ~past_now),
        (Reason.NEAR_LIMIT_AT_MIN, (use_min >= near) & ~past_min),
        (Reason.NEAR_LIMIT_AT_MAX, (use_max >= near) & ~past_max),
        (Reason.PAST_LIMIT_NOW, past_now),
        (Reason.PAST_LIMIT_AT_MIN, past_min),
        (Reason.PAST_LIMIT_AT_MAX, past_max),
        (Reason.NO_READING, np.isnan(value + measured.u_value)),
        (Reason.NO_TEMPERATURE, _unknown_temperature(sides, measured)),
        (Reason.NO_SETTING, compared & _unknown_setting(setting, unknown_movement)),
        (Reason.NO_EXPANSION, unknown_movement),
        (Reason.NO_LIMITS, limited & _no_limits(limits)),
        (Reason.NO_EXTREMES, np.isnan(extremes.min_c) | np.isnan(extremes.max_c)),
        (Reason.IS_BASELINE, baseline),
    )
    judged = (reasons & np.uint32(_NOT_JUDGED) == 0) & ~np.isnan(np.where(compared, in_u, use_now))
    verdict = np.where(judged, np.int8(Verdict.IN_RANGE), np.int8(Verdict.CANNOT_JUDGE))
    for word, bits in ((Verdict.WATCH, WATCH_REASONS), (Verdict.OUT_OF_RANGE, OUT_REASONS)):
        np.copyto(verdict, np.int8(word), where=reasons & np.uint32(bits) != 0)
    return Judgement(
        verdict,
        reasons,
        residual,
        in_u,
        use_now,
        use_min,
        use_max,
        at_min,
        at_max,
        _meets(limits.lower, at_zero, slope),
        _meets(limits.upper, at_zero, slope),
        prediction,
    )


def _reasons(shape: tuple[int, ...], *found: tuple[Reason, Flags]) -> NDArray[np.uint32]:
    """Return the bits of the reasons that hold, gathered a byte at a time: that is quick."""
    low, high = np.zeros(shape, dtype=np.uint8), np.zeros(shape, dtype=np.uint8)
    for reason, holds in found:
        place = reason.bit_length() - 1
        byte = low if place < 8 else high
        np.bitwise_or(byte, np.asarray(holds).view(np.uint8) << (place % 8), out=byte)
    bits = high.astype(np.uint32)
    bits <<= np.uint32(8)
    bits |= low
    return bits


def could_show(
    residual: ArrayLike,
    temperature_c: ArrayLike,
    setting_temperature_c: ArrayLike,
    later_temperature_c: ArrayLike,
    later_u: ArrayLike,
    k: float,
) -> NDArray[np.bool_]:
    """Whether a later reading would have shown the fault behind an earlier residual.

    A frozen bearing read near its setting temperature looks healthy, so a later reading
    disproves an earlier finding only if both of the plain causes would have shown in it:
    a shift that stays, and a part that does not follow the temperature.

    Parameters
    ----------
    residual, temperature_c : array_like
        Of the earlier reading [unit of the quantity; degC].
    setting_temperature_c : array_like
        Common to both [degC].
    later_temperature_c, later_u : array_like
        Of the later reading: temperature [degC], standard uncertainty of its residual.
    k : float
        Residual, in standard uncertainties, that counts as shown.

    Returns
    -------
    numpy.ndarray of bool
        False wherever a number is not known.

    Notes
    -----
    |r| >= k u and |r (T_later - T_s) / (T - T_s)| >= k u.  Judgement, no source.
    """
    r = np.abs(known_or_missing("residual", residual))
    needed = k * at_least_zero("later_u", later_u)
    t_s = known_or_missing("setting_temperature_c", setting_temperature_c)
    then = np.abs(known_or_missing("temperature_c", temperature_c) - t_s)
    later = np.abs(known_or_missing("later_temperature_c", later_temperature_c) - t_s)
    return np.asarray((r >= needed) & (r * later >= needed * then), dtype=np.bool_)


def _without_temperature(
    sides: Sides, setting: Setting, measured: Measured, extremes: DesignExtremes
) -> tuple[Setting, Measured, DesignExtremes]:
    """Need no temperature where none matters: a rotation, a slip, a rod's projection."""

    def known(values: Floats, by_side: bool = False) -> Floats:
        if not np.isnan(values.sum()):  # quicker than to look at each
            return values
        still = (sides.lever == 0) & (sides.u_lever == 0)
        here = still if by_side else ~any_side(~still)
        return np.asarray(np.where(here & np.isnan(values), 0.0, values), dtype=np.float64)

    def of_sides(values: Floats) -> Floats:
        return known(values, by_side=values.ndim == sides.lever.ndim)

    return (
        replace(
            setting,
            temperature_c=known(setting.temperature_c),
            u_temperature_k=known(setting.u_temperature_k),
        ),
        replace(
            measured,
            temperature_c=of_sides(measured.temperature_c),
            u_temperature_k=of_sides(measured.u_temperature_k),
        ),
        replace(extremes, min_c=known(extremes.min_c), max_c=known(extremes.max_c)),
    )


def _unknown_temperature(sides: Sides, measured: Measured) -> Flags:
    def unknown(values: Floats) -> Flags:
        missing = np.isnan(values)
        return any_side(missing) if missing.ndim == sides.lever.ndim else missing

    return unknown(measured.temperature_c) | unknown(measured.u_temperature_k)


def _unknown_setting(setting: Setting, unknown_movement: NDArray[np.bool_]) -> NDArray[np.bool_]:
    spread = np.isnan(setting.u_value + setting.u_temperature_k)
    # A tilt's spread needs the radius: where that lacks, the setting is not what is missing.
    missing = np.isnan(setting.value + setting.temperature_c) | (spread & ~unknown_movement)
    return np.asarray(missing, dtype=np.bool_)


def _no_limits(limits: Limits) -> NDArray[np.bool_]:
    """True where there is no limit, or no neutral position between them to count from."""
    none = np.isnan(limits.lower) & np.isnan(limits.upper)
    at_one = (limits.neutral <= limits.lower) | (limits.neutral >= limits.upper)
    return np.asarray(none | np.isnan(limits.neutral) | at_one, dtype=np.bool_)


def _ratio(residual: Floats, u: Floats) -> Floats:
    """Return residual / u; with no uncertainty at all a residual is 0 or without bound."""
    some = u > 0
    if some.all():
        return residual / u
    exact = np.where(residual == 0.0, 0.0, np.copysign(np.inf, residual))
    divided = residual / np.where(some, u, 1.0)
    return np.where(some, divided, np.where(np.isnan(residual + u), np.nan, exact))


def _room(limits: Limits) -> tuple[Floats, Floats]:
    """Return the room from the neutral position up and down; NaN where there is none."""
    up = limits.upper - limits.neutral
    down = limits.neutral - limits.lower
    return np.where(up > 0, up, np.nan), np.where(down > 0, down, np.nan)


def _use(value: Floats, limits: Limits, up: Floats, down: Floats) -> tuple[Floats, Flags]:
    """Return share of the nearer limit used, and whether one is reached (a closed gap is 0)."""
    past = (value <= limits.lower) | (value >= limits.upper)
    off = value - limits.neutral
    return np.fmax(off / up, -off / down), past


def _meets(limit: Floats, at_zero: Floats, slope: Floats) -> Floats:
    """Return the temperature at which the carried position meets a limit; NaN if it never does."""
    with np.errstate(over="ignore", divide="ignore", invalid="ignore"):
        meets = (limit - at_zero) / slope
    return np.where(np.isfinite(meets), meets, np.nan)
