"""EN 1991-1-5:2003, Annex A.2: return periods from the statistics of yearly extremes.

The u and c form, from memory (medium); held against SciPy's Gumbel distribution and against
the annex's own constants k1 to k4 (read), which follow from it.
"""

import numpy as np
import pytest
from scipy.stats import gumbel_l, gumbel_r

from movement.errors import InputError
from movement.standards.en_1991_1_5_2003 import shade_air_for_return_period
from movement.standards.en_1991_1_5_2003_yearly_extremes import shade_air_from_statistics

YEARS = np.array([20.0, 50.0, 100.0, 120.0])


def test_fifty_year_extremes_by_hand():
    # maxima m 31, s 2: c 0.64125, u 30.0998, 3.90194 / c = 6.0849; minima m -12, s 3: c 0.4275
    assert float(shade_air_from_statistics(31.0, 2.0, 50.0)) == pytest.approx(36.185, abs=0.001)
    lowest = shade_air_from_statistics(-12.0, 3.0, 50.0, of_minima=True)
    assert float(lowest) == pytest.approx(-19.777, abs=0.001)


def test_it_is_the_gumbel_distribution_of_scipy_by_its_mean_and_deviation():
    maxima, minima = gumbel_r(30.0, 1.7), gumbel_l(-9.0, 2.4)
    found = shade_air_from_statistics(maxima.mean(), maxima.std(), YEARS)
    np.testing.assert_allclose(found, maxima.ppf(1.0 - 1.0 / YEARS), atol=1e-3)
    lowest = shade_air_from_statistics(minima.mean(), minima.std(), YEARS, of_minima=True)
    np.testing.assert_allclose(lowest, minima.ppf(1.0 / YEARS), atol=1e-3)


def test_the_constants_of_the_annex_are_its_shape_for_one_climate():
    # k1 0.781, k2 0.056 belong to u c = 13.92, k3 0.393, k4 -0.156 to u c = -2.51: with c 0.5 and
    # 0.3, m 28.984, s 2.565 and m -10.284, s 4.275, by hand.  k to three digits: within 0.3 %.
    hottest = shade_air_from_statistics(28.984, 2.565, YEARS)
    coldest = shade_air_from_statistics(-10.284, 4.275, YEARS, of_minima=True)
    low, high = shade_air_for_return_period(coldest[1], hottest[1], YEARS)
    np.testing.assert_allclose(hottest, high, rtol=3e-3)
    np.testing.assert_allclose(coldest, low, rtol=3e-3)


def test_minima_above_freezing_have_an_answer_here():
    # where the constants multiply, and mean nothing (refused: see test_en_1991_1_5_2003)
    found = shade_air_from_statistics(3.0, 2.0, 50.0, of_minima=True)
    assert float(found) == pytest.approx(3.0 - 5.185, abs=0.001)


@pytest.mark.parametrize(("deviation", "years"), [(0.0, 50.0), (2.0, 1.0)])
def test_no_spread_and_no_period_are_refused(deviation, years):
    with pytest.raises(InputError):
        shade_air_from_statistics(30.0, deviation, years)
