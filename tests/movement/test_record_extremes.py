"""Extremes of a return period from a station's own years."""

import numpy as np
import pytest
from scipy.stats import gumbel_l, gumbel_r
from scipy.stats import t as student

from movement.errors import InputError
from movement.record_extremes import FEWEST_YEARS, return_level


def maxima(stations, years, seed=1):
    """Return yearly maxima of invented stations: location 33 degC, scale 1.6 K."""
    values = gumbel_r.rvs(33.0, 1.6, size=(stations, years), random_state=seed)
    return values.ravel(), np.repeat(np.arange(stations), years)


def test_a_long_record_gives_back_the_distribution_it_came_from():
    values, station = maxima(1, 20_000)
    found = return_level(values, station, 50.0)
    assert float(found.level_c[0]) == pytest.approx(gumbel_r.isf(0.02, 33.0, 1.6), abs=0.15)


def test_it_agrees_with_maximum_likelihood_within_its_own_uncertainty():
    values, station = maxima(20, 60)
    found = return_level(values, station, 50.0)
    likely = np.array(
        [gumbel_r.isf(0.02, *gumbel_r.fit(values[station == each])) for each in range(20)]
    )
    off = (likely - found.level_c) / found.u_level_k
    assert np.sqrt((off**2).mean()) < 0.6  # the two estimators see the same years
    assert np.abs(off).max() < 1.5


def test_minima_are_a_mirror_of_maxima():
    values, station = maxima(3, 30)
    warm, cold = return_level(values, station, 50.0), return_level(-values, station, 50.0, True)
    assert cold.level_c == pytest.approx(-warm.level_c)
    assert cold.low_c == pytest.approx(-warm.high_c)
    assert (cold.low_c < cold.level_c).all()
    sample = gumbel_l.rvs(-15.0, 3.0, size=20_000, random_state=2)
    long = return_level(sample, np.zeros(sample.size, dtype=int), 50.0, True)
    assert float(long.level_c[0]) == pytest.approx(gumbel_l.ppf(0.02, -15.0, 3.0), abs=0.3)


@pytest.mark.parametrize("years", [10, 20, 50])
@pytest.mark.parametrize("period", [5.0, 50.0])
def test_intervals_hold_the_truth_nineteen_times_in_twenty(years, period):
    values, station = maxima(8000, years, seed=years)
    found = return_level(values, station, period)
    truth = gumbel_r.isf(1.0 / period, 33.0, 1.6)
    held = ((found.low_c < truth) & (truth < found.high_c)).mean()
    assert 0.93 < held < 0.97
    assert np.std(found.level_c) == pytest.approx(np.sqrt((found.u_level_k**2).mean()), rel=0.06)


def test_too_few_years_say_how_many_are_missing():
    values, station = maxima(2, FEWEST_YEARS)
    values[3:7] = np.nan
    found = return_level(values, station, 50.0)
    assert found.years_needed.tolist() == [4, 0]
    assert np.isnan([found.level_c[0], found.low_c[0], found.u_level_k[0]]).all()
    assert np.isfinite(found.level_c[1])


def test_a_period_far_beyond_the_record_is_marked():
    values, station = maxima(1, 12)
    assert return_level(values, station, 120.0).far_out.tolist() == [True]
    assert return_level(values, station, 50.0).far_out.tolist() == [False]


def test_order_does_not_matter():
    values, station = maxima(4, 25)
    mixed = np.random.default_rng(3).permutation(values.size)
    found = return_level(values[mixed], station[mixed], 120.0)
    assert found.level_c == pytest.approx(return_level(values, station, 120.0).level_c)


def test_the_factor_of_the_interval_is_that_of_student():
    values, station = maxima(1, 10)
    found = return_level(values, station, 50.0)
    factor = float((found.high_c - found.level_c)[0] / found.u_level_k[0])
    assert factor == pytest.approx(student.ppf(0.975, 9), rel=1e-3)


@pytest.mark.parametrize(
    ("values", "station", "period", "field"),
    [
        ([1.0, 2.0], [0], 50.0, "station"),
        ([1.0, 2.0], [0, -1], 50.0, "station"),
        ([1.0, 2.0], [0.0, 1.0], 50.0, "station"),
        ([1.0, np.inf], [0, 0], 50.0, "yearly_c"),
        ([1.0, 2.0], [0, 0], 1.0, "return_period_years"),
    ],
)
def test_what_makes_no_sense_is_refused(values, station, period, field):
    with pytest.raises(InputError) as refused:
        return_level(values, station, period)
    assert refused.value.field == field
