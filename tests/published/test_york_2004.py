"""D. York et al., Am. J. Phys. 72 (2004) 367: a line through data with errors in both axes.

Pearson's data of 1901 with York's weights: slope -0.480533 +- 0.0580, intercept 5.479911 +-
0.295; from memory, high confidence: the benchmark of every such fit since.
"""

import numpy as np
import pytest

from movement.history.errors_in_temperature import Table, fit_table

X = np.array([0.0, 0.9, 1.8, 2.6, 3.3, 4.4, 5.2, 6.1, 6.5, 7.4])
Y = np.array([5.9, 5.4, 4.4, 4.6, 3.5, 3.7, 2.8, 2.8, 2.4, 1.5])
WEIGHT_X = np.array([1000.0, 1000.0, 500.0, 800.0, 200.0, 80.0, 60.0, 20.0, 1.8, 1.0])
WEIGHT_Y = np.array([1.0, 1.8, 4.0, 8.0, 20.0, 20.0, 70.0, 70.0, 100.0, 500.0])


def fitted(x, start):
    one = np.newaxis
    table = Table(
        Y[:, one],
        x[:, one],
        np.zeros((x.size, 1)),
        1.0 / WEIGHT_Y[:, one],
        1.0 / WEIGHT_X[:, one],
        np.ones((x.size, 1), dtype=bool),
    )
    return fit_table(table, (), np.array([start]))


@pytest.mark.parametrize("start", [-0.5, -0.1, 0.3])
def test_pearsons_data_with_yorks_weights(start):
    found = fitted(X - X.mean(), start)
    assert float(found.slope[0]) == pytest.approx(-0.480533, abs=1e-6)
    weight = found.weight[:, 0]
    mean_x, mean_y = np.average(X, weights=weight), np.average(Y, weights=weight)
    assert mean_y - float(found.slope[0]) * mean_x == pytest.approx(5.479911, abs=1e-5)
    # S / (n - 2) = 1.4833
    assert float(found.chi_square[0]) / 8.0 == pytest.approx(1.4833, abs=1e-4)


def test_standard_error_of_the_slope():
    # 1 / sum W u^2 about the weighted mean of the best x (York's equation 13d): 0.0580
    found = fitted(X - X.mean(), -0.5)
    weight, best = found.weight[:, 0], found.best_temperature[:, 0]
    about = best - np.average(best, weights=weight)
    u_slope = 1.0 / np.sqrt((weight * about**2).sum())
    assert u_slope == pytest.approx(0.0580, abs=5e-4)
