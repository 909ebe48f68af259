"""Verdict of a reading: against what physics predicts, and against the limits."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from movement.checks import Floats
from movement.expected import common_temperature, predict
from movement.inputs import DesignExtremes, Limits, Measured, Setting, Sides, Thresholds
from movement.results import OUT_REASONS, WATCH_REASONS, Judgement, Reason, Verdict

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
    temperature_correlation : float
        See :func:`movement.expected.predict`.

    Returns
    -------
    Judgement
        "Out of range" and "watch" need only what shows them; "in range" needs the
        reading, the prediction, a limit and both extremes.

    Notes
    -----
    A verdict compares a field reading with the movement at the temperature of that
    hour, so neither the load factor 1.20 of AASHTO LRFD Table 3.4.1-1 nor the
    allowance S of EN 1991-1-5 6.1.3.3 enters here.
    """
    setting, measured, extremes = _without_temperature(sides, setting, measured, extremes)
    prediction = predict(sides, setting, measured, temperature_correlation)
    value = measured.value
    residual = value - prediction.expected
    in_u = _ratio(residual, prediction.standard_uncertainty)

    slope = prediction.line.b
    now_c = common_temperature(sides, measured.temperature_c)
    at_min = value + slope * (extremes.min_c - now_c)
    at_max = value + slope * (extremes.max_c - now_c)
    use_now, past_now = _use(value, limits)
    use_min, past_min = _use(at_min, limits)
    use_max, past_max = _use(at_max, limits)

    baseline = np.asarray(is_baseline, dtype=bool)
    off = np.where(baseline, 0.0, np.abs(in_u))
    shape = np.broadcast_shapes(residual.shape, baseline.shape, use_min.shape, use_max.shape)
    reasons = np.zeros(shape, dtype=np.uint32)
    no_limits = np.isnan(limits.lower) & np.isnan(limits.upper)
    for reason, holds in (
        (Reason.RESIDUAL_WATCH, (off > thresholds.watch_k) & ~(off > thresholds.out_k)),
        (Reason.RESIDUAL_OUT, off > thresholds.out_k),
        (Reason.NEAR_LIMIT_NOW, (use_now >= thresholds.watch_use) & ~past_now),
        (Reason.NEAR_LIMIT_AT_MIN, (use_min >= thresholds.watch_use) & ~past_min),
        (Reason.NEAR_LIMIT_AT_MAX, (use_max >= thresholds.watch_use) & ~past_max),
        (Reason.PAST_LIMIT_NOW, past_now),
        (Reason.PAST_LIMIT_AT_MIN, past_min),
        (Reason.PAST_LIMIT_AT_MAX, past_max),
        (Reason.NO_READING, np.isnan(value)),
        (Reason.NO_TEMPERATURE, np.isnan(now_c)),
        (Reason.NO_SETTING, np.isnan(setting.value) | np.isnan(setting.temperature_c)),
        (Reason.NO_EXPANSION, _unknown_movement(sides)),
        (Reason.NO_LIMITS, no_limits),
        (Reason.NO_EXTREMES, np.isnan(extremes.min_c) | np.isnan(extremes.max_c)),
        (Reason.IS_BASELINE, baseline),
    ):
        reasons |= np.where(holds, np.uint32(reason), np.uint32(0))

    # A residual whose uncertainty could not be had (NaN) names no reason of its own.
    judged = (reasons & np.uint32(_NOT_JUDGED) == 0) & ~np.isnan(np.broadcast_to(in_u, shape))
    verdict = np.select(
        [reasons & np.uint32(OUT_REASONS) != 0, reasons & np.uint32(WATCH_REASONS) != 0, judged],
        [Verdict.OUT_OF_RANGE, Verdict.WATCH, Verdict.IN_RANGE],
        Verdict.CANNOT_JUDGE,
    ).astype(np.int8)
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
        _meets(limits.lower, value, slope, now_c),
        _meets(limits.upper, value, slope, now_c),
        prediction,
    )


def _without_temperature(
    sides: Sides, setting: Setting, measured: Measured, extremes: DesignExtremes
) -> tuple[Setting, Measured, DesignExtremes]:
    """Need no temperature where none matters: a rotation, a slip, a rod's projection."""
    still = ((sides.lever == 0) & (sides.u_lever == 0)).all(axis=-1)

    def known(values: Floats) -> Floats:
        by_side = still[..., np.newaxis] if values.ndim == sides.lever.ndim else still
        return np.asarray(np.where(by_side & np.isnan(values), 0.0, values), dtype=np.float64)

    return (
        replace(
            setting,
            temperature_c=known(setting.temperature_c),
            u_temperature_k=known(setting.u_temperature_k),
        ),
        replace(
            measured,
            temperature_c=known(measured.temperature_c),
            u_temperature_k=known(measured.u_temperature_k),
        ),
        replace(extremes, min_c=known(extremes.min_c), max_c=known(extremes.max_c)),
    )


def _unknown_movement(sides: Sides) -> NDArray[np.bool_]:
    strain = sides.lever * sides.expansion_per_c + sides.shortening
    return np.asarray(np.isnan(strain).any(axis=-1), dtype=np.bool_)


def _ratio(residual: Floats, u: Floats) -> Floats:
    """Return residual / u; with no uncertainty at all a residual is 0 or without bound."""
    exact = np.where(residual == 0.0, 0.0, np.copysign(np.inf, residual))
    divided = residual / np.where(u > 0, u, 1.0)
    return np.where(u > 0, divided, np.where(np.isnan(residual + u), np.nan, exact))


def _use(value: Floats, limits: Limits) -> tuple[Floats, NDArray[np.bool_]]:
    """Return share of the nearer limit used, and whether one is reached (a closed gap is 0)."""
    past = (value <= limits.lower) | (value >= limits.upper)
    up = limits.upper - limits.neutral
    down = limits.neutral - limits.lower
    share_up = (value - limits.neutral) / np.where(up > 0, up, np.nan)
    share_down = (limits.neutral - value) / np.where(down > 0, down, np.nan)
    return np.fmax(share_up, share_down), past


def _meets(limit: Floats, value: Floats, slope: Floats, now_c: Floats) -> Floats:
    """Return the temperature at which the carried position meets a limit; NaN if it never does."""
    return now_c + (limit - value) / np.where(slope == 0.0, np.nan, slope)
