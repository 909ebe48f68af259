"""Fits of many series against independent implementations of one."""

import numpy as np
import pytest
import statsmodels.api as sm
from scipy import stats

from movement.errors import InputError
from movement.history.lines import straight_lines
from movement.history.robust import robust_lines
from movement.history.student import quantile, two_sided_p


@pytest.fixture
def ragged():
    rng = np.random.default_rng(11)
    counts = rng.integers(3, 30, 60)
    x = rng.normal(15, 8, counts.sum()) + 1e4  # a large offset: one-pass sums would lose it
    y = 50 - 1.2 * x + rng.normal(0, 2, x.size)
    return x, y, counts


def each(counts):
    ends = np.cumsum(counts)
    return [slice(end - count, end) for end, count in zip(ends, counts, strict=True)]


def test_lines_equal_those_of_scipy(ragged):
    x, y, counts = ragged
    lines = straight_lines(x, y, counts)
    for row, part in enumerate(each(counts)):
        one = stats.linregress(x[part], y[part])
        np.testing.assert_allclose(
            [lines.slope[row], lines.u_slope[row], lines.intercept[row], lines.u_intercept[row]],
            [one.slope, one.stderr, one.intercept, one.intercept_stderr],
            rtol=1e-9,
        )


def test_weighted_lines_and_intervals_equal_those_of_statsmodels(ragged):
    x, y, counts = ragged
    x = x - 1e4
    weight = np.random.default_rng(2).uniform(0.2, 5, x.size)
    lines = straight_lines(x, y, counts, weight)
    for row, part in enumerate(each(counts)):
        one = sm.WLS(y[part], sm.add_constant(x[part]), weights=weight[part]).fit()
        np.testing.assert_allclose(
            [
                [lines.intercept_lower[row], lines.intercept_upper[row]],
                [lines.slope_lower[row], lines.slope_upper[row]],
            ],
            one.conf_int(0.05),
            rtol=1e-8,
        )


def test_a_line_with_one_bad_reading_is_near_the_robust_one_of_statsmodels(ragged):
    x, y, counts = ragged
    x = x - 1e4
    bad = np.cumsum(counts) - 1
    y[bad] += 60.0
    lines = robust_lines(x, y, counts)
    for row, part in enumerate(each(counts)):
        if counts[row] < 10:
            continue
        one = sm.RLM(y[part], sm.add_constant(x[part]), M=sm.robust.norms.TukeyBiweight()).fit()
        assert abs(lines.slope[row] - one.params[1]) < 2.5 * one.bse[1]
        assert lines.weight[part.stop - 1] == 0.0


def test_the_robust_line_errs_no_more_than_the_median_of_slopes():
    rng = np.random.default_rng(5)
    counts = np.full(300, 12)
    x = rng.normal(0, 8, counts.sum())
    y = -1.2 * x + rng.normal(0, 2, x.size) + (rng.random(x.size) < 0.1) * 40.0
    ours = robust_lines(x, y, counts).slope + 1.2
    theirs = np.array([stats.theilslopes(y[p], x[p])[0] for p in each(counts)]) + 1.2
    assert np.sqrt(np.mean(ours**2)) <= np.sqrt(np.mean(theirs**2))


def test_long_series_equal_values_and_exact_lines_are_answered():
    x = np.concatenate([np.arange(100.0), [1.0, 1.0], [3.0], [1.0, 1.0, 2.0]])
    counts = np.array([100, 2, 1, 3])
    lines = robust_lines(x, 2 + 3 * x, counts)
    np.testing.assert_allclose(lines.slope, [3.0, np.nan, np.nan, 3.0])
    plain = straight_lines(x, 2 + 3 * x, counts)
    np.testing.assert_allclose(plain.slope, [3.0, np.nan, np.nan, 3.0])
    assert np.isnan(straight_lines([0.0, 1.0], [0.0, 1.0], np.array([2])).u_slope[0])


@pytest.mark.parametrize("fit", [straight_lines, robust_lines])
def test_arrays_that_do_not_pair_are_refused(fit):
    with pytest.raises(InputError, match="does not pair"):
        fit([1.0, 2.0], [1.0, 2.0], np.array([3]))


def test_student_t_equals_that_of_scipy():
    t = np.array([0.0, 0.1, 1.0, 2.0, 3.3, 3.9, 5.0, 40.0])
    dof = np.array([0.5, 1.0, 7.5, 30.0, 1e3])[:, np.newaxis]
    np.testing.assert_allclose(two_sided_p(t, dof), 2 * stats.t.sf(t, dof), rtol=1e-8)
    np.testing.assert_allclose(quantile(0.95, dof), stats.t.ppf(0.975, dof), rtol=1e-8)
    np.testing.assert_allclose(quantile(0.95, np.inf), stats.norm.ppf(0.975), rtol=1e-6)
    assert np.isnan(two_sided_p(np.nan, 3.0))
    assert np.isnan(quantile(0.95, 0.0))
