"""Weighted least squares where the temperature itself is uncertain."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from movement.checks import Floats
from movement.history.ragged import Flags

_ROUNDS = 60
_CLOSE = 1e-11
_DEPENDENT = 1e-10
"""Share of a column's square left by those before it, below which it tells nothing."""


@dataclass(frozen=True, slots=True, eq=False)
class Table:
    """Readings of many series of like length, a row each: arrays (m, n).

    ``use`` is False for padding and for readings left out.  Temperatures and times are
    counted from the mean of their row.
    """

    y: Floats
    temperature: Floats
    time: Floats
    variance_y: Floats
    variance_t: Floats
    use: Flags


@dataclass(frozen=True, slots=True, eq=False)
class Fit:
    """A fit of y = b T + columns, a row a series.

    Attributes
    ----------
    slope : array (m,)
        b; where the temperatures tell nothing, the slope that was given to start.
    told : array (m,) of bool
        Whether the temperatures tell a slope.
    chi_square : array (m,)
        Weighted sum of squares of the residuals.
    weight, residual : array (m, n)
        Reciprocal variances used, and residuals.
    basis : array (m, n, p + 1)
        Orthonormal basis of the columns and of the temperature nearest to its true
        value, each times the root of the weight.
    reliability : array (m,)
        Share of the spread of the measured temperatures that is not their error.
    parameters : array (m,)
        Parameters that were fitted.
    best_temperature : array (m, n)
        Temperatures moved to where the line makes them likeliest.
    """

    slope: Floats
    told: Flags
    chi_square: Floats
    weight: Floats
    residual: Floats
    basis: Floats
    reliability: Floats
    parameters: Floats
    best_temperature: Floats


def fit_table(table: Table, columns: Floats, start: Floats) -> Fit:
    """Fit slope and columns by least squares with errors in both quantities.

    Parameters
    ----------
    table : Table
        The readings.
    columns : array (m, n, p)
        Further columns of the line: 1, time, a step.
    start : array (m,)
        Slope to start from, and to keep where the temperatures tell none.

    Notes
    -----
    Minimises sum (y - b T - ...)^2 / (u_y^2 + b^2 u_T^2): the residual's own variance, so
    the slope is not pulled towards zero by the error of the temperature.  Source: York et
    al., Am. J. Phys. 72 (2004) 367, whose iteration this is, with further columns.
    """
    b = start.copy()
    weight, root, basis, t, y, told, kept = _project(table, columns, b)
    plain = _sum(weight * t * y) / np.where(told, _sum(weight * t * t), 1.0)
    b = np.where(told, plain, start)
    for _ in range(_ROUNDS):
        weight, root, basis, t, y, told, kept = _project(table, columns, b)
        rest = y - b[:, np.newaxis] * t
        lever = t + b[:, np.newaxis] * table.variance_t * weight * rest
        bottom = _sum(weight * lever * t)
        good = told & (bottom > 0.05 * _sum(weight * t * t))
        new = np.where(good, _sum(weight * lever * y) / np.where(good, bottom, 1.0), b)
        moved = np.abs(new - b) > _CLOSE * (np.abs(new) + np.abs(b))
        b = new
        if not moved.any():
            break
    weight, root, basis, t, y, told, kept = _project(table, columns, b)
    rest = y - b[:, np.newaxis] * t
    # The sum of weight, residual and best temperature is 0 at the fit; with the measured
    # one a step or a blunder would hide behind the slope that it has bent.
    shift = b[:, np.newaxis] * table.variance_t * weight * rest
    shift -= (basis * _sum(basis * (root * shift)[:, :, np.newaxis])[:, np.newaxis, :]).sum(2) / (
        np.where(root > 0, root, 1.0)
    )
    best = (t + shift) * (weight > 0)
    size = _sum(weight * best * best)
    last = root * best / np.sqrt(np.where(told & (size > 0), size, np.inf))[:, np.newaxis]
    spread = _sum(weight * t * t)
    error = _sum(weight * table.variance_t * (1.0 - (basis * basis).sum(axis=2)))
    return Fit(
        slope=b,
        told=told,
        chi_square=_sum(weight * rest * rest),
        weight=weight,
        residual=rest,
        basis=np.concatenate([basis, last[:, :, np.newaxis]], axis=2),
        reliability=1.0 - error / np.where(told & (spread > 0), spread, np.nan),
        parameters=kept + told,
        best_temperature=table.temperature + b[:, np.newaxis] * table.variance_t * weight * rest,
    )


def orthonormal(root: Floats, columns: Floats) -> tuple[Floats, Floats]:
    """Return an orthonormal basis of the weighted columns, and how many tell anything."""
    basis = np.zeros(columns.shape)
    kept = np.zeros(columns.shape[0])
    for j in range(columns.shape[2]):
        column = root * columns[:, :, j]
        before = _sum(column * column)
        for _ in range(2):  # once more, for what rounding left of the columns before
            for i in range(j):
                column = column - basis[:, :, i] * _sum(basis[:, :, i] * column)[:, np.newaxis]
        after = _sum(column * column)
        tells = after > _DEPENDENT * before
        basis[:, :, j] = column / np.sqrt(np.where(tells, after, np.inf))[:, np.newaxis]
        kept += tells
    return basis, kept


def _project(
    table: Table, columns: Floats, b: Floats
) -> tuple[Floats, Floats, Floats, Floats, Floats, Flags, Floats]:
    """Return weights at slope ``b``, and T and y with the columns taken out of both."""
    variance = table.variance_y + (b * b)[:, np.newaxis] * table.variance_t
    weight = np.where(table.use, 1.0 / variance, 0.0)
    root = np.sqrt(weight)
    basis, kept = orthonormal(root, columns)
    safe = np.where(root > 0, root, 1.0)

    def without(values: Floats) -> Floats:
        left = root * values
        for _ in range(2):
            for j in range(basis.shape[2]):
                left = left - basis[:, :, j] * _sum(basis[:, :, j] * left)[:, np.newaxis]
        return np.asarray(left / safe)

    t, y = without(table.temperature), without(table.y)
    told = _sum(weight * t * t) > _DEPENDENT * _sum(weight * table.temperature**2)
    return weight, root, basis, t, y, told, kept


def _sum(values: Floats) -> Floats:
    return np.asarray(values.sum(axis=1), dtype=np.float64)
