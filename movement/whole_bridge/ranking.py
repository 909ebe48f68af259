"""The best explanations of each unit of a batch, best first."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from movement.checks import Floats
from movement.whole_bridge.causes import CHANGES_RESPONSE, OF_ELEMENT, Cause, Priors
from movement.whole_bridge.coefficient import Refined, coefficients
from movement.whole_bridge.covariance import Whitened
from movement.whole_bridge.grids import Grid
from movement.whole_bridge.readings import Rows
from movement.whole_bridge.refine import fixed_points, responses
from movement.whole_bridge.scan import Scores

T = TypeVar("T", np.int64, np.float64)

CANDIDATES = 6
"""Explanations that are weighed a second time."""
_OF_RESPONSE = (Cause.FROZEN, Cause.SLUGGISH, Cause.SIGN)
_NEVER = -1e6
"""Score of what cannot be."""
_FAR = 12.0
"""Those that stand further behind the first than this are not."""
_OF_UNIT = (Cause.FIXED_POINT, Cause.COEFFICIENT)
_FAR_OF_UNIT = 100.0
"""The same of a register wrong for the whole unit, which the first weighing knows worse."""


@dataclass(frozen=True, slots=True, eq=False)
class Ranked:
    """Explanations of a batch, arrays (b, CANDIDATES), by falling score.

    Attributes
    ----------
    cause : array of int8
    place : array of int64
        Element or support within the unit; the visit for a wrong temperature.
    date : array of int64
        Visit from which it holds; of a frozen bearing 0 (as set) or visit + 1.
    score : array
        Penalised: log likelihood ratio with the size averaged over, plus log prior odds.
    log_ratio : array
        The same without the prior.
    size, u_size : array
    """

    cause: NDArray[np.int8]
    place: Rows
    date: Rows
    score: Floats
    log_ratio: Floats
    size: Floats
    u_size: Floats


def rows_of(found: Ranked, at: Rows | NDArray[np.bool_]) -> Ranked:
    """Return the ranks of some units."""
    return Ranked(*(getattr(found, name)[at] for name in Ranked.__slots__))


def ranks_from(found: Ranked, start: int) -> Ranked:
    """Return the ranks of all units from one on."""
    return Ranked(*(getattr(found, name)[:, start:] for name in Ranked.__slots__))


def put(found: Ranked, at: Rows, values: Ranked) -> Ranked:
    """Return ranks with those of some units replaced."""
    columns = []
    for name in Ranked.__slots__:
        column = getattr(found, name).copy()
        column[at] = getattr(values, name)
        columns.append(column)
    return Ranked(*columns)


def rank(
    grid: Grid, white: Whitened, scores: dict[Cause, Scores], priors: Priors, floor: float
) -> Ranked:
    """Return the best explanations; only those above ``floor`` are weighed again."""
    cause, place, date, total, prior, size, u_size = _flat(scores, priors)
    keep = min(CANDIDATES, total.shape[-1])
    top = np.argpartition(-total, keep - 1, axis=-1)[:, :keep]
    top = np.concatenate([top, _same_element(cause, place, total)], axis=-1)

    def pick(values: NDArray[T]) -> NDArray[T]:
        return np.take_along_axis(values, top, axis=-1)

    found = Ranked(
        cause[top], place[top], pick(date), pick(total), pick(total) - pick(prior),
        pick(size), pick(u_size),
    )  # fmt: skip
    twice = (top[:, :keep, None] == top[:, None, keep:]).any(-1)
    found.score[:, :keep][twice] = _NEVER
    _refine(found, pick(prior), grid, white, priors, floor)
    order = np.argsort(-found.score, axis=-1, kind="stable")
    return Ranked(
        *(np.take_along_axis(getattr(found, name), order, -1) for name in Ranked.__slots__)
    )


def _same_element(cause: NDArray[np.int8], place: Rows, total: Floats) -> Rows:
    """Return the columns of all changes of response at the element that stands out most.

    The first weighing may take one of them for another, a long bearing above all.
    """
    best = np.full((total.shape[0], int(place.max()) + 1), _NEVER)
    for each in OF_ELEMENT:
        here = cause == each
        best[:, place[here]] = np.maximum(best[:, place[here]], total[:, here])
    element = best.argmax(-1)
    first = [int(np.flatnonzero(cause == each)[0]) for each in _OF_RESPONSE]
    return np.stack([element + column for column in first], axis=-1)


def _flat(
    scores: dict[Cause, Scores], priors: Priors
) -> tuple[NDArray[np.int8], Rows, Rows, Floats, Floats, Floats, Floats]:
    """Put all causes and places side by side, the dates of each summed up."""
    cause, place, date, total, prior, size, u_size = [], [], [], [], [], [], []
    for each, s in scores.items():
        b, places, dates = s.log_ratio.shape
        best = s.log_ratio.argmax(-1)
        at = best + np.arange(b * places).reshape(b, places) * dates
        peak = s.log_ratio.ravel()[at]
        peak = np.where(np.isfinite(peak), peak, _NEVER)
        share = np.exp(s.log_ratio - peak[..., None]).sum(-1) / dates
        together = peak + np.log(np.maximum(share, 1e-300))
        odds = (priors.of(each) - np.log(np.maximum(s.places, 1)))[:, None]
        cause.append(np.full(places, each, dtype=np.int8))
        place.append(np.arange(places))
        date.append(best)
        total.append(together + odds)
        prior.append(odds + together - peak)
        size.append(s.size.ravel()[at])
        u_size.append(s.u_size.ravel()[at])
    return (
        np.concatenate(cause), np.concatenate(place), np.concatenate(date, -1),
        np.concatenate(total, -1), np.concatenate(prior, -1),
        np.concatenate(size, -1), np.concatenate(u_size, -1),
    )  # fmt: skip


def _refine(
    found: Ranked, prior: Floats, grid: Grid, white: Whitened, priors: Priors, floor: float
) -> None:
    best = found.score.max(-1, keepdims=True)
    far = np.where(np.isin(found.cause, _OF_UNIT), _FAR_OF_UNIT, _FAR)
    near = (found.score > floor) & (found.score > best - far)
    near[:, -len(_OF_RESPONSE) :] = (best > floor) & (found.score[:, -len(_OF_RESPONSE) :] > _NEVER)
    for cause in CHANGES_RESPONSE:
        at, column = np.nonzero(near & (found.cause == cause))
        if not at.size:
            continue
        place, date = found.place[at, column], found.date[at, column]
        again: Refined
        if cause == Cause.COEFFICIENT:
            size, u_size = found.size[at, column], found.u_size[at, column]
            again = coefficients(grid, at, white.log_likelihood[at], size, u_size, priors)
        elif cause == Cause.FIXED_POINT:
            again = fixed_points(grid, at, place, white.log_likelihood[at])
        else:
            again = responses(grid, white, at, place, date, cause, priors)
        found.score[at, column] = again.log_ratio + prior[at, column]
        found.log_ratio[at, column] = again.log_ratio
        found.size[at, column] = again.size
        found.u_size[at, column] = again.u_size
