"""The weather records among the test data."""

from pathlib import Path

import numpy as np

DATA = Path(__file__).parent / "data"


def _table(name):
    return np.genfromtxt(DATA / name, delimiter=",", names=True)


def typical_year():
    """Return hourly air [degC] and sun [W/m2] of a typical year, sewn from several."""
    table = _table("weather_typical_year.csv")
    return table["air_c"], table["sun_w_per_m2"]


def year_2017():
    """Return hourly air [degC], sun [W/m2] and wind [m/s] of one real year."""
    table = _table("weather_2017.csv")
    return table["air_c"], table["sun_w_per_m2"], table["wind_m_per_s"]


def air_2013():
    """Return hours since the first record and air [degC] of one station, with holes."""
    table = _table("weather_air_2013.csv")
    return table["hour"], (table["air_f"] - 32.0) / 1.8
