"""Second weighing of explanations that change the response to temperature.

A bearing that does not move does not show the temperature's error either, so V changes
with the explanation.  For one element this is exact through what the other elements say
of the temperatures: given them, its residuals are normal with mean m and covariance C,
C the inverse of its block of V^-1.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from movement.checks import Floats
from movement.whole_bridge.causes import Cause, Priors
from movement.whole_bridge.coefficient import Refined
from movement.whole_bridge.covariance import Whitened, dense_columns, whiten
from movement.whole_bridge.grids import Grid, part
from movement.whole_bridge.readings import Rows
from movement.whole_bridge.shared import shared_errors

_STEPS = 2


def responses(
    grid: Grid, white: Whitened, at: Rows, element: Rows, date: Rows, cause: Cause, priors: Priors
) -> Refined:
    """Weigh frozen, sluggish or exchanged elements of some units.

    ``date`` is 0 for a response since the setting; d + 1 for one frozen from visit d at
    a temperature that is not known.
    """
    weight = grid.weight[at, element]
    read = weight > 0
    both = read[:, :, None] & read[:, None, :]
    eye = np.eye(weight.shape[-1])
    precision = white.block[at, element] + eye * ~read[:, None, :]
    c = np.linalg.inv(precision)
    q, r = white.score[at, element], grid.residual[at, element]
    c_q = (c @ q[..., None])[..., 0]
    healthy = 0.5 * np.linalg.slogdet(precision)[1] - 0.5 * (q * c_q).sum(-1)
    m = np.where(read, r - c_q, 0.0)

    variance = 1.0 / np.where(read, weight, 1.0)
    setting = grid.setting_variance[at, element][:, None, None]
    own = np.where(both, setting, 0.0) + eye * variance[:, None, :]
    shared = np.where(both, c - own, 0.0)

    per_k = grid.per_k[at, element][:, None]
    dated = date > 0
    after = read & (np.arange(weight.shape[-1]) >= np.maximum(date - 1, 0)[:, None])
    a = grid.moved_mm[at, element]
    a = np.where(dated[:, None], a - a.mean(-1, keepdims=True), a)
    level = np.where(dated, priors.frozen_k**2, 0.0)[:, None] * per_k**2
    own = own + level[..., None] * (after[:, :, None] & after[:, None, :])
    x = np.where(after, a + m, 0.0)
    dev = np.where(read, r, 0.0) + np.where(after, a, 0.0) - np.where(after, 0.0, m)

    def at_response(rho: Floats) -> tuple[Floats, Floats, Floats]:
        """Return x'C^-1 x, x'C^-1 dev and the log likelihood at a response."""
        factor = np.where(after, rho[:, None], 1.0)
        cov = own + shared * factor[:, :, None] * factor[:, None, :]
        rest = dev - rho[:, None] * x
        solved = np.linalg.solve(cov, np.stack([x, dev, rest], axis=-1))
        log_likelihood = -0.5 * ((rest * solved[..., 2]).sum(-1) + np.linalg.slogdet(cov)[1])
        return (x * solved[..., 0]).sum(-1), (x * solved[..., 1]).sum(-1), log_likelihood

    middle, spread = {
        Cause.FROZEN: (0.0, priors.u_frozen_response),
        Cause.SLUGGISH: (1.0 - priors.sluggish_loss, priors.u_sluggish_loss),
        Cause.SIGN: (-1.0, 0.0),
    }[cause]
    rho = np.full(at.shape, middle)
    xx, xd, log_likelihood = at_response(rho)
    if spread > 0.0:
        tight = spread**-2.0
        for _ in range(_STEPS):
            rho = np.clip((xd + middle * tight) / (xx + tight), -0.5, 1.5)
            xx, xd, log_likelihood = at_response(rho)
        log_likelihood = log_likelihood - 0.5 * ((rho - middle) ** 2 * tight + np.log1p(xx / tight))
    xx = np.maximum(xx, 1e-12)
    return Refined(log_likelihood - healthy, xd / xx, 1.0 / np.sqrt(xx))


def fixed_points(grid: Grid, at: Rows, support: Rows, healthy: Floats) -> Refined:
    """Weigh the deck held at another support, for some whole units."""
    per_k, residual = fixed_at(grid, at, support)
    white = whiten(
        residual, grid.weight[at], grid.setting_variance[at],
        per_k[..., None] * grid.u_temperature_k[at][:, None], False,
        shared_errors(replace(part(grid, at), per_k=per_k)),
    )  # fmt: skip
    column = -grid.deck_effect[at] * grid.expansion_per_c[at] * 1000.0
    n, d = dense_columns(white, (column[..., None] * grid.rise_k[at])[:, None])
    d = np.maximum(d[:, 0], 1e-12)
    by = grid.station_from_fixed_m[at, support]
    return Refined(white.log_likelihood - healthy, by + n[:, 0] / d, 1.0 / np.sqrt(d))


def fixed_at(grid: Grid, at: Rows, support: Rows) -> tuple[Floats, Floats]:
    """Return movement per kelvin and residuals with the deck held at another support."""
    change = (
        -grid.deck_effect[at]
        * grid.expansion_per_c[at]
        * 1000.0
        * grid.station_from_fixed_m[at, support][:, None]
    )
    residual = grid.residual[at] - np.where(
        grid.weight[at] > 0, change[..., None] * grid.rise_k[at], 0.0
    )
    return grid.per_k[at] + change, residual
