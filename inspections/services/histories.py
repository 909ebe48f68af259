"""What each channel's readings show over the years, as rows."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

import numpy as np

from inspections.models import AgencySettings, ElementHistory
from inspections.services.device_figures import ChannelKey
from inspections.services.judged import Judged, finite, rows_of
from inspections.services.points import DAY_S, Point, moments_of
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


@dataclass(frozen=True, slots=True, eq=False)
class _Series:
    """Readings of channels, one a moment: what was read in it is averaged.

    Attributes
    ----------
    channels : array (series,)
        Channel of each series.
    a_point : array (series,)
        Any point of each, for what all points of a channel share.
    series, point : array (readings,)
        Series of each reading, and its first point.
    value, u_value, temperature_c, u_temperature_k, years : array (readings,)
        Less what shortening calls for, so that a drift is one that is not explained.
    """

    channels: np.ndarray
    a_point: np.ndarray
    series: np.ndarray
    point: np.ndarray
    value: np.ndarray
    u_value: np.ndarray
    temperature_c: np.ndarray
    u_temperature_k: np.ndarray
    years: np.ndarray


def histories_of(found: Judged, agency: AgencySettings, now: dt.datetime) -> list[ElementHistory]:
    """Return the history of every channel of every device that a handed-in visit read.

    A replacement or a reset begins another device, and with it other channels; that of a
    device that has ended stays as it was.
    """
    rows = np.flatnonzero([point.handed_in for point in found.points])
    if not rows.size:
        return []
    series = _series(found, rows, agency)
    slope, u_slope = expected_slopes(found, series.channels)
    slope = np.where(np.abs(slope) * SWING_K < _u_reading(series), 0.0, slope)
    now_day = now.timestamp() / DAY_S
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
    return _rows(found, series, history, slope, travel, now)


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


def _series(found: Judged, rows: np.ndarray, agency: AgencySettings) -> _Series:
    channels, first, of_row = np.unique(
        found.of_point[rows], return_index=True, return_inverse=True
    )
    part, u_part, _ = found.shortening.part_of(found.sides)
    part, u_part = np.nan_to_num(part[rows]), np.nan_to_num(u_part[rows])
    # The rule is off by one factor for all readings: what counts is how far that factor
    # moves them apart, the rest is in their level.
    mean = np.bincount(of_row, u_part) / np.bincount(of_row)
    u_value = np.hypot(found.u_value[rows], u_part - mean[of_row])

    known = ~np.isnan(found.now_c[rows] + found.u_now_k[rows])
    kept, of_kept = rows[known], of_row[known]
    moment = moments_of(found.points, agency.temperature_window_h)[kept]
    pairs, point, group = np.unique(
        np.stack([of_kept, moment]), axis=1, return_index=True, return_inverse=True
    )
    group = group.ravel()
    count = np.bincount(group)

    def mean_of(values: np.ndarray) -> np.ndarray:
        return np.bincount(group, values) / count

    day = np.array([found.points[row].day for row in kept])
    return _Series(
        channels,
        rows[first],
        pairs[0],
        kept[point],
        mean_of((found.value[rows] - part)[known]),
        mean_of(u_value[known]),
        mean_of(found.now_c[kept]),
        mean_of(found.u_now_k[kept]),
        mean_of(day) / DAYS_A_YEAR,
    )


def _limits_now(found: Judged, series: _Series, agency: AgencySettings, now_day: float) -> Limits:
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
    now: dt.datetime,
) -> list[ElementHistory]:
    used = np.bincount(series.series[~history.left_out], minlength=series.channels.size)
    visited = _Visited(found.points, series)
    ends = {
        "ratio{}": history.ratio,
        "slope{}_per_c": history.slope,
        "level{}": history.level,
        "drift{}_per_year": history.drift_per_year,
        "limit_in_years{}": history.limit_in_years,
    }
    numbers = {
        "spread_k": history.spread_k,
        "spread_needed_k": history.spread_needed_k,
        "visits_needed": history.visits_needed,
        "expected_slope_per_c": slope,
        "mean_temperature_c": history.mean_temperature_c,
        "step_size": history.step.size.value,
        "step_low": history.step.size.lower,
        "step_high": history.step.size.upper,
        "blunder_size": history.blunder.size,
        "travel_mm_per_year": travel[0],
        "travelled_m": travel[1],
    }
    for name, interval in ends.items():
        numbers[name.format("")] = interval.value
        numbers[name.format("_low")] = interval.lower
        numbers[name.format("_high")] = interval.upper
    rows = []
    for row, channel in enumerate(series.channels):
        key: ChannelKey = found.keys[channel]
        blunder = int(history.blunder.row[row])
        rows.append(
            ElementHistory(
                element_id=found.installations[key.installation_id].element_id,
                installation_id=key.installation_id,
                quantity=key.quantity,
                point=key.point,
                axis=key.axis,
                response=int(history.response[row]),
                missing=int(history.missing[row]),
                findings=int(history.findings[row]),
                alternatives=int(history.alternatives[row]),
                visits=int(history.visits[row]),
                readings=int(used[row]),
                mean_at=_time(history.mean_time_years[row]),
                step_after=visited.on(row, history.step.after_years[row]),
                step_before=visited.on(row, history.step.before_years[row]),
                blunder_reading_id=(
                    None if blunder < 0 else found.points[series.point[blunder]].reading_id
                ),
                model_version=MODEL_VERSION,
                judged_at=now,
                **{name: finite(column[row]) for name, column in numbers.items()},
            )
        )
    return rows


class _Visited:
    """The day of the visit at which a series was read at a time."""

    def __init__(self, points: list[Point], series: _Series) -> None:
        self._days = {
            (int(of), float(years)): points[point].visited_on
            for of, years, point in zip(series.series, series.years, series.point, strict=True)
        }

    def on(self, series: int, years: float) -> dt.date | None:
        """Return the day; None where there is no such time."""
        return self._days.get((series, float(years)))


def _time(years: float) -> dt.datetime | None:
    if not np.isfinite(years):
        return None
    return dt.datetime.fromtimestamp(float(years) * DAYS_A_YEAR * DAY_S, dt.UTC)
