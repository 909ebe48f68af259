"""Expected value and band against first-order propagation by another implementation.

The package ``uncertainties`` (E. O. Lebigot) propagates the equation of the movement model,
written out here term by term:  y_s + sum of lever (alpha (T - T_s) - eps).  The setting
temperature is one and the same for all sides.  Both are first order, so they agree to
rounding: 1e-9 of the band.
"""

import numpy as np
import pytest
from uncertainties import correlated_values_norm, ufloat

from movement.expected import BAND_K, expected_line, predict
from movement.inputs import Measured, Setting, Sides

RELATIVE = 1e-9

# Each side: lever, alpha, shortening and their standard uncertainties
BEARING = [(92_300.0, 11.7e-6, 0.0, 900.0, 0.6e-6, 0.0)]
CONCRETE_BEARING = [(-47_800.0, 10.4e-6, 2.1e-4, 450.0, 1.1e-6, 6e-5)]
ABUTMENT_JOINT = [(-61_500.0, 11.9e-6, 0.0, 700.0, 0.5e-6, 0.0), (0.0, 1e-5, 0.0, 0.0, 0.0, 0.0)]
PIER_JOINT = [
    (-61_500.0, 11.9e-6, 0.0, 700.0, 0.5e-6, 0.0),
    (-38_200.0, 9.8e-6, 1.8e-4, 300.0, 1.2e-6, 5e-5),
]
TILT_DEG = [(11_350.0, 11.7e-6, 0.0, 140.0, 0.4e-6, 0.0)]
OPPOSED = [
    (28_000.0, 12e-6, 0.0, 100.0, 1e-6, 0.0),
    (-33_000.0, 10e-6, 1e-4, 200.0, 1e-6, 4e-5),
]
ALL = {
    "steel bearing": BEARING,
    "concrete bearing": CONCRETE_BEARING,
    "abutment joint": ABUTMENT_JOINT,
    "pier joint": PIER_JOINT,
    "rocker tilt": TILT_DEG,
    "opposed sides": OPPOSED,
}
SETTING = (52.4, 14.2, 1.3, 1.9)  # value, temperature, their uncertainties
U_READING = 0.8


def uncertain(nominal, u):
    """Return a value with its standard uncertainty; one without any is a plain number."""
    return ufloat(nominal, u) if u else nominal


def propagated(rows, temperatures):
    """Return the residual's counterpart: expected value minus a reading of known spread."""
    y_s, t_s = ufloat(SETTING[0], SETTING[2]), ufloat(SETTING[1], SETTING[3])
    total = y_s
    for (lever, alpha, eps, u_lever, u_alpha, u_eps), t in zip(rows, temperatures, strict=True):
        strain = uncertain(alpha, u_alpha) * (t - t_s) - uncertain(eps, u_eps)
        total += uncertain(lever, u_lever) * strain
    return total + ufloat(0.0, U_READING)


def shared(nominal, u, count):
    """Return one temperature, with one error, for all sides."""
    return [uncertain(nominal, u)] * count


def correlated(nominal, u, correlation):
    """Return temperatures of the sides whose errors are correlated."""
    if correlation == 1.0:
        error = ufloat(0.0, 1.0)
        return [t + u_t * error for t, u_t in zip(nominal, u, strict=True)]
    matrix = np.where(np.eye(len(nominal)) > 0, 1.0, correlation)
    return correlated_values_norm(list(zip(nominal, u, strict=True)), matrix)


def model(rows):
    return Sides.of(*np.array(rows).T), Setting.of(*SETTING)


@pytest.mark.parametrize("rows", ALL.values(), ids=ALL.keys())
@pytest.mark.parametrize(("temperature_c", "u_k"), [(-21.5, 2.5), (14.2, 4.0), (38.0, 0.0)])
def test_one_temperature_for_all_sides(rows, temperature_c, u_k):
    sides, setting = model(rows)
    ours = predict(sides, setting, Measured.of(50.0, temperature_c, U_READING, u_k))
    theirs = propagated(rows, shared(temperature_c, u_k, len(rows)))
    assert float(ours.expected) == pytest.approx(theirs.nominal_value, rel=RELATIVE)
    assert float(ours.standard_uncertainty) == pytest.approx(theirs.std_dev, rel=RELATIVE)


@pytest.mark.parametrize("rows", ALL.values(), ids=ALL.keys())
def test_the_five_numbers_give_expected_value_and_band_at_any_temperature(rows):
    sides, setting = model(rows)
    line = expected_line(sides, setting)
    for temperature_c in np.linspace(-40.0, 60.0, 11):
        for u_k in (0.0, 0.5, 4.0):
            theirs = propagated(rows, shared(temperature_c, u_k, len(rows)))
            expected = float(line.value(temperature_c))
            half_band = BAND_K * float(line.standard_uncertainty(temperature_c, u_k, U_READING))
            assert expected == pytest.approx(theirs.nominal_value, rel=RELATIVE)
            assert half_band == pytest.approx(2.0 * theirs.std_dev, rel=RELATIVE)


@pytest.mark.parametrize("rows", [ABUTMENT_JOINT, PIER_JOINT, OPPOSED])
@pytest.mark.parametrize("correlation", [1.0, 0.5, 0.0, -0.6])
@pytest.mark.parametrize(
    ("temperature_c", "u_k"), [([-12.0, -7.5], [2.0, 2.5]), ([33.0, 26.0], [1.5, 4.0])]
)
def test_each_side_with_its_own_temperature(rows, correlation, temperature_c, u_k):
    sides, setting = model(rows)
    measured = Measured.of(50.0, temperature_c, U_READING, u_k)
    ours = predict(sides, setting, measured, temperature_correlation=correlation)
    theirs = propagated(rows, correlated(temperature_c, u_k, correlation))
    assert float(ours.expected) == pytest.approx(theirs.nominal_value, rel=RELATIVE)
    assert float(ours.standard_uncertainty) == pytest.approx(theirs.std_dev, rel=RELATIVE)
