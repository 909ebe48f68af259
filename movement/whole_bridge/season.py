"""What the season says of a temperature that was written down.

A deck follows the year, and the weather about it.  The other visits of the unit show its
year; a temperature far off it is more likely to be wrong than one that fits.
"""

from __future__ import annotations

import numpy as np

from movement.checks import Floats
from movement.whole_bridge.grids import Grid

_YEAR = 365.25
_SWING_K = 10.0
"""Spread of either coefficient of the yearly wave [K].  Judgement, no source: a swing of
13 to 16 K is what a heat balance of concrete and composite decks gives inland."""


def off_season(grid: Grid, weather_k: float) -> tuple[Floats, Floats]:
    """Return how far each temperature lies above its season, and the variance of that.

    Parameters
    ----------
    grid : Grid
    weather_k : float
        Spread of effective temperatures about their season [K].

    Returns
    -------
    tuple of array (b, v)
        [K], [K^2].  Each visit is left out of the wave that it is compared with.

    Notes
    -----
    Ridge regression on 1, cos, sin of the date; residuals left one out from the diagonal
    of the hat matrix.  Few visits tell nothing of their season: then the variance is great.
    """
    shown = np.asarray((grid.weight > 0).any(1))
    phase = 2.0 * np.pi * (grid.time_days - grid.time_days[:, :1]) / _YEAR
    x = np.stack([np.ones_like(phase), np.cos(phase), np.sin(phase)], -1) * shown[..., None]
    count = np.maximum(shown.sum(-1, keepdims=True), 1)
    mean_c = np.where(shown, grid.temperature_c, 0.0).sum(-1, keepdims=True) / count
    y = np.where(shown, grid.temperature_c - mean_c, 0.0)
    normal = np.swapaxes(x, -1, -2) @ x
    normal += np.diag([1e-6, (weather_k / _SWING_K) ** 2, (weather_k / _SWING_K) ** 2])
    solved = x @ np.linalg.inv(normal)
    leverage = np.minimum((solved * x).sum(-1), 1.0 - 1e-6)
    fitted = (solved @ (np.swapaxes(x, -1, -2) @ y[..., None]))[..., 0]
    alone = 1.0 - leverage
    return (y - fitted) / alone, weather_k**2 / alone
