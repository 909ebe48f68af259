"""Weighted least squares where the temperature itself is uncertain."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from movement.checks import Floats
from movement.history.least_slopes import least_slopes
from movement.history.orthogonal import DEPENDENT, Columns, dot, orthonormal, without
from movement.history.ragged import Flags


@dataclass(frozen=True, slots=True, eq=False)
class Table:
    """Readings of many series of like length, a column a series: arrays (n, m).

    ``use`` is False for padding and for readings left out.  Temperatures and times are
    counted from the mean of their series.
    """

    y: Floats
    temperature: Floats
    time: Floats
    variance_y: Floats
    variance_t: Floats
    use: Flags

    def of(self, series: NDArray[np.int64]) -> Table:
        """Return the table of some of the series, in their order."""
        if series.size == self.y.shape[1]:
            return self
        return Table(*(getattr(self, each.name).take(series, axis=1) for each in fields(self)))


@dataclass(frozen=True, slots=True, eq=False)
class Fit:
    """A fit of y = b T + a + columns, a column a series.

    Attributes
    ----------
    slope : array (m,)
        b; where the temperatures tell nothing, the slope that was given to start.
    told : array (m,) of bool
        Whether the temperatures tell a slope.
    chi_square : array (m,)
        Weighted sum of squares of the residuals.
    weight, root : array (n, m)
        Reciprocal variances used, 0 where a reading is not, and their roots.
    residual : array (n, m)
        Residuals, each times the root of its weight.
    basis : p + 2 arrays (n, m)
        Orthonormal basis of 1, the columns and the temperature nearest to its true value,
        each times the root of the weight; 0 where one tells nothing.
    reliability : array (m,)
        Share of the spread of the measured temperatures that is not their error.
    parameters : array (m,)
        Parameters that were fitted.
    best_temperature : array (n, m)
        Temperatures moved to where the line makes them likeliest.
    """

    slope: Floats
    told: Flags
    chi_square: Floats
    weight: Floats
    root: Floats
    residual: Floats
    basis: Columns
    reliability: Floats
    parameters: Floats
    best_temperature: Floats


def fit_table(table: Table, columns: Columns, start: Floats) -> Fit:
    """Fit slope, level and columns by least squares with errors in both quantities.

    Parameters
    ----------
    table : Table
        The readings.
    columns : p arrays (n, m)
        Columns of the line besides 1: time, a step.
    start : array (m,)
        Slope to start from, and to keep where the temperatures tell none.

    Notes
    -----
    Minimises sum (y - b T - ...)^2 / (u_y^2 + b^2 u_T^2): the residual's own variance, so
    the slope is not pulled towards zero by the error of the temperature.  Source: York et
    al., Am. J. Phys. 72 (2004) 367, whose iteration this is, with further columns.
    """
    used = table.use.astype(np.float64)
    errors = table.variance_y, table.variance_t
    b = least_slopes(table.y, table.temperature, *errors, used, columns, start)
    weight = used / (table.variance_y + b * b * table.variance_t)
    root = np.sqrt(weight)
    basis, tells = orthonormal(root, columns)
    whole_t = root * table.temperature
    t, y = without(basis, whole_t), without(basis, root * table.y)
    spread = dot(t, t)
    told = spread > DEPENDENT * dot(whole_t, whole_t)
    y -= b * t
    shift = table.variance_t * root
    error = dot(shift, root)
    for each in basis:
        error -= dot(shift * each, root * each)
    shift *= y
    shift *= b
    best_temperature = table.temperature + shift
    # The sum of weight, residual and best temperature is 0 at the fit; with the measured
    # one a step or a blunder would hide behind the slope that it has bent.
    shift *= root
    last = t + without(basis, shift)
    size = dot(last, last)
    some = told & (size > 0)
    last *= some / np.sqrt(np.where(some, size, 1.0))
    return Fit(
        slope=b,
        told=told,
        chi_square=dot(y, y),
        weight=weight,
        root=root,
        residual=y,
        basis=(*basis, last),
        reliability=1.0 - error / np.where(told & (spread > 0), spread, np.nan),
        parameters=np.sum([*tells, told], axis=0, dtype=np.float64),
        best_temperature=best_temperature,
    )
