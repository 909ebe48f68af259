"""What each channel's readings show over the years, as rows."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import repeat
from typing import NamedTuple

import numpy as np

from inspections.lookups.parts import by_size
from inspections.models import AgencySettings, ElementHistory
from inspections.services.judged import Judged, known, rows_of
from inspections.services.many_rows import made
from inspections.services.points import DAY_S, Point
from inspections.services.shortening import shortening_of
from inspections.services.travels import travels_of
from movement import MODEL_VERSION
from movement.history.assess import read_histories
from movement.history.findings import Expected, History
from movement.history.ragged import Readings
from movement.inputs import Limits
from movement.travel import DAYS_A_YEAR

STILL_PER_C = 1e-6
"""What moves less per degree, in the unit of its quantity, does not move: the cosine of a
right angle is not quite nothing."""

SWING_K = 50.0
"""Where so wide a swing moves a point by less than it can be read, no slope is predicted.

Judgement, no source: a wide yearly range of effective temperature."""
LOST_K = 2.0
"""Standard uncertainties that a predicted slope must exceed.  Judgement, no source."""


AT_ONCE = 200_000
"""Readings whose histories are found in one go: what keeps the memory within bounds."""


class Known(NamedTuple):
    """What was known at an hour: rows of points that handed-in visits had read by then."""

    rows: np.ndarray
    now: dt.datetime


@dataclass(frozen=True, slots=True, eq=False)
class _Series:
    """Readings of channels as known at several hours, one a moment: its readings are averaged.

    Attributes
    ----------
    hour, channels : array (series,)
        Which hour, and the channel, of each series; in this order.
    a_point : array (series,)
        Any point of each, for what all points of a channel share.
    series, point : array (readings,)
        Series of each reading, rising, and its first point.
    value, u_value, temperature_c, u_temperature_k, years : array (readings,)
        Less what shortening calls for, so that a drift is one that is not explained.
    """

    hour: np.ndarray
    channels: np.ndarray
    a_point: np.ndarray
    series: np.ndarray
    point: np.ndarray
    value: np.ndarray
    u_value: np.ndarray
    temperature_c: np.ndarray
    u_temperature_k: np.ndarray
    years: np.ndarray


def histories_of(
    found: Judged, hours: Sequence[Known], agency: AgencySettings
) -> list[list[ElementHistory]]:
    """Return the history of every channel that was read by some hours, for each of these.

    A replacement or a reset begins another device, and with it other channels; that of a
    device that has ended stays as it was.
    """
    return [
        rows
        for some in by_size(hours, lambda each: each.rows.size, AT_ONCE)
        for rows in _histories(found, some, agency)
    ]


def _histories(
    found: Judged, hours: Sequence[Known], agency: AgencySettings
) -> list[list[ElementHistory]]:
    told: list[list[ElementHistory]] = [[] for _ in hours]
    if not any(each.rows.size for each in hours):
        return told
    series = _series(found, hours)
    slope, u_slope = expected_slopes(found, series.channels)
    slope = np.where(np.abs(slope) * SWING_K < _u_reading(series), 0.0, slope)
    now = [hours[each].now for each in series.hour]
    now_day = np.array([each.now.timestamp() / DAY_S for each in hours])[series.hour]
    limits = _limits_now(found, series, agency, now_day)
    history = read_histories(
        Readings.of(
            series.value,
            series.u_value,
            series.temperature_c,
            series.u_temperature_k,
            series.years,
            series.series,
            series.channels.size,
        ),
        Expected.of(slope, u_slope),
        limits,
        rows_of(found.channels.extremes, series.channels),
        now_day / DAYS_A_YEAR,
        agency.history_thresholds(),
    )
    travel = travels_of(
        [found.installations[found.keys[channel].installation_id] for channel in series.channels],
        [found.keys[channel].quantity for channel in series.channels],
        np.where(history.missing == 0, history.slope.value, slope),
        now,
    )
    for row, at in zip(
        _rows(found, series, history, slope, travel, now), series.hour.tolist(), strict=True
    ):
        told[at].append(row)
    return told


def expected_slopes(found: Judged, channels: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return the slope that physics predicts for channels, and its uncertainty.

    It needs no setting, so it is there where a reading has no expected value yet.  Where it
    is lost in its own uncertainty, as close to the fixed point, none is predicted: a ratio to
    it would say nothing.
    """
    sides = rows_of(found.channels.sides, channels)
    variance = (sides.lever * sides.u_expansion_per_c) ** 2
    variance += (sides.u_lever * sides.expansion_per_c) ** 2
    slope = (sides.lever * sides.expansion_per_c).sum(axis=-1)
    u_slope = np.sqrt(variance.sum(axis=-1))
    lost = np.abs(slope) < np.maximum(STILL_PER_C, LOST_K * u_slope)
    return np.where(lost, 0.0, slope), u_slope


def _u_reading(series: _Series) -> np.ndarray:
    """Return the mean standard uncertainty of the readings of each series, 0 of none."""
    size = series.channels.size
    count = np.bincount(series.series, minlength=size)
    total = np.bincount(series.series, series.u_value, minlength=size)
    return total / np.maximum(count, 1)


