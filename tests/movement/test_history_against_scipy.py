"""Response and drift of histories against independent fits of the same model.

Without errors of the temperature: weighted least squares of statsmodels.  With them: SciPy's
general minimiser of the sum that the fit is said to minimise, in all unknowns at once.
"""

import numpy as np
import pytest
import statsmodels.api as sm
from scipy.optimize import minimize

from movement.history.findings import Finding
from tests.movement.invented_histories import histories, read

SERIES, VISITS = 40, 12


def each_series(columns):
    for k in range(SERIES):
        rows = columns["series"] == k
        yield k, {name: values[rows] for name, values in columns.items()}


def plain(found):
    """Tell of which series nothing but response and drift was fitted."""
    return found.findings & np.uint16(Finding.STEP | Finding.BLUNDER) == 0


def test_with_sure_temperatures_it_is_weighted_least_squares_of_statsmodels():
    columns, _ = histories(SERIES, VISITS, seed=21, ratio=0.8, drift=1.0)
    columns["u_temperature_k"] = np.zeros(SERIES * VISITS)
    columns["u_value"] = np.random.default_rng(4).uniform(1.0, 4.0, SERIES * VISITS)
    found = read(columns, SERIES)
    good = plain(found)
    assert good.sum() > SERIES / 2
    for k, part in each_series(columns):
        if not good[k]:
            continue
        design = sm.add_constant(np.column_stack([part["temperature_c"], part["time_years"]]))
        one = sm.WLS(part["value"], design, weights=part["u_value"] ** -2.0).fit()
        ours = found.slope.value[k], found.drift_per_year.value[k]
        assert ours == pytest.approx(one.params[1:], rel=1e-8, abs=1e-10)
        at_mean = (
            one.params[0]
            + one.params[1] * found.mean_temperature_c[k]
            + one.params[2] * found.mean_time_years[k]
        )
        assert float(found.level.value[k]) == pytest.approx(at_mean, rel=1e-8)


def test_with_unsure_temperatures_it_is_the_least_sum_that_scipy_finds():
    columns, _ = histories(SERIES, VISITS, seed=22, ratio=0.7, drift=-0.8)
    found = read(columns, SERIES)
    good = plain(found)
    assert good.sum() > SERIES / 2
    for k, part in each_series(columns):
        if not good[k]:
            continue
        t = part["temperature_c"] - found.mean_temperature_c[k]
        time = part["time_years"] - found.mean_time_years[k]

        def misfit(unknown, part=part, t=t, time=time):
            level, slope, drift = unknown
            rest = part["value"] - level - slope * t - drift * time
            return (rest**2 / (part["u_value"] ** 2 + (slope * part["u_temperature_k"]) ** 2)).sum()

        ours = np.array([found.level.value[k], found.slope.value[k], found.drift_per_year.value[k]])
        one = minimize(
            misfit,
            [60.0, -1.0, 0.0],
            method="Nelder-Mead",
            options={"xatol": 1e-10, "fatol": 1e-12, "maxiter": 20_000, "maxfev": 20_000},
        )
        np.testing.assert_allclose(ours, one.x, rtol=1e-5, atol=1e-5)
