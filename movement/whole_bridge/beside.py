"""A second cause beside the first: the first is taken into the model, then all again."""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np

from movement.checks import Floats
from movement.whole_bridge.causes import Cause
from movement.whole_bridge.covariance import Whitened, apply
from movement.whole_bridge.grids import Grid
from movement.whole_bridge.ranking import Ranked
from movement.whole_bridge.readings import Rows
from movement.whole_bridge.refine import fixed_at
from movement.whole_bridge.scan import shortening_shapes, support_effects

_HELD_BY = 1e-6
"""Precision left to the size of a cause that is taken into the model [1/unit^2]."""


def part(grid: Grid, at: Rows) -> Grid:
    """Return some units of a batch."""
    return Grid(**{each.name: getattr(grid, each.name)[at] for each in fields(grid)})


def without(grid: Grid, first: Ranked) -> tuple[Grid, Floats]:
    """Take the first explanation of each unit into its model.

    Returns
    -------
    Grid
        Readings that it spoils carry no weight; a wrong register is put right.
    array (b, e, v)
        The column of its effect where its size is free, to be projected out; else 0.
    """
    cause, place, date = first.cause[:, 0], first.place[:, 0], first.date[:, 0]
    b, _, visits = grid.weight.shape
    every, when = np.arange(b), np.arange(visits)
    weight, residual, per_k = grid.weight.copy(), grid.residual.copy(), grid.per_k.copy()
    column = np.zeros_like(weight)

    def of(*causes: Cause) -> Rows:
        return every[np.isin(cause, causes)]

    at = of(Cause.BLUNDER)
    weight[at, place[at], date[at]] = 0.0
    at = of(Cause.FROZEN, Cause.SLUGGISH, Cause.SIGN)
    since = np.where(cause[at] == Cause.FROZEN, np.maximum(date[at] - 1, 0), 0)
    weight[at, place[at]] *= when < since[:, None]
    at = of(Cause.STEP, Cause.SETTING_OFF)
    column[at, place[at]] = when >= date[at, None]
    at = of(Cause.SUPPORT_MOVED)
    effect = support_effects(grid)[at, place[at]]
    column[at] = effect[..., None] * (when >= date[at, None])[:, None]
    at = of(Cause.SHORTENING)
    shape = shortening_shapes(grid)[at, date[at]]
    column[at] = grid.lever_mm[at][..., None] * shape[:, None] / 1000.0
    at = of(Cause.WRONG_TEMPERATURE)
    column[at, :, place[at]] = grid.per_k[at]
    at = of(Cause.COEFFICIENT)
    change = first.size[at, 0][:, None] * grid.per_k[at]
    residual[at] -= change[..., None] * grid.rise_k[at]
    per_k[at] += change
    at = of(Cause.FIXED_POINT)
    if at.size:
        per_k[at], residual[at] = fixed_at(grid, at, place[at])
    residual = np.where(weight > 0, residual, 0.0)
    return replace(grid, weight=weight, residual=residual, per_k=per_k), column


def project(white: Whitened, effect: Floats, column: Floats) -> Whitened:
    """Return V^-1 with a column of free size taken into V: one rank more."""
    p_x = apply(white, column)
    own = (column * p_x).sum((-1, -2))
    held = 1.0 / (own + _HELD_BY)
    along = (column * white.score).sum((-1, -2)) * held
    score = white.score - p_x * along[:, None, None]
    block = white.block - (p_x * held[:, None, None])[..., None] * p_x[..., None, :]
    return replace(white, score=score, block=block, pulled=(effect * score).sum(1))
