"""Slopes at the least sum of squares where the temperature is uncertain: York's iteration."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from movement.checks import Floats
from movement.history.orthogonal import DEPENDENT, Columns, dot, orthonormal, without

_ROUNDS = 60
_CLOSE = 1e-11
_SECANT_BELOW, _NEAR = 0.6, 0.001
"""Ratio of two rounds' moves, and move as a share of the slope, up to which the secant through
both rounds is followed; elsewhere it would be a leap in the dark."""
_FEW_LEFT = 0.7
"""Share of the series still moving below which the others are put aside."""

Round = Callable[[Columns, Floats, bool], Floats]


def least_slopes(
    y: Floats,
    temperature: Floats,
    variance_y: Floats,
    variance_t: Floats,
    used: Floats,
    columns: Columns,
    start: Floats,
) -> Floats:
    """Return the slope of each series at the least sum, (m,).

    Parameters
    ----------
    y, temperature, variance_y, variance_t : array (n, m)
        Readings, a column a series.
    used : array (n, m)
        1 for readings that count, 0 for the others.
    columns : p arrays (n, m)
        Columns of the line besides 1.
    start : array (m,)
        Slope to start from, and to keep where the temperatures tell none.

    Notes
    -----
    Where the readings of a series are all equally uncertain, weights alter nothing in what
    the columns take out of T and y: three sums, taken once, then serve every round.
    """
    alike = (variance_y == variance_y[0]).all(axis=0) & (variance_t == variance_t[0]).all(axis=0)
    found = np.empty_like(start)
    for some, is_alike in ((np.flatnonzero(alike), True), (np.flatnonzero(~alike), False)):
        if not some.size:
            continue
        arrays: Columns = (y, temperature, variance_y, variance_t, used, *columns)
        if some.size < start.size:
            arrays = tuple(each.take(some, axis=1) for each in arrays)
        if is_alike:
            found[some] = _least(_round_of_alike, _sums_of_alike(*arrays), start[some])
        else:
            found[some] = _least(_round, arrays, start[some])
    return found


def _least(better: Round, arrays: Columns, start: Floats) -> Floats:
    """Follow the rounds until no slope moves.

    Each is a map of the slope onto a better one; from two of them the secant tells where
    they lead to.  Series that have come to rest are put aside.
    """
    b = better(arrays, start, True)
    found = np.empty_like(b)
    moving = np.arange(b.size)
    b_before = move_before = None
    for _ in range(_ROUNDS):
        new = better(arrays, b, False)
        move = new - b
        found[moving] = new
        open_ = np.abs(move) > _CLOSE * (np.abs(new) + np.abs(b))
        left = np.count_nonzero(open_)
        if not left:
            break
        if b_before is not None and move_before is not None:
            apart = b - b_before
            rate = 1.0 + (move - move_before) / np.where(apart == 0, np.inf, apart)
            follow = (np.abs(rate) < _SECANT_BELOW) & (np.abs(move) < _NEAR * np.abs(b))
            new = np.where(follow, b + move / np.where(follow, 1.0 - rate, 1.0), new)
        if left < _FEW_LEFT * open_.size:
            keep = np.flatnonzero(open_)
            arrays = tuple(each.take(keep, axis=-1) for each in arrays)
            moving, b, move, new = moving[keep], b[keep], move[keep], new[keep]
        b_before, move_before, b = b, move, new
    return found


def _sums_of_alike(
    y: Floats,
    temperature: Floats,
    variance_y: Floats,
    variance_t: Floats,
    used: Floats,
    *columns: Floats,
) -> Columns:
    """Return squares and products of what 1 and the columns leave of T and y, and variances."""
    basis, _ = orthonormal(used, columns)
    whole = used * temperature
    t, y = without(basis, whole), without(basis, used * y)
    spread = dot(t, t)
    told = (spread > DEPENDENT * dot(whole, whole)).astype(np.float64)
    return spread, dot(t, y), dot(y, y), variance_y[0], variance_t[0], told


def _round_of_alike(sums: Columns, b: Floats, plain: bool) -> Floats:
    """Return what :func:`_round` does, from the sums of equally uncertain readings."""
    tt, ty, yy, variance_y, variance_t, told = sums
    if plain:
        return np.where(told > 0, ty / np.where(told > 0, tt, 1.0), b)
    pull = b * variance_t / (variance_y + b * b * variance_t)
    bottom = tt + pull * (ty - b * tt)
    good = (told > 0) & (bottom > 0.05 * tt)
    return np.where(good, (ty + pull * (yy - b * ty)) / np.where(good, bottom, 1.0), b)


def _round(arrays: Columns, b: Floats, plain: bool) -> Floats:
    """Return the slope that the weights at ``b`` make best; it stays where none is told.

    ``plain`` takes the temperatures as exact but for the weights: the first round.
    """
    y, t, variance_y, variance_t, used, *columns = arrays
    weight = variance_t * (b * b)
    weight += variance_y
    np.divide(used, weight, out=weight)
    total = weight.sum(axis=0)
    np.maximum(total, np.finfo(np.float64).tiny, out=total)
    taken: list[tuple[Floats, Floats, Floats]] = []

    def left_of(values: Floats) -> tuple[Floats, Floats]:
        """Return the values less what 1 and the columns explain, and the square of that."""
        level = dot(weight, values) / total
        left, square = values - level, total * level * level
        for base, weighted, per_square in taken:
            share = dot(weighted, left)
            square += share * share * per_square
            left -= base * (share * per_square)
        return left, square

    for column in columns:
        base, _ = left_of(column)
        weighted = weight * base
        after = dot(weighted, base)
        tells = after > DEPENDENT * dot(weight * column, column)
        taken.append((base, weighted, tells / np.where(tells, after, 1.0)))
    t, explained = left_of(t)
    y, _ = left_of(y)
    weighted = weight * t
    spread = dot(weighted, t)
    told = spread > DEPENDENT * (spread + explained)
    if plain:
        return np.where(told, dot(weighted, y) / np.where(told, spread, 1.0), b)
    lever = y - b * t
    lever *= weight
    lever *= variance_t
    lever *= b
    lever += t
    lever *= weight
    bottom = dot(lever, t)
    good = told & (bottom > 0.05 * spread)
    return np.where(good, dot(lever, y) / np.where(good, bottom, 1.0), b)
