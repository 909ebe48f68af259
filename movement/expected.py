"""Expected value of a reading and its band."""

from __future__ import annotations

from dataclasses import fields
from functools import reduce

import numpy as np

from movement.blockwise import over_sides
from movement.checks import Floats
from movement.errors import InputError
from movement.inputs import Measured, Setting, Sides
from movement.results import ExpectedLine, Prediction

OneSide = tuple[Floats, Floats, Floats, Floats, Floats]
"""The five numbers of :class:`movement.results.ExpectedLine` of one side, (n,), without the
setting's own uncertainty."""
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
    return _line(_each_side(sides, setting), setting)[0]


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
    return predict_with_thermal(sides, setting, measured, temperature_correlation)[0]


def predict_with_thermal(
    sides: Sides, setting: Setting, measured: Measured, temperature_correlation: float = 1.0
) -> tuple[Prediction, Floats]:
    """Return what :func:`predict` does, and what the temperatures alone add to the reading.

    The latter is counted from 0 degC, (n,): what is left of a reading without it is carried
    to other temperatures.
    """
    if not -1.0 <= temperature_correlation <= 1.0:
        raise InputError(
            "temperature_correlation",
            f"{temperature_correlation:g} is not between -1 and 1",
            "Take 1 for temperatures got in the same way, 0 for independent ones.",
        )
    sides = a_row_each(sides, measured)
    each_side = _each_side(sides, setting)
    line, setting_variance = _line(each_side, setting)
    temperature, u_temperature = np.broadcast_arrays(
        measured.temperature_c, measured.u_temperature_k
    )
    if temperature.ndim < sides.lever.ndim:
        expected = line.value(temperature)
        u = line.standard_uncertainty(temperature, u_temperature, measured.u_value)
        thermal = reduce(np.add, (b * temperature for _, b, *_ in each_side))
        return Prediction(expected, u, line), thermal

    if temperature.shape[-1] != sides.lever.shape[-1]:
        raise InputError(
            "temperature_c",
            f"has {temperature.shape[-1]} in a row where the element has"
            f" {sides.lever.shape[-1]} sides",
            "Give one temperature for each value, or a row of one for each side.",
        )
    by_side = []
    for number, (a, b, c0, c1, c2) in enumerate(each_side):
        t, of_error = temperature[..., number], b * u_temperature[..., number]
        moved = b * t
        by_side.append((a + moved, moved, c0 + (c1 + c2 * t) * t, of_error, of_error**2))
    moves, thermal, variance, of_errors, own = (
        reduce(np.add, column) for column in zip(*by_side, strict=True)
    )
    variance = variance + setting_variance + own
    variance += temperature_correlation * (of_errors**2 - own)
    variance = variance + measured.u_value**2
    return Prediction(setting.value + moves, np.sqrt(np.maximum(variance, 0.0)), line), thermal


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


def _line(each_side: list[OneSide], setting: Setting) -> tuple[ExpectedLine, Floats]:
    """Return the five numbers, and the variance that the setting adds to each."""
    a, b, c0, c1, c2 = (reduce(np.add, column) for column in zip(*each_side, strict=True))
    of_setting: Floats = setting.u_value**2 + (b * setting.u_temperature_k) ** 2
    return ExpectedLine(a=setting.value + a, b=b, c0=c0 + of_setting, c1=c1, c2=c2), of_setting


def _each_side(sides: Sides, setting: Setting) -> list[OneSide]:
    """Return the numbers side by side: NumPy is slow over an axis of one or two."""
    columns = [getattr(sides, each.name) for each in fields(sides)]
    return [
        _one_side(setting.temperature_c, *(column[..., number] for column in columns))
        for number in range(sides.lever.shape[-1])
    ]


def _one_side(
    t_s: Floats,
    lever: Floats,
    alpha: Floats,
    shortening: Floats,
    u_lever: Floats,
    u_alpha: Floats,
    u_shortening: Floats,
) -> OneSide:
    at_zero = alpha * t_s + shortening  # minus the strain at T = 0
    a = -lever * at_zero
    b = lever * alpha
    by_alpha = (lever * u_alpha) ** 2  # times (T - T_s)^2
    by_lever = u_lever**2  # times (alpha T - at_zero)^2
    c0 = by_alpha * t_s**2 + by_lever * at_zero**2 + (lever * u_shortening) ** 2
    c1 = -2.0 * (by_alpha * t_s + by_lever * alpha * at_zero)
    c2 = by_alpha + by_lever * alpha**2
    return a, b, c0, c1, c2
