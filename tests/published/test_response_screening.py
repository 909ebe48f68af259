"""Response ratio of measured to expected movement, slope / (alpha L).

Fit by least squares, slope S_xy / S_xx against alpha L: GNSS study of bridge expansion (Kim,
2014 data, read).  Bands 0.7-1.3 normal, 0.3-0.7 sluggish, below 0.3 likely seized, below 0
check sign, above 1.3 check length or fixity: judgement, not published; nor is any cut-off for
a frozen bearing.  The ledger asks the whole interval of the ratio to lie beyond a bound, so
its word is never bolder than the bands.
"""

import numpy as np
import pytest

from movement.history.assess import read_histories
from movement.history.findings import Expected, HistoryThresholds, Missing, Response
from movement.history.lines import straight_lines
from movement.history.ragged import Readings
from movement.inputs import DesignExtremes, Limits
from movement.thermal_range import length_change

# Ten visits, half a year apart, and scatter of a few tenths of a millimetre that sums to nil
TEMPERATURE_C = np.array([2.0, 24.0, -1.0, 28.0, 6.0, 21.0, 0.0, 26.0, 4.0, 23.0])
SCATTER_MM = np.array([0.3, -0.2, -0.4, 0.2, 0.1, -0.3, 0.2, 0.3, -0.1, -0.1])


def history(ratio, temperature_c=TEMPERATURE_C, u_temperature_k=0.5, level_mm=0.0):
    """Return what 100 m of steel shows whose bearing follows by a ratio."""
    slope = float(length_change(11.7e-6, 100e3, 1.0))
    n = temperature_c.size
    readings = Readings.of(
        level_mm + ratio * slope * (temperature_c - 10.0) + SCATTER_MM[:n],
        np.full(n, 0.5),
        temperature_c,
        np.full(n, u_temperature_k),
        np.arange(n) * 0.5,
        np.zeros(n, dtype=int),
        1,
    )
    return read_histories(
        readings,
        Expected.of(slope, 0.02 * slope),
        Limits.of(-800.0, 800.0, 0.0),
        DesignExtremes.of(-30.0, 50.0),
        6.0,
        HistoryThresholds(),
    )


@pytest.mark.parametrize(
    ("ratio", "word"),
    [
        (1.0, Response.FREE),
        (0.8, Response.FREE),
        (1.2, Response.FREE),
        (0.5, Response.SLUGGISH),
        (0.1, Response.FROZEN),
        (0.0, Response.FROZEN),
        (-1.0, Response.WRONG_SIGN),
        (1.7, Response.MORE_THAN_FREE),
    ],
)
def test_word_on_a_ratio_that_is_well_known(ratio, word):
    found = history(ratio)
    assert float(found.ratio.value[0]) == pytest.approx(ratio, abs=0.05)
    assert found.response[0] == word


@pytest.mark.parametrize("ratio", [0.0, 0.5, 1.0])
def test_a_range_of_fifteen_degrees_is_wanted_before_a_word(ratio):
    # from memory: r below about 0.2 over at least 15 degC suggests frozen.  Over 3 degC, with
    # temperatures known to 2.5 K, nothing is said.
    narrow = 10.0 + (TEMPERATURE_C - TEMPERATURE_C.min()) / np.ptp(TEMPERATURE_C) * 3.0
    found = history(ratio, narrow, 2.5)
    assert found.response[0] == Response.NOT_ENOUGH_INFORMATION
    assert found.missing[0] & np.uint16(Missing.SPREAD_WITHIN_ITS_ERROR)


@pytest.mark.parametrize("visits", [1, 2])
def test_with_one_or_two_readings_nothing_is_said_of_the_slope(visits):
    # "with one reading only gross faults are detectable; with three or more compare the slope"
    found = history(0.0, TEMPERATURE_C[:visits])
    assert found.response[0] == Response.NOT_ENOUGH_INFORMATION
    assert found.missing[0] & np.uint16(Missing.TOO_FEW_VISITS)


def test_the_slope_needs_no_reference_gap():
    # where the gap at setting is not known, slopes alone are compared: any level gives the same
    found, raised = history(0.5), history(0.5, level_mm=400.0)
    assert float(raised.ratio.value[0]) == pytest.approx(float(found.ratio.value[0]), abs=1e-9)
    assert raised.response[0] == found.response[0] == Response.SLUGGISH


def test_slope_by_hand():
    # x 0, 10, 20, 30, mean 15, S_xx 500; y 0, 13, 22, 37, S_xy = -15 x 0 - 5 x 13 + 5 x 22 + 15 x
    # 37 = 600: 1.2 mm/degC, against alpha L = 1.17 mm/degC of 100 m of steel: 1.026
    lines = straight_lines([0.0, 10.0, 20.0, 30.0], [0.0, 13.0, 22.0, 37.0], np.array([4]))
    assert float(lines.slope[0]) == pytest.approx(1.2)
    expected = float(length_change(11.7e-6, 100e3, 1.0))
    assert float(lines.slope[0]) / expected == pytest.approx(1.026, abs=0.0005)
