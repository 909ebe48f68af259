"""A second cause beside the first: the first is taken into the model, then all again."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from movement.checks import Floats
from movement.whole_bridge.causes import Cause
from movement.whole_bridge.covariance import Whitened, apply, lessened
from movement.whole_bridge.grids import Grid
from movement.whole_bridge.ranking import Ranked
from movement.whole_bridge.readings import Rows
from movement.whole_bridge.refine import fixed_at
from movement.whole_bridge.scan import shortening_shapes, support_effects

_HELD_BY = 1e-9
"""Part of its precision that the size of a cause keeps when it is taken into the model."""
_FREE_K = 30.0
"""Uncertainty left to a temperature that was found wrong [K]."""
_CHANGED = ("residual", "weight", "per_k", "lever_mm", "deck_effect", "rise_k", "moved_mm",
            "temperature_c", "u_temperature_k", "can_stick")  # fmt: skip


def without(grid: Grid, first: Ranked) -> tuple[Grid, Floats]:
    """Take the first explanation of each unit into its model.

    Returns
    -------
    Grid
        Readings that it spoils carry no weight; its effect is taken off the others.
    array (b, e, v)
        The column of its effect where its size is free, to be projected out; else 0.
    """
    freed = replace(grid, **{name: getattr(grid, name).copy() for name in _CHANGED})
    column = np.zeros_like(grid.weight)
    first = Ranked(*(getattr(first, name)[:, :1] for name in Ranked.__slots__))
    cause, date = first.cause[:, 0], first.date[:, 0]
    later = (cause == Cause.FROZEN) & (date > 0)

    def of(*causes: Cause) -> Rows:
        return np.flatnonzero(np.isin(cause, causes) & ~later)

    _spoilt(freed, first, of(Cause.BLUNDER), np.flatnonzero(later))
    _slow(freed, column, first, of(Cause.FROZEN, Cause.SLUGGISH, Cause.SIGN))
    _shifted(freed, column, first, of(Cause.STEP, Cause.SETTING_OFF))
    _moved(freed, column, first, of(Cause.SUPPORT_MOVED), of(Cause.SHORTENING))
    _warmer(freed, first, of(Cause.WRONG_TEMPERATURE))
    _put_right(freed, grid, first, of(Cause.COEFFICIENT), of(Cause.FIXED_POINT))
    freed.residual[grid.weight == 0] = 0.0
    return freed, column


def _spoilt(freed: Grid, first: Ranked, blunder: Rows, frozen_later: Rows) -> None:
    """Leave out a blunder, and a bearing from the visit on at which it was frozen."""
    place, date = first.place[:, 0], first.date[:, 0]
    freed.weight[blunder, place[blunder], date[blunder]] = 0.0
    before = np.arange(freed.weight.shape[-1]) < (date[frozen_later] - 1)[:, None]
    freed.weight[frozen_later, place[frozen_later]] *= before
    freed.can_stick[frozen_later, place[frozen_later]] = False


def _slow(freed: Grid, column: Floats, first: Ranked, at: Rows) -> None:
    """Let one bearing follow the deck by its response only."""
    here = at, first.place[at, 0]
    response = first.size[at, 0]
    column[here] = freed.moved_mm[here]
    freed.residual[here] += (1.0 - response)[:, None] * freed.moved_mm[here]
    freed.moved_mm[here] *= response[:, None]
    for values in (freed.per_k, freed.lever_mm, freed.deck_effect):
        values[here] *= response
    freed.can_stick[here] = False


def _shifted(freed: Grid, column: Floats, first: Ranked, at: Rows) -> None:
    """Take the level of one element off from a date on."""
    here = at, first.place[at, 0]
    column[here] = np.arange(column.shape[-1]) >= first.date[at]
    freed.residual[here] -= first.size[at] * column[here]


def _moved(freed: Grid, column: Floats, first: Ranked, support: Rows, shortening: Rows) -> None:
    """Take what the ground or the concrete did into the movement that is expected."""
    since = np.arange(column.shape[-1]) >= first.date[support]
    effect = support_effects(freed)[support, first.place[support, 0]]
    column[support] = effect[..., None] * since[:, None]
    shape = shortening_shapes(freed)[shortening, first.date[shortening, 0]]
    column[shortening] = -freed.lever_mm[shortening][..., None] * shape[:, None]
    for at in (support, shortening):
        by_mm = first.size[at][..., None] * column[at]
        freed.residual[at] -= by_mm
        freed.moved_mm[at] += by_mm


def _warmer(freed: Grid, first: Ranked, at: Rows) -> None:
    """Put a wrong temperature right, and leave it free about that."""
    visit, by_k = first.place[at, 0], first.size[at]
    by_mm = freed.per_k[at] * by_k
    freed.rise_k[at, :, visit] += by_k
    freed.residual[at, :, visit] -= by_mm
    freed.moved_mm[at, :, visit] += by_mm
    freed.temperature_c[at, visit] += by_k[:, 0]
    freed.u_temperature_k[at, visit] = _FREE_K


def _put_right(
    freed: Grid, grid: Grid, first: Ranked, coefficient: Rows, fixed_point: Rows
) -> None:
    """Put a wrong register right."""
    change = first.size[coefficient] * grid.per_k[coefficient]
    freed.residual[coefficient] -= change[..., None] * grid.rise_k[coefficient]
    freed.per_k[coefficient] += change
    place = first.place[fixed_point, 0]
    freed.per_k[fixed_point], freed.residual[fixed_point] = fixed_at(grid, fixed_point, place)
    for at in (coefficient, fixed_point):
        freed.moved_mm[at] = freed.per_k[at][..., None] * freed.rise_k[at]


def project(white: Whitened, effect: Floats, column: Floats) -> Whitened:
    """Return V^-1 with a column of free size taken into V: one rank more."""
    p_x = apply(white, column)
    own = (column * p_x).sum((-1, -2))
    held = np.where(own > 0, 1.0 - _HELD_BY, 0.0) / np.maximum(own, 1e-300)
    return lessened(white, effect, column, p_x * np.sqrt(held)[:, None, None], held)
