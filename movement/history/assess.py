"""Read many histories at once: response, drift, step, blunder and what is to come."""

from __future__ import annotations

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
    count = there.sum(axis=1)

    def mean(values: Floats) -> Floats:
        return np.asarray(np.where(there, values[rows], 0.0).sum(axis=1) / count)

    y0, t0, x0 = (
        mean(each) for each in (readings.value, readings.temperature_c, readings.time_years)
    )
    variance_y = readings.u_value[rows] ** 2
    stated = np.asarray(((variance_y > 0) | ~there).all(axis=1), dtype=np.bool_)
    variance_y = np.where(stated[:, np.newaxis], variance_y, 1.0)
    table = Table(
        y=readings.value[rows] - y0[:, np.newaxis],
        temperature=readings.temperature_c[rows] - t0[:, np.newaxis],
        time=readings.time_years[rows] - x0[:, np.newaxis],
        variance_y=variance_y,
        variance_t=np.where(stated[:, np.newaxis], readings.u_temperature_k[rows] ** 2, 0.0),
        use=there,
    )
    found = search(table, start[s], stated, thresholds)
    table = Table(
        table.y, table.temperature, table.time, table.variance_y, table.variance_t, found.use
    )
    columns = columns_of(table, found, np.arange(s.size), always_drift=True)
    fit = fit_table(table, columns, start[s])
    rest = write_parameters(table, fit, columns, stated, s, told, thresholds, y0)

    time = readings.time_years[rows]
    told["mean_t"][s], told["mean_time"][s] = t0, x0
    told["visits"][s] = ((np.diff(time, axis=1) > 0) & there[:, 1:]).sum(axis=1) + 1
    temperature = readings.temperature_c[rows]  # padding repeats a reading: no new extreme
    told["spread"][s] = np.ptp(temperature, axis=1)
    by = np.nan_to_num(expected_slope[s])[:, np.newaxis]
    of_free = table.variance_y + by**2 * table.variance_t
    told["sigma"][s] *= np.sqrt(np.where(there, of_free, 0.0).sum(axis=1) / count)
    _write_found(found, rest, readings, rows, time, s, told, left_out)


def _write_found(
    found: Found,
    rest: Floats,
    readings: Readings,
    rows: NDArray[np.int64],
    time: Floats,
    s: NDArray[np.int64],
    told: dict[str, Floats],
    left_out: NDArray[np.bool_],
) -> None:
    line = np.arange(s.size)
    has_step = found.step_after >= 0
    after = np.maximum(found.step_after, 0)
    told["step_after"][s] = np.where(has_step, time[line, after], np.nan)
    told["step_before"][s] = np.where(
        has_step, time[line, np.minimum(after + 1, time.shape[1] - 1)], np.nan
    )
    told["step_p"][s], told["drift_p"][s] = found.step_p, found.drift_p
    one = found.blunder_at >= 0
    at = np.maximum(found.blunder_at, 0)
    apart = one & ~found.use[line, at]
    told["blunder_row"][s] = np.where(one, readings.row[rows[line, at]], -1)
    told["blunder_size"][s] = np.where(apart, rest[line, at], found.blunder_size)
    told["blunder_p"][s] = found.blunder_p
    told["findings"][s], told["alternatives"][s] = found.findings, found.alternatives
    # A step in doubt with another cause that fits better is not part of the last fit.
    told["step"][s] = np.where(found.step_fitted, told["step"][s], found.step_size)
    there = np.zeros(rows.shape, dtype=bool)
    there[:, 0] = True
    there[:, 1:] = np.diff(rows, axis=1) > 0
    left_out[readings.row[rows[there & ~found.use]]] = True
