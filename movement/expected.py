"""Expected value of a reading and its band."""

from __future__ import annotations

from dataclasses import fields

import numpy as np

from movement.blockwise import over_sides
from movement.checks import Floats
from movement.errors import InputError
from movement.inputs import Measured, Setting, Sides
from movement.results import ExpectedLine, Prediction

PerSide = tuple[Floats, Floats, Floats, Floats, Floats]
"""The five numbers of :class:`movement.results.ExpectedLine` of each side, without the setting's
own uncertainty."""
BAND_K = 2.0
"""Coverage factor of the band shown: about 95 % (JCGM 100:2008, 6.3.3)."""


def expected_line(sides: Sides, setting: Setting) -> ExpectedLine:
    """Return the five numbers of each element, for one temperature of all its sides.

    Parameters
    ----------
    sides : Sides
        Levers, coefficients and shortening, (n, sides).
    setting : Setting
        Position and temperature at the setting, (n,).

    Returns
    -------
    ExpectedLine, arrays (n,)

    Notes
    -----
    y = y_s + sum_i lever_i (alpha_i (T - T_s) - eps_i), propagated to first order with
    independent inputs: JCGM 100:2008, 5.1.2.  The setting temperature is common to
    the sides, so its effect adds before it is squared.
    """
    return _line(_per_side(sides, setting), setting)


def predict(
    sides: Sides, setting: Setting, measured: Measured, temperature_correlation: float = 1.0
) -> Prediction:
    """Return the expected value of each reading and the uncertainty of its residual.

    Parameters
    ----------
    sides, setting, measured
        ``measured.temperature_c`` is (n,), or (n, sides) where the sides differ.
    temperature_correlation : float
        Between the errors of the sides' temperatures, -1 to 1.  1 (the default) for
        temperatures got in the same way; it is the wider band at a joint.

    Returns
    -------
    Prediction, arrays (n,)
        NaN wherever an input that it needs is NaN.

    Raises
    ------
    InputError
        If the correlation is not one, or the temperatures fit neither the readings nor
        the sides.

    Notes
    -----
    JCGM 100:2008, 5.2.2 for the correlated temperatures.
    """
    if not -1.0 <= temperature_correlation <= 1.0:
        raise InputError(
            "temperature_correlation",
            f"{temperature_correlation:g} is not between -1 and 1",
            "Take 1 for temperatures got in the same way, 0 for independent ones.",
        )
    sides = a_row_each(sides, measured)
    per_side = _per_side(sides, setting)
    line = _line(per_side, setting)
    temperature, u_temperature = np.broadcast_arrays(
        measured.temperature_c, measured.u_temperature_k
    )
    if temperature.ndim < sides.lever.ndim:
        expected = line.value(temperature)
        u = line.standard_uncertainty(temperature, u_temperature, measured.u_value)
        return Prediction(expected, u, line)

    if temperature.shape[-1] != sides.lever.shape[-1]:
        raise InputError(
            "temperature_c",
            f"has {temperature.shape[-1]} in a row where the element has"
            f" {sides.lever.shape[-1]} sides",
            "Give one temperature for each value, or a row of one for each side.",
        )
    a, b, c0, c1, c2 = per_side
    expected = setting.value + over_sides(a + b * temperature)
    by_side = b * u_temperature
    own = over_sides(by_side**2)
    variance = (
        over_sides(c0 + (c1 + c2 * temperature) * temperature)
        + _setting_variance(setting, line.b)
        + own
        + temperature_correlation * (over_sides(by_side) ** 2 - own)
        + measured.u_value**2
    )
    return Prediction(expected, np.sqrt(np.maximum(variance, 0.0)), line)


def common_temperature(sides: Sides, temperature_c: Floats) -> Floats:
    """Return the one temperature (n,) that stands for sides of unlike temperature.

    Each side counts by what it moves, so the expected value is the same wherever both
    close the gap as they lengthen; where nothing moves it is the plain mean.
    """
    if temperature_c.ndim < sides.lever.ndim:
        return np.asarray(temperature_c, dtype=np.float64)
    weight = np.abs(sides.lever * sides.expansion_per_c)
    total = over_sides(weight)
    weighted = over_sides(weight * temperature_c) / np.where(total > 0, total, 1.0)
    mean = over_sides(temperature_c) / temperature_c.shape[-1]
    return np.asarray(np.where(total > 0, weighted, mean), dtype=np.float64)


def a_row_each(sides: Sides, measured: Measured) -> Sides:
    """Return the sides with an axis for the readings, where one set serves them all.

    Only then does the number of axes tell a temperature for each reading, (n,), from one
    for each side, (n, sides).
    """
    missing = 1 + measured.value.ndim - sides.lever.ndim
    if missing <= 0:
        return sides
    return Sides(*(getattr(sides, each.name)[(np.newaxis,) * missing] for each in fields(sides)))


def _line(per_side: PerSide, setting: Setting) -> ExpectedLine:
    a, b, c0, c1, c2 = per_side
    slope = over_sides(b)
    return ExpectedLine(
        a=setting.value + over_sides(a),
        b=slope,
        c0=over_sides(c0) + _setting_variance(setting, slope),
        c1=over_sides(c1),
        c2=over_sides(c2),
    )


def _setting_variance(setting: Setting, slope: Floats) -> Floats:
    variance: Floats = setting.u_value**2 + (slope * setting.u_temperature_k) ** 2
    return variance


def _per_side(sides: Sides, setting: Setting) -> PerSide:
    t_s = np.asarray(setting.temperature_c)[..., np.newaxis]
    alpha, lever, eps = sides.expansion_per_c, sides.lever, sides.shortening
    at_zero = alpha * t_s + eps  # minus the strain at T = 0
    a = -lever * at_zero
    b = lever * alpha
    by_alpha = (lever * sides.u_expansion_per_c) ** 2  # times (T - T_s)^2
    by_lever = sides.u_lever**2  # times (alpha T - at_zero)^2
    c0 = by_alpha * t_s**2 + by_lever * at_zero**2 + (lever * sides.u_shortening) ** 2
    c1 = -2.0 * (by_alpha * t_s + by_lever * alpha * at_zero)
    c2 = by_alpha + by_lever * alpha**2
    return a, b, c0, c1, c2
