"""Read many histories at once: response, drift, step, blunder and what is to come."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from movement.checks import Floats, finite
from movement.errors import InputError
from movement.history.errors_in_temperature import Table, fit_table
from movement.history.findings import (
    Blunder,
    Expected,
    Finding,
    History,
    HistoryThresholds,
    Interval,
    Missing,
    Step,
)
from movement.history.forecast import meets_limit
from movement.history.parameters import COLUMNS, write_parameters
from movement.history.ragged import Block, Readings, blocks
from movement.history.response import answer, more_needed
from movement.history.robust import robust_lines
from movement.history.search import Found, columns_of, search
from movement.history.student import quantile
from movement.inputs import DesignExtremes, Limits


def read_histories(
    readings: Readings,
    expected: Expected,
    limits: Limits,
    extremes: DesignExtremes,
    now_years: ArrayLike,
    thresholds: HistoryThresholds,
) -> History:
    """Fit y = a + b (T - Tm) + c (t - tm) to each history and say what it shows.

    Parameters
    ----------
    readings : Readings
        Complete readings of every series, in time.
    expected : Expected
        Slope that physics predicts, arrays (series,).
    limits, extremes
        Arrays that broadcast to (series,); NaN where not known: then no forecast.
    now_years : array_like
        The present, on the time axis of the readings.
    thresholds : HistoryThresholds
        The agency's.

    Returns
    -------
    History

    Raises
    ------
    InputError
        If the arrays do not broadcast to one value a series, or ``now_years`` is missing.

    Notes
    -----
    Errors of the temperature are part of the fit (:func:`fit_table`).  The variance of a
    residual is that of the stated uncertainties and of the scatter found, each by its
    degrees of freedom; where a series states no uncertainty of reading, the scatter alone
    (then errors of the temperature are not accounted for).  Intervals are Student's t.
    """
    size = readings.counts.size
    now = _each("now_years", finite("now_years", now_years), size)
    slope = _each("expected_slope", expected.slope, size)
    u_slope = _each("u_expected_slope", expected.u_slope, size)
    start = robust_lines(readings.temperature_c, readings.value, readings.counts).slope
    start = np.where(np.isnan(start), np.nan_to_num(slope), start)
    told = {name: np.full(size, np.nan) for name in COLUMNS}
    left_out = np.zeros(readings.given, dtype=bool)
    for block in blocks(readings.counts):
        _read_block(readings, block, start, slope, told, left_out, thresholds)

    n = readings.counts
    k = quantile(thresholds.confidence, told["dof"])
    ratio, ratio_u = _ratio(told, slope, u_slope, k)
    missing = np.zeros(size, dtype=np.uint16)
    visits = np.nan_to_num(told["visits"]).astype(np.int64)
    enough = visits >= thresholds.fewest_visits
    flat = np.isnan(told["slope"]) & (enough | (told["spread"] == 0))
    for bit, holds in (
        (Missing.NO_READING, n == 0),
        (Missing.TOO_FEW_VISITS, ~enough),
        (Missing.NO_TEMPERATURE_SPREAD, (n > 0) & flat),
        (Missing.SPREAD_WITHIN_ITS_ERROR, told["reliability"] < 0.5),
        (Missing.NO_EXPECTED_SLOPE, np.isnan(slope + u_slope) | (slope == 0)),
        (Missing.NO_SPREAD_OF_TIME, (n > 0) & (told["time_told"] != 1)),
        (Missing.INTERVAL_TOO_WIDE, ~np.isnan(ratio) & ~(ratio_u <= thresholds.widest_half_width)),
    ):
        missing |= np.where(holds, np.uint16(bit), np.uint16(0))
    ratio_interval = Interval(ratio, ratio - ratio_u, ratio + ratio_u)
    response = answer(ratio_interval, missing, thresholds)
    spread_needed, visits_needed = more_needed(
        told["sigma"], told["spread"], told["spread_s"], n, visits, slope, u_slope, thresholds
    )
    drift = _interval(told["drift"], told["u_drift"], k)
    limit_in = meets_limit(told, k, limits, extremes, now)
    findings = np.nan_to_num(told["findings"]).astype(np.uint16)
    soon = (findings & np.uint16(Finding.DRIFT) != 0) & (limit_in.value <= thresholds.horizon_years)
    findings |= np.where(soon, np.uint16(Finding.REACHES_LIMIT), np.uint16(0))
    return History(
        response=response,
        missing=missing,
        ratio=ratio_interval,
        slope=_interval(told["slope"], told["u_slope"], k),
        level=_interval(told["level"], told["level_u"], k),
        mean_temperature_c=told["mean_t"],
        mean_time_years=told["mean_time"],
        drift_per_year=drift,
        drift_p_value=told["drift_p"],
        findings=findings,
        alternatives=np.nan_to_num(told["alternatives"]).astype(np.uint16),
        step=Step(
            _interval(told["step"], told["u_step"], k),
            told["step_after"],
            told["step_before"],
            told["step_p"],
        ),
        blunder=Blunder(
            np.nan_to_num(told["blunder_row"], nan=-1.0).astype(np.int64),
            told["blunder_size"],
            told["blunder_p"],
        ),
        limit_in_years=limit_in,
        left_out=left_out,
        visits=visits,
        spread_k=told["spread"],
        spread_needed_k=spread_needed,
        visits_needed=visits_needed,
    )


def _each(field: str, values: Floats, size: int) -> Floats:
    try:
        return np.broadcast_to(values, (size,)).astype(np.float64)
    except ValueError:
        raise InputError(
            field, f"has shape {values.shape}, with {size} series", "Give one value a series."
        ) from None


def _interval(value: Floats, u: Floats, k: Floats) -> Interval:
    return Interval(value, value - k * u, value + k * u)


def _ratio(
    told: dict[str, Floats], slope: Floats, u_slope: Floats, k: Floats
) -> tuple[Floats, Floats]:
    """Return the response ratio and the half-width of its interval."""
    by = np.where(slope == 0, np.nan, slope)
    ratio = told["slope"] / by
    return ratio, np.hypot(k * told["u_slope"] / by, k * ratio * u_slope / by)


def _read_block(
    readings: Readings,
    block: Block,
    start: Floats,
    expected_slope: Floats,
    told: dict[str, Floats],
    left_out: NDArray[np.bool_],
    thresholds: HistoryThresholds,
) -> None:
    rows, there, s = block.rows, block.there, block.series
    count = there.sum(axis=0)

    def about_mean(values: Floats) -> tuple[Floats, Floats, Floats]:
        taken = values[rows]
        mean = np.asarray((taken * there).sum(axis=0) / count)
        return taken, mean, taken - mean

    _, y0, y = about_mean(readings.value)
    temperature_c, t0, temperature = about_mean(readings.temperature_c)
    years, x0, time = about_mean(readings.time_years)
    u_value = readings.u_value[rows]
    stated = np.asarray(u_value.min(axis=0) > 0, dtype=np.bool_)
    u_value = np.where(stated, u_value, 1.0)
    u_temperature = readings.u_temperature_k[rows] * stated
    table = Table(y, temperature, time, u_value * u_value, u_temperature * u_temperature, there)
    found = search(table, start[s], stated, thresholds)
    far = _write_last_fit(table, found, start, stated, s, told, thresholds, y0)

    told["mean_t"][s], told["mean_time"][s] = t0, x0
    # Padding repeats a reading: no later visit and no new extreme.
    told["visits"][s] = (years[1:] > years[:-1]).sum(axis=0) + 1
    told["spread"][s] = np.ptp(temperature_c, axis=0)
    by = np.nan_to_num(expected_slope[s])
    of_free = (table.variance_y + by * by * table.variance_t) * there
    told["sigma"][s] *= np.sqrt(of_free.sum(axis=0) / count)
    _write_found(found, far, readings, rows, years, s, told, left_out)


def _write_last_fit(
    table: Table,
    found: Found,
    start: Floats,
    stated: NDArray[np.bool_],
    s: NDArray[np.int64],
    told: dict[str, Floats],
    thresholds: HistoryThresholds,
    mean_value: Floats,
) -> Floats:
    """Fit each line once more, with a drift and the step found; keep its parameters.

    Returns how far the reading of each blunder found lies from it, arrays (m,).
    """
    far = np.empty(s.size)
    whole = replace(table, use=found.use)
    for some in (np.flatnonzero(~found.step_fitted), np.flatnonzero(found.step_fitted)):
        if not some.size:
            continue
        part, of = whole.of(some), s[some]
        columns = columns_of(part, found, some, always_drift=True)
        fit = fit_table(part, columns, start[of])
        level, drift, step = write_parameters(
            part, fit, columns, stated[some], of, told, thresholds, mean_value[some]
        )
        at, line = np.maximum(found.blunder_at[some], 0), np.arange(some.size)
        far[some] = part.y[at, line] - fit.slope * part.temperature[at, line] - level
        far[some] -= drift * part.time[at, line]
        if len(columns) > 1:
            far[some] -= step * columns[1][at, line]
    return far


def _write_found(
    found: Found,
    far: Floats,
    readings: Readings,
    rows: NDArray[np.int64],
    years: Floats,
    s: NDArray[np.int64],
    told: dict[str, Floats],
    left_out: NDArray[np.bool_],
) -> None:
    line = np.arange(s.size)
    has_step = found.step_after >= 0
    after = np.maximum(found.step_after, 0)
    told["step_after"][s] = np.where(has_step, years[after, line], np.nan)
    told["step_before"][s] = np.where(
        has_step, years[np.minimum(after + 1, years.shape[0] - 1), line], np.nan
    )
    told["step_p"][s], told["drift_p"][s] = found.step_p, found.drift_p
    one = found.blunder_at >= 0
    at = np.maximum(found.blunder_at, 0)
    apart = one & ~found.use[at, line]
    told["blunder_row"][s] = np.where(one, readings.row[rows[at, line]], -1)
    told["blunder_size"][s] = np.where(apart, far, found.blunder_size)
    told["blunder_p"][s] = found.blunder_p
    told["findings"][s], told["alternatives"][s] = found.findings, found.alternatives
    # A step in doubt with another cause that fits better is not part of the last fit.
    told["step"][s] = np.where(found.step_fitted, told["step"][s], found.step_size)
    out = ~found.use
    if out.any():
        there = np.ones(rows.shape, dtype=bool)
        there[1:] = rows[1:] > rows[:-1]
        left_out[readings.row[rows[there & out]]] = True
