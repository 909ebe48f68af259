"""The whole bridge: all readings of each unit together, ranked explanations."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from movement.checks import Floats
from movement.whole_bridge.beside import part, project, without
from movement.whole_bridge.causes import Cause, Priors
from movement.whole_bridge.covariance import Whitened, whiten
from movement.whole_bridge.explain import AnswerSheet
from movement.whole_bridge.grids import Grid, GridMaker, batches, locate
from movement.whole_bridge.ranking import Ranked, rank
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
    dT common to a visit: generalised least squares, each cause a column, its size and its
    place and date priced by what they could have been (Bayes factor).  A decision stays
    with an engineer: see the limits of use.  Common statistics; priors are judgement.
    """
    check_rows(units, supports, elements, visits, readings)
    priors = priors or Priors()
    local = locate(units, supports, elements, visits, readings)
    maker = GridMaker(units, supports, elements, visits, readings, local)
    sheet = AnswerSheet(elements, visits, readings, local, units.fixed_support.size, priors)
    for rows in batches(local):
        grid = maker.grid(rows)
        _, found, u_response = _look(grid, None, priors, priors.needed)
        beside = _beside(grid, found, priors)
        sheet.write(grid, found, beside, u_response)
    return sheet.answer()


def _look(
    grid: Grid, column: Floats | None, priors: Priors, needed: float
) -> tuple[Whitened, Ranked, Floats]:
    effect = grid.per_k[..., None] * grid.u_temperature_k[:, None]
    white = whiten(grid.residual, grid.weight, grid.setting_variance, effect)
    if column is not None:
        white = project(white, effect, column)
    scores = scan(grid, white, priors)
    found = rank(grid, white, scores, priors, needed - _LOOK_BELOW)
    return white, found, scores[Cause.SLUGGISH].u_size[..., 0]


def _beside(grid: Grid, found: Ranked, priors: Priors) -> tuple[Rows, Ranked] | None:
    """Look for a second cause in the units that have a first."""
    at = np.flatnonzero(found.score[:, 0] > priors.needed)
    if not at.size:
        return None
    second = _given(part(grid, at), _rows(found, at), priors)
    there = second.score[:, 0] > priors.second_needed
    return (at[there], _rows(second, there)) if there.any() else None


def _given(grid: Grid, known: Ranked, priors: Priors) -> Ranked:
    freed, column = without(grid, known)
    return _look(freed, column, priors, priors.second_needed)[1]


def _rows(found: Ranked, at: Rows | NDArray[np.bool_]) -> Ranked:
    return Ranked(*(getattr(found, name)[at] for name in Ranked.__slots__))
