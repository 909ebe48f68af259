"""Parameters of the last fit of each history, with their covariances."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from movement.checks import Floats
from movement.history.errors_in_temperature import Fit, Table
from movement.history.findings import HistoryThresholds
from movement.history.orthogonal import Columns, dot, orthonormal, without
from movement.history.ragged import Flags

COLUMNS = (
    "slope",
    "u_slope",
    "level",
    "level_u",
    "drift",
    "u_drift",
    "step",
    "u_step",
    "cov_level_slope",
    "cov_level_drift",
    "cov_slope_drift",
    "dof",
    "reliability",
    "mean_t",
    "mean_time",
    "visits",
    "spread",
    "spread_s",
    "sigma",
    "drift_p",
    "step_p",
    "step_after",
    "step_before",
    "blunder_row",
    "blunder_size",
    "blunder_p",
    "findings",
    "alternatives",
    "time_told",
)
"""Numbers kept of each series while its history is read."""


def write_parameters(
    table: Table,
    fit: Fit,
    columns: Columns,
    stated: Flags,
    s: NDArray[np.int64],
    told: dict[str, Floats],
    thresholds: HistoryThresholds,
    mean_value: Floats,
) -> tuple[Floats, ...]:
    """Keep parameters and covariances of series ``s``.

    ``columns`` are time and, where there is one, the step.  Returns level, drift and step
    as fitted, arrays (m,), 0 where one is not told.
    """
    inverse = _inverse_triangle(fit, columns)
    size = len(inverse)
    tells = [inverse[j][j] != 0 for j in range(size)]
    prior = np.where(stated, thresholds.stated_dof, 0.0)
    dof = table.use.sum(axis=0) - sum(each.astype(np.float64) for each in tells) + prior
    s2 = (fit.chi_square + prior) / np.where(dof > 0, dof, np.nan)
    # The slope is known; the other columns are fitted to what it leaves.
    rest = fit.root * (table.y - fit.slope * table.temperature)
    seen = [dot(each, rest) for each in fit.basis[:-1]]
    others = [
        np.asarray(sum(inverse[j][k] * seen[k] for k in range(j, size - 1)))
        for j in range(size - 1)
    ]

    def covariance(i: int, j: int) -> Floats:
        both = range(max(i, j), size)
        return np.asarray(s2 * sum(inverse[i][k] * inverse[j][k] for k in both))

    def sd(j: int) -> Floats:
        return np.where(tells[j], np.sqrt(covariance(j, j)), np.nan)

    level, slope, drift, step = 0, size - 1, 1, 2
    told["level"][s] = mean_value + others[level]
    told["slope"][s] = np.where(tells[slope], fit.slope, np.nan)
    told["drift"][s] = np.where(tells[drift], others[drift], np.nan)
    told["level_u"][s], told["u_slope"][s], told["u_drift"][s] = sd(level), sd(slope), sd(drift)
    if step < slope:
        told["step"][s] = np.where(tells[step], others[step], np.nan)
        told["u_step"][s] = sd(step)
    told["cov_level_slope"][s] = covariance(level, slope)
    told["cov_level_drift"][s] = covariance(level, drift)
    told["cov_slope_drift"][s] = covariance(slope, drift)
    told["dof"][s] = dof
    told["reliability"][s] = fit.reliability
    told["time_told"][s] = tells[drift]
    told["sigma"][s] = np.sqrt(s2)
    # What is left of the spread of temperature by the other columns, unweighted.
    equal = table.use.astype(np.float64)
    left = without(orthonormal(equal, columns)[0], equal * table.temperature)
    told["spread_s"][s] = dot(left, left)
    return (*others, np.zeros(s.size))[:3]


def _inverse_triangle(fit: Fit, columns: Columns) -> list[list[Floats]]:
    """Return the inverse of the triangle that makes the basis into the columns.

    Rows and columns: 1, the columns, the best temperature.  Its products with its own
    transpose are the covariances; 0 throughout where one tells nothing.
    """
    weighted = [fit.root, *(fit.root * each for each in (*columns, fit.best_temperature))]
    size = len(weighted)
    none = np.zeros_like(fit.slope)
    inverse = [[none] * size for _ in range(size)]
    for j, column in enumerate(weighted):
        parts = [dot(each, column) for each in fit.basis[: j + 1]]
        inverse[j][j] = np.where(parts[j] > 0, 1.0 / np.where(parts[j] > 0, parts[j], 1.0), 0.0)
        for i in range(j):
            inverse[i][j] = -inverse[j][j] * sum(inverse[i][k] * parts[k] for k in range(i, j))
    return inverse
