"""The whole bridge: all readings of each unit together, ranked explanations."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from movement.checks import Floats
from movement.whole_bridge.beside import project, without
from movement.whole_bridge.causes import Cause, Priors
from movement.whole_bridge.covariance import Whitened, whiten
from movement.whole_bridge.explain import AnswerSheet
from movement.whole_bridge.grids import Grid, GridMaker, batches, locate, part
from movement.whole_bridge.ranking import Ranked, put, rank, rows_of
from movement.whole_bridge.readings import (
    Elements,
    Readings,
    Rows,
    Supports,
    Units,
    Visits,
    check_rows,
)
from movement.whole_bridge.results import Diagnosis
from movement.whole_bridge.scan import scan
from movement.whole_bridge.shared import shared_errors

_LOOK_BELOW = 4.0
"""Explanations this far below what is needed are still weighed a second time."""


def diagnose(
    units: Units,
    supports: Supports,
    elements: Elements,
    visits: Visits,
    readings: Readings,
    priors: Priors | None = None,
) -> Diagnosis:
    """Say which explanation fits the readings of each unit over its visits.

    Parameters
    ----------
    units, supports, elements, visits, readings
        Flat tables; rows name rows.  One unit or a hundred thousand.
    priors : Priors, optional
        How likely and how large causes are, and what counts as found.

    Returns
    -------
    Diagnosis

    Raises
    ------
    InputError
        If a row names none or one of another unit, or a value is impossible.

    Notes
    -----
    y = y_set + lever (alpha (T + dT - T_s)) + known + setting error + reading error, with
    dT common to a visit, and what the register states with an uncertainty (T_s, alpha, the
    fixed point, predicted shortening) in error for all alike: generalised least squares,
    each cause a column, its size and its place and date priced by what they could have been
    (Bayes factor).  A decision stays with an engineer: see the limits of use.  Common
    statistics; priors are judgement.
    """
    check_rows(units, supports, elements, visits, readings)
    priors = priors or Priors()
    local = locate(units, supports, elements, visits, readings)
    maker = GridMaker(units, supports, elements, visits, readings, local)
    sheet = AnswerSheet(elements, visits, readings, local, units.fixed_support.size, priors)
    for rows in batches(local):
        grid = maker.grid(rows)
        _, found, u_response = _look(grid, None, priors, priors.needed)
        found, beside = _beside(grid, found, priors)
        sheet.write(grid, found, beside, u_response)
    return sheet.answer()


def _look(
    grid: Grid, column: Floats | None, priors: Priors, needed: float
) -> tuple[Whitened, Ranked, Floats]:
    effect = grid.per_k[..., None] * grid.u_temperature_k[:, None]
    white = whiten(
        grid.residual, grid.weight, grid.setting_variance, effect, common=shared_errors(grid)
    )
    if column is not None:
        white = project(white, effect, column)
    scores = scan(grid, white, priors)
    found = rank(grid, white, scores, priors, needed - _LOOK_BELOW)
    return white, found, scores[Cause.SLUGGISH].u_size[..., 0]


def _beside(grid: Grid, found: Ranked, priors: Priors) -> tuple[Ranked, tuple[Rows, Ranked] | None]:
    """Look for a second cause in the units that have a first, then at the first again.

    One cause alone must make do for both; beside the second, another may fit better than
    the first, or be told better from its rivals.
    """
    at = np.flatnonzero(found.score[:, 0] > priors.needed)
    if not at.size:
        return found, None
    second = _given(part(grid, at), rows_of(found, at), priors)
    there = second.score[:, 0] > priors.second_needed
    at, second = at[there], rows_of(second, there)
    if not at.size:
        return found, None
    first, grid = rows_of(found, at), part(grid, at)
    again = _given(grid, second, priors)
    stands = again.score[:, 0] > priors.needed
    first = put(first, np.flatnonzero(stands), rows_of(again, stands))
    other = np.flatnonzero(stands & ~_same(first, rows_of(found, at)))
    if other.size:
        anew = _given(part(grid, other), rows_of(first, other), priors)
        kept = anew.score[:, 0] > priors.second_needed
        second = put(second, other[kept], rows_of(anew, kept))
    return put(found, at, first), (at, second)


def _given(grid: Grid, known: Ranked, priors: Priors) -> Ranked:
    freed, column = without(grid, known)
    return _look(freed, column, priors, priors.second_needed)[1]


def _same(one: Ranked, other: Ranked) -> NDArray[np.bool_]:
    """Whether the same cause stands first at the same place."""
    same: NDArray[np.bool_] = (one.cause[:, 0] == other.cause[:, 0]) & (
        one.place[:, 0] == other.place[:, 0]
    )
    return same
