"""A coefficient of expansion that is wrong for a whole unit, not one that only seems so."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from movement.checks import Floats
from movement.whole_bridge.causes import Priors
from movement.whole_bridge.covariance import TINY, dense_columns, weigh, whiten
from movement.whole_bridge.grids import Grid, part
from movement.whole_bridge.readings import Rows
from movement.whole_bridge.shared import shared_errors

_LEAST_FLATTENED, _MOST_FLATTENED = 1e-4, 0.2
"""Least and most that is allowed for.  Judgement, no source."""
_U_FLATTENED = 12.0**-0.5
"""Standard uncertainty of a share that lies anywhere between none and all."""
_STEPS = 2


@dataclass(frozen=True, slots=True, eq=False)
class Refined:
    """Log likelihood ratio, and the size with its standard uncertainty, arrays (n,)."""

    log_ratio: Floats
    size: Floats
    u_size: Floats


def flattening(grid: Grid) -> Floats:
    """Share by which errors of temperature flatten the response of all, at most, (b,).

    So it is where what is written down scatters about the true temperature; where the true
    one scatters about what was computed, it is 0.
    """
    shown = (grid.weight > 0).any(axis=1)
    count = np.maximum(shown.sum(-1), 1)
    mean_c = np.where(shown, grid.temperature_c, 0.0).sum(-1) / count
    square = np.where(shown, (grid.temperature_c - mean_c[:, None]) ** 2, 0.0).sum(-1) / count
    error = np.where(shown, grid.u_temperature_k**2, 0.0).sum(-1) / count
    share = np.minimum(error / np.maximum(square, TINY), _MOST_FLATTENED)
    return np.asarray(np.maximum(share, _LEAST_FLATTENED))


def seeming(n: Floats, d: Floats, flat: Floats) -> Floats:
    """Log likelihood ratio to healthy of a right coefficient whose response is flattened."""
    return np.asarray(np.maximum(weigh(n, d, _U_FLATTENED * flat, -0.5 * flat), 0.0))


def coefficients(
    grid: Grid, at: Rows, healthy: Floats, size: Floats, u_size: Floats, priors: Priors
) -> Refined:
    """Weigh another coefficient of expansion for some whole units; size of the first weighing."""
    rise = grid.per_k[at, :, None] * grid.rise_k[at]
    effect = grid.per_k[at, :, None] * grid.u_temperature_k[at][:, None]
    ratio = 1.0 + np.clip(size, -0.9, 4.0)
    n = d = log_likelihood = np.zeros(at.shape)
    some = part(grid, at)
    for _ in range(_STEPS):
        rest = grid.residual[at] - np.where(
            grid.weight[at] > 0, (ratio - 1.0)[:, None, None] * rise, 0.0
        )
        white = whiten(
            rest, grid.weight[at], grid.setting_variance[at], effect * ratio[:, None, None], False,
            shared_errors(replace(some, per_k=some.per_k * ratio[:, None])),
        )  # fmt: skip
        n, d = (each[:, 0] for each in dense_columns(white, rise[:, None]))
        used, log_likelihood = ratio, white.log_likelihood
        ratio = np.clip(ratio + n / np.maximum(d, TINY), 0.1, 5.0)
    flat = flattening(grid)[at]
    gain = (
        log_likelihood
        - healthy
        - 0.5 * (((used - 1.0) / priors.coefficient) ** 2 + np.log1p(d * priors.coefficient**2))
        - seeming(size / u_size**2, u_size**-2.0, flat)
    )
    u = np.hypot(1.0 / np.sqrt(np.maximum(d, TINY)), ratio * flat * _U_FLATTENED)
    return Refined(gain, ratio * (1.0 + 0.5 * flat) - 1.0, u)
