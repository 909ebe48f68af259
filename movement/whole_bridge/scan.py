"""Every explanation at every place and date against "healthy", in closed form.

A cause adds c x to the residuals, x known and c known or normally distributed.  With
n = x'V^-1 r and d = x'V^-1 x the logarithm of its likelihood ratio is, for known c,
c n - c^2 d / 2, and for c ~ N(mu, s^2)

    [(n + mu/s^2)^2 / (d + 1/s^2) - mu^2/s^2 - log(1 + s^2 d)] / 2.

The last term is the price of a size that may be anything (Occam factor).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from movement.checks import Floats
from movement.whole_bridge.causes import Cause, Priors
from movement.whole_bridge.coefficient import flattening, seeming
from movement.whole_bridge.covariance import (
    TINY,
    Whitened,
    dense_columns,
    shaped_columns,
    weigh,
)
from movement.whole_bridge.grids import Grid

_FROZEN_AS_SET = 0.7
"""Share of frozen bearings that never moved since their setting.  Judgement, no source."""
_FROZEN_READINGS = 3
"""Readings that a bearing frozen later must show: fewer are a step or a blunder as well."""
_SHAPE_U = 0.015
"""Relative uncertainty of a shortening because no listed time course is quite right.
Judgement, no source."""
_YEAR = 365.25
_HALF_YEARS = (0.3, 0.6, 1.2, 2.4, 5.0, 12.0)
"""Times in which half of the shortening comes, besides one that was over before the first
visit.  Judgement, no source; hyperbolas in time are the usual form."""
_LATE = 0.2
"""Share of shortening that began late and goes on evenly.  Judgement, no source."""
_ROUNDING = 1e-9
"""Standard uncertainties below which a size is rounding."""
_LATE_READINGS = 3
"""Visits that must have seen it: fewer may be temperatures as well."""


@dataclass(frozen=True, slots=True, eq=False)
class Scores:
    """One cause over its places p and dates d, arrays (b, p, d).

    Attributes
    ----------
    log_ratio : array
        Log likelihood ratio to healthy with the size averaged over; -inf: cannot be.
    size, u_size : array
        Least squares estimate of the size and its standard uncertainty.
    places : int or array (b,)
        How many places there are to choose from.
    """

    log_ratio: Floats
    size: Floats
    u_size: Floats
    places: NDArray[np.int64]


def scan(grid: Grid, white: Whitened, priors: Priors) -> dict[Cause, Scores]:
    """Return the scores of all causes for a batch of units."""
    found = _of_elements(grid, white, priors)
    found.update(_of_supports(grid, white, priors))
    found.update(_of_units(grid, white, priors))
    return found


def _scores(log_ratio: Floats, n: Floats, d: Floats, places: NDArray[np.int64]) -> Scores:
    seen = d > TINY
    safe = np.where(seen, d, 1.0)
    return Scores(
        np.where(seen, log_ratio, -np.inf),
        np.where(seen, n / safe, np.nan),
        np.where(seen, 1.0 / np.sqrt(safe), np.nan),
        places,
    )


def _from_date(values: Floats) -> Floats:
    """Sum from each date to the last."""
    return np.cumsum(values[..., ::-1], axis=-1)[..., ::-1]


def _of_elements(grid: Grid, white: Whitened, priors: Priors) -> dict[Cause, Scores]:
    score, block = white.score, white.block
    read = grid.weight > 0
    there = read.any(-1)
    count = there.sum(-1)
    moves = there & (np.abs(grid.per_k) > TINY)
    visits = score.shape[-1]
    # Over all pairs of visits from a date on, twice those above the diagonal are summed.
    upper = np.triu(np.ones((visits, visits)))
    diagonal = np.einsum("...vv->...v", block)
    rows = np.einsum("...vw,vw->...v", block, upper)
    ones_d = _from_date(2.0 * rows - diagonal)
    ones_n = _from_date(score)
    found = {
        Cause.BLUNDER: _scores(
            np.where(read, weigh(score, diagonal, priors.blunder_mm), -np.inf),
            score, diagonal, count,
        )
    }  # fmt: skip

    # A step needs a reading before it and one after; nothing new where none was taken.
    before = np.cumsum(read, axis=-1) > read
    step = _scores(weigh(ones_n, ones_d, priors.step_mm), ones_n, ones_d, count)
    found[Cause.STEP] = _allowed(step, before & read)
    n, d = ones_n[..., :1], ones_d[..., :1]
    off = _scores(weigh(n, d, priors.setting_mm), n, d, count)
    found[Cause.SETTING_OFF] = _allowed(off, grid.setting_known[..., None])

    # What did not respond did not show the temperature's error either: count from the
    # temperatures, and the other shared errors, that the unit as a whole shows.
    shared_mm = white.shared_mm(grid.per_k[..., None] * grid.u_temperature_k[:, None])
    rise = grid.moved_mm + shared_mm
    n = -(rise * score).sum(-1)[..., None]
    d = (rise * (block @ rise[..., None])[..., 0]).sum(-1)[..., None]
    sticks = moves & grid.can_stick
    moving, sticking = moves.sum(-1), sticks.sum(-1)
    sluggish = _scores(weigh(n, d, priors.u_sluggish_loss, priors.sluggish_loss), n, d, sticking)
    found[Cause.SLUGGISH] = _allowed(sluggish, sticks[..., None])
    found[Cause.SIGN] = _allowed(_scores(2 * n - 2 * d, n, d, moving), moves[..., None])

    # Frozen as it was set, or from a date on at a temperature that is not known.
    from_mean = grid.moved_mm - grid.moved_mm.mean(-1, keepdims=True)
    centred = from_mean + shared_mm
    at_n = -_from_date(centred * score)
    weighted = np.einsum("...vw,vw->...v", block * centred[..., None, :], upper)
    level_at = -grid.per_k[..., None] * _from_date(weighted + centred * (rows - diagonal))
    at_d = _from_date(centred * (2.0 * weighted - diagonal * centred))
    level_n = grid.per_k[..., None] * ones_n
    level_d = (grid.per_k**2)[..., None] * ones_d
    dated = at_n - 0.5 * at_d + weigh(level_n - level_at, level_d, priors.frozen_k)
    enough = _from_date(read.astype(np.float64)) >= _FROZEN_READINGS
    # the dates are averaged over later: the first of them stands for its own share
    as_set = n - 0.5 * d + np.log(_FROZEN_AS_SET)
    dated += np.log((1.0 - _FROZEN_AS_SET) / visits)
    frozen = Scores(
        np.concatenate([as_set, np.where(enough, dated, -np.inf)], -1) + np.log(visits + 1),
        np.concatenate([n / np.maximum(d, TINY), np.ones_like(at_d)], -1),
        np.concatenate([1 / np.sqrt(np.maximum(d, TINY)), np.full_like(at_d, np.nan)], -1),
        sticking,
    )
    found[Cause.FROZEN] = _allowed(frozen, sticks[..., None])
    return found


def _allowed(scores: Scores, where: NDArray[np.bool_]) -> Scores:
    return Scores(
        np.where(where, scores.log_ratio, -np.inf), scores.size, scores.u_size, scores.places
    )


def support_effects(grid: Grid) -> Floats:
    """Effect on each element of 1 mm of each support, (b, s, e).

    What stands on it shifts against the deck; the support that holds the deck takes
    the deck along, and what stands on the others shifts.
    """
    fixed = grid.is_fixed[..., None]
    effect = np.where(fixed, 1.0 - grid.at_support, -grid.at_support)
    return np.asarray(effect * grid.deck_effect[:, None])


def _of_supports(grid: Grid, white: Whitened, priors: Priors) -> dict[Cause, Scores]:
    effect = support_effects(grid)
    there = grid.supports >= 0
    count = there.sum(-1)
    n = effect @ _from_date(white.score)
    total = _from_date(white.weight)
    own = (effect**2) @ (total - white.shrink[..., None] * total**2)
    # shared[s, d, v]: pull of the column on the temperature of visit v
    visits = total.shape[-1]
    later = np.triu(np.ones((visits, visits)))
    direct = (effect @ white.pull)[:, :, None, :] * later
    level = (effect * white.shrink[:, None])[:, :, None, :] * np.swapaxes(total, -1, -2)[:, None]
    shared = direct - level @ white.pull[:, None]
    d = own - ((shared @ white.inverse[:, None]) * shared).sum(-1)
    d -= ((effect[:, None] @ _from_date(white.taken)) ** 2).sum(1)
    moved = _scores(weigh(n, d, priors.support_mm), n, d, count)
    dates = np.ones((grid.unit.size, visits), dtype=np.bool_)
    dates[:, 0] = grid.setting_known.any(-1)
    found = {Cause.SUPPORT_MOVED: _allowed(moved, there[..., None] & dates[:, None])}

    column = -grid.deck_effect * grid.expansion_per_c * 1000.0
    n1, d1 = dense_columns(white, (column[..., None] * grid.rise_k)[:, None])
    by = grid.station_from_fixed_m
    other = there & ~grid.is_fixed & (np.abs(np.nan_to_num(by)) > TINY)
    by = np.where(other, np.nan_to_num(by), 0.0)
    ratio = by * n1 - 0.5 * by**2 * d1
    n1, d1 = np.broadcast_to(n1, by.shape)[..., None], np.broadcast_to(d1, by.shape)[..., None]
    fixed = _scores(ratio[..., None], n1, d1, np.maximum(count - 1, 1))
    found[Cause.FIXED_POINT] = _allowed(fixed, other[..., None])
    return found


def shortening_shapes(grid: Grid) -> Floats:
    """Share of the shortening at the last visit that each visit shows, (b, k, v).

    Counted from the setting where one is known, else from the first visit; after the usual
    shapes those that are even from one of the visits on.
    """
    years = (grid.time_days - grid.set_days[:, None]) / _YEAR
    last = np.maximum(years.max(-1, keepdims=True), TINY)
    known = grid.setting_known.any(-1, keepdims=True)
    shapes = [np.ones_like(years)]
    for half in _HALF_YEARS:
        grown = years / (half + years)
        start = np.where(known, 0.0, grown[:, :1])
        end = np.maximum(last / (half + last) - start, TINY)
        shapes.append((grown - start) / end)
    for begin in range(_late_shapes(years.shape[-1])):
        since = years - years[:, begin, None]
        shapes.append(np.maximum(since, 0.0) / np.maximum(since[:, -1:], TINY))
    return np.stack(shapes, axis=1)


def _late_shapes(visits: int) -> int:
    """Number of visits from which on a shortening may be even."""
    return max(visits - _LATE_READINGS, 0)


def _log_shares(visits: int) -> Floats:
    """Log of how likely each shape is, times their number."""
    usual, late = 1 + len(_HALF_YEARS), _late_shapes(visits)
    if not late:
        return np.zeros(usual)
    share = np.r_[np.full(usual, (1.0 - _LATE) / usual), np.full(late, _LATE / late)]
    return np.asarray(np.log(share * (usual + late)))


def _of_units(grid: Grid, white: Whitened, priors: Priors) -> dict[Cause, Scores]:
    one = np.ones(grid.unit.size, dtype=np.int64)
    shapes = shortening_shapes(grid)
    n, d = (each[:, None] for each in shaped_columns(white, -grid.lever_mm, shapes))
    gain = weigh(n, d, priors.shortening) + _log_shares(shapes.shape[-1])
    # A shape that is lost in the levels has no sign but that of rounding.
    longer = n > _ROUNDING * np.sqrt(np.maximum(d, TINY))
    scores = _allowed(_scores(gain, n, d, one), longer)
    found = {Cause.SHORTENING: _over_shapes(scores)}
    rise = (grid.per_k[..., None] * grid.rise_k)[:, None]
    n, d = (each[:, None] for each in dense_columns(white, rise))
    seems = seeming(n, d, flattening(grid)[:, None, None])
    found[Cause.COEFFICIENT] = _scores(weigh(n, d, priors.coefficient) - seems, n, d, one)

    # A temperature wrong by more than its uncertainty, which V holds already.
    u = grid.u_temperature_k
    n = (white.pulled / u)[..., None]
    taken = (grid.per_k[:, None, :, None] * white.taken).sum(2)
    d = ((1.0 - np.einsum("...vv->...v", white.inverse)) / u**2 - (taken**2).sum(1))[..., None]
    shown = (grid.weight > 0).any(1)
    found[Cause.WRONG_TEMPERATURE] = _scores(
        weigh(n, d, priors.temperature_k), n, d, np.maximum(shown.sum(-1), 1)
    )
    return found


def _over_shapes(scores: Scores) -> Scores:
    """Let the size of each shape stand for all shapes, each with its probability."""
    ratio = scores.log_ratio
    peak = np.maximum(ratio.max(-1, keepdims=True), -1e6)
    share = np.where(np.isnan(scores.size), 0.0, np.exp(ratio - peak))
    share /= np.maximum(share.sum(-1, keepdims=True), TINY)
    size, u = np.nan_to_num(scores.size), np.nan_to_num(scores.u_size)
    mean = (share * size).sum(-1, keepdims=True)
    spread = (share * (u**2 + (size - mean) ** 2)).sum(-1, keepdims=True)
    spread += (_SHAPE_U * mean) ** 2
    return Scores(
        ratio,
        np.broadcast_to(mean, ratio.shape),
        np.broadcast_to(np.sqrt(spread), ratio.shape),
        scores.places,
    )
