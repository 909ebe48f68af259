"""Parameters of the last fit of each history, with their covariances."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from movement.checks import Floats
from movement.history.errors_in_temperature import Fit, Table, orthonormal
from movement.history.findings import HistoryThresholds
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
    columns: Floats,
    stated: Flags,
    s: NDArray[np.int64],
    told: dict[str, Floats],
    thresholds: HistoryThresholds,
    mean_value: Floats,
) -> Floats:
    """Keep parameters and covariances; return residuals, those of readings left out too."""
    root = np.sqrt(fit.weight)
    design = np.stack(
        [columns[:, :, 0], fit.best_temperature, columns[:, :, 1], columns[:, :, 2]], axis=2
    )
    weighted = design * root[:, :, np.newaxis]
    basis, _ = orthonormal(root, columns)
    tells = (basis != 0).any(axis=1)
    tells = np.stack([tells[:, 0], fit.told, tells[:, 1], tells[:, 2]], axis=1)
    weighted = np.where(tells[:, np.newaxis, :], weighted, 0.0)
    scale = np.sqrt((weighted**2).sum(axis=1))
    scale = np.where(tells & (scale > 0), scale, 1.0)
    weighted = weighted / scale[:, np.newaxis, :]
    normal = np.einsum("mnp,mnq->mpq", weighted, weighted)
    normal[:, np.arange(4), np.arange(4)] += ~tells
    inverse = np.linalg.inv(normal)
    rest = root * (table.y - fit.slope[:, np.newaxis] * table.temperature)
    # The slope is known; the other columns are fitted to what it leaves.
    inner = weighted[:, :, (0, 2, 3)]
    of_inner = np.linalg.inv(normal[:, (0, 2, 3)][:, :, (0, 2, 3)])
    others = np.einsum("mpq,mq->mp", of_inner, np.einsum("mnp,mn->mp", inner, rest))
    prior = np.where(stated, thresholds.stated_dof, 0.0)
    own = table.use.sum(axis=1) - tells.sum(axis=1)
    dof = own + prior
    s2 = (fit.chi_square + prior) / np.where(dof > 0, dof, np.nan)
    covariance = (
        inverse
        * s2[:, np.newaxis, np.newaxis]
        / (scale[:, :, np.newaxis] * scale[:, np.newaxis, :])
    )
    hide = np.where(tells, 0.0, np.nan)
    sd = np.sqrt(np.einsum("mpp->mp", covariance)) + hide
    told["level"][s] = mean_value + others[:, 0] / scale[:, 0]
    told["slope"][s] = fit.slope + hide[:, 1]
    told["drift"][s] = others[:, 1] / scale[:, 2] + hide[:, 2]
    told["step"][s] = others[:, 2] / scale[:, 3] + hide[:, 3]
    told["level_u"][s], told["u_slope"][s], told["u_drift"][s], told["u_step"][s] = sd.T
    told["cov_level_slope"][s] = covariance[:, 0, 1]
    told["cov_level_drift"][s] = covariance[:, 0, 2]
    told["cov_slope_drift"][s] = covariance[:, 1, 2]
    told["dof"][s] = dof
    told["reliability"][s] = fit.reliability
    told["time_told"][s] = tells[:, 2]
    told["sigma"][s] = np.sqrt(s2)
    # What is left of the spread of temperature by the other columns, unweighted.
    equal = table.use.astype(np.float64)
    plain, _ = orthonormal(equal, columns)
    t = equal * table.temperature
    inside = np.einsum("mnp,mn->mp", plain, t)
    told["spread_s"][s] = (t * t).sum(axis=1) - (inside * inside).sum(axis=1)
    parts = (others / scale[:, (0, 2, 3)])[:, np.newaxis, :] * design[:, :, (0, 2, 3)]
    return np.asarray(table.y - fit.slope[:, np.newaxis] * table.temperature - parts.sum(axis=2))