def _series(found: Judged, hours: Sequence[Known]) -> _Series:
    rows = np.concatenate([each.rows for each in hours])
    at = np.repeat(np.arange(len(hours)), [each.rows.size for each in hours])
    width = len(found.keys)
    codes, first, of_row = np.unique(
        at * width + found.of_point[rows], return_index=True, return_inverse=True
    )
    part, u_part, _ = found.shortening.part_of(found.sides)
    part, u_part = np.nan_to_num(part[rows]), np.nan_to_num(u_part[rows])
    # The rule is off by one factor for all readings: what counts is how far that factor
    # moves them apart, the rest is in their level.
    mean = np.bincount(of_row, u_part) / np.bincount(of_row)
    u_value = np.hypot(found.u_value[rows], u_part - mean[of_row])

    complete = ~np.isnan(found.now_c[rows] + found.u_now_k[rows])
    kept, of_kept = rows[complete], of_row[complete]
    moments = found.moment.max() + 1
    together, point, group = np.unique(
        of_kept * moments + found.moment[kept], return_index=True, return_inverse=True
    )
    count = np.bincount(group)

    def mean_of(values: np.ndarray) -> np.ndarray:
        return np.bincount(group, values) / count

    return _Series(
        codes // width,
        codes % width,
        rows[first],
        together // moments,
        kept[point],
        mean_of((found.value[rows] - part)[complete]),
        mean_of(u_value[complete]),
        mean_of(found.now_c[kept]),
        mean_of(found.u_now_k[kept]),
        mean_of(found.day[kept]) / DAYS_A_YEAR,
    )


def _limits_now(
    found: Judged, series: _Series, agency: AgencySettings, now_day: np.ndarray
) -> Limits:
    """Return limits for readings less their shortening: that of today is used up already.

    What creep and shrinkage will still add within the horizon is left out: little, unless
    the deck is young.
    """
    at = series.a_point
    limits = rows_of(found.limits, at)
    until_now = shortening_of(
        [found.channels.units[channel] for channel in series.channels],
        found.set_day[at],
        now_day,
        agency,
    )
    part = np.nan_to_num(until_now.part_of(rows_of(found.sides, at))[0])
    return Limits.of(limits.lower - part, limits.upper - part, limits.neutral - part)


def _rows(
    found: Judged,
    series: _Series,
    history: History,
    slope: np.ndarray,
    travel: tuple[np.ndarray, np.ndarray],
    now: Sequence[dt.datetime],
) -> list[ElementHistory]:
    size = series.channels.size
    ends = {
        "ratio{}": history.ratio,
        "slope{}_per_c": history.slope,
        "level{}": history.level,
        "drift{}_per_year": history.drift_per_year,
        "limit_in_years{}": history.limit_in_years,
        "step{}": history.step.size,
    }
    numbers = {
        "spread_k": history.spread_k,
        "spread_needed_k": history.spread_needed_k,
        "visits_needed": history.visits_needed,
        "expected_slope_per_c": slope,
        "mean_temperature_c": history.mean_temperature_c,
        "blunder_size": history.blunder.size,
        "travel_mm_per_year": travel[0],
        "travelled_m": travel[1],
    }
    for name, interval in ends.items():
        numbers[name.format("")] = interval.value
        numbers[name.format("_low")] = interval.lower
        numbers[name.format("_high")] = interval.upper
    numbers["step_size"] = numbers.pop("step")
    counts = {
        "response": history.response,
        "missing": history.missing,
        "findings": history.findings,
        "alternatives": history.alternatives,
        "visits": history.visits,
        "readings": np.bincount(series.series[~history.left_out], minlength=size),
    }
    keys = [found.keys[channel] for channel in series.channels]
    visited = _Visited(found.points, series)
    columns: dict[str, Iterable[object]] = {
        "id": repeat(None, size),
        "element_id": [found.installations[key.installation_id].element_id for key in keys],
        "installation_id": [key.installation_id for key in keys],
        "quantity": [key.quantity for key in keys],
        "point": [key.point for key in keys],
        "axis": [key.axis for key in keys],
        "mean_at": map(_time, history.mean_time_years.tolist()),
        "step_after": visited.on(history.step.after_years),
        "step_before": visited.on(history.step.before_years),
        "blunder_reading_id": [
            None if row < 0 else found.points[series.point[row]].reading_id
            for row in history.blunder.row.tolist()
        ],
        "model_version": repeat(MODEL_VERSION, size),
        "judged_at": now,
        **{name: column.astype(np.int64).tolist() for name, column in counts.items()},
        **{name: known(column) for name, column in numbers.items()},
    }
    return made(ElementHistory, columns)


class _Visited:
    """The day of the visit at which a series was read at a time."""

    def __init__(self, points: list[Point], series: _Series) -> None:
        self._points, self._series = points, series
        edges = np.arange(series.channels.size + 1)
        self._start = np.searchsorted(series.series, edges)

    def on(self, years: np.ndarray) -> list[dt.date | None]:
        """Return the day of each series; None where it has no such time."""
        found: list[dt.date | None] = [None] * years.size
        for row in np.flatnonzero(np.isfinite(years)):
            first, end = self._start[row], self._start[row + 1]
            at = np.flatnonzero(self._series.years[first:end] == years[row])
            if at.size:
                found[row] = self._points[self._series.point[first + at[-1]]].visited_on
        return found


def _time(years: float) -> dt.datetime | None:
    if not math.isfinite(years):
        return None
    return dt.datetime.fromtimestamp(years * DAYS_A_YEAR * DAY_S, dt.UTC)
