"""Histories of an invented element: 1.2 mm closed per degree, twice a year."""

import numpy as np

from movement.history.assess import read_histories
from movement.history.findings import Expected, HistoryThresholds
from movement.history.ragged import Readings
from movement.inputs import DesignExtremes, Limits

SLOPE = -1.2
U_READING_MM, U_TEMPERATURE_K = 1.5, 2.5


def histories(series, visits, seed, ratio=1.0, drift=0.0, step=0.0, at=None, blunder=0.0):
    """Return columns of readings, and the place of each blunder within its series."""
    rng = np.random.default_rng(seed)
    n = series * visits
    place = np.tile(np.arange(visits), series)
    time = place * 0.5 + rng.uniform(0, 0.2, n)
    true_c = np.where(place % 2 == 0, 24.0, 3.0) + rng.normal(0, 6, n)
    value = 60 + ratio * SLOPE * (true_c - 12) + drift * time + rng.normal(0, U_READING_MM, n)
    value += step * (place >= (visits // 2 if at is None else at))
    wrong = rng.integers(0, visits, series)
    value += blunder * (place == np.repeat(wrong, visits))
    measured_c = true_c + rng.normal(0, U_TEMPERATURE_K, n)
    return {
        "value": value,
        "u_value": np.full(n, U_READING_MM),
        "temperature_c": measured_c,
        "u_temperature_k": np.full(n, U_TEMPERATURE_K),
        "time_years": time,
        "series": np.repeat(np.arange(series), visits),
    }, wrong


def read(columns, series, slope=SLOPE, now=10.0, limits=(0.0, 120.0), thresholds=None, u_slope=0.0):
    """Return what the histories show."""
    return read_histories(
        Readings.of(**columns, series_count=series),
        Expected.of(np.full(series, slope), u_slope),
        Limits.of(*limits, 60.0),
        DesignExtremes.of(-25.0, 45.0),
        now,
        thresholds or HistoryThresholds(),
    )
