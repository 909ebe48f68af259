"""Errors of the register that the elements of a unit share.

An error of the temperature at which bearings were set is a strain of the whole deck, as a
shortening is; one of the coefficient, of the fixed point or of the predicted shortening
shows in every element as well.  They are no faults, so V holds them.
"""

from __future__ import annotations

import numpy as np

from movement.checks import Floats
from movement.whole_bridge.grids import Grid

_MM_PER_M = 1000.0


def shared_errors(grid: Grid) -> Floats:
    """Return the effect of one standard uncertainty of each, (b, c, e, v) [mm].

    c is 0 where the register states none.
    """
    shape = grid.weight.shape
    columns = []
    per_set = grid.per_k * grid.u_set_k
    for number in range(int(grid.set_with.max(initial=-1)) + 1):
        together = np.where(grid.set_with == number, -per_set, 0.0)
        columns.append(np.broadcast_to(together[..., None], shape))
    if grid.u_expansion_per_c.any():
        columns.append((grid.lever_mm * grid.u_expansion_per_c)[..., None] * grid.rise_k)
    if grid.u_known_strain.any():
        columns.append(-grid.lever_mm[..., None] * grid.u_known_strain)
    if grid.u_fixed_m.any():
        per_m = grid.deck_effect * grid.expansion_per_c * _MM_PER_M
        columns.append((per_m * grid.u_fixed_m[:, None])[..., None] * grid.rise_k)
    if not columns:
        return np.zeros((shape[0], 0, *shape[1:]))
    return np.stack(columns, axis=1)
