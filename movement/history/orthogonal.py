"""Columns of many fits at once: sums over the readings, and what other columns leave of one.

A table holds a series a column and a reading a row, (n, m): sums over the readings then add
whole rows, which NumPy does far faster than it sums many short ones.
"""

from __future__ import annotations

import numpy as np

from movement.checks import Floats
from movement.history.ragged import Flags

Columns = tuple[Floats, ...]

DEPENDENT = 1e-10
"""Share of a column's square left by those before it, below which it tells nothing."""


def dot(first: Floats, second: Floats) -> Floats:
    """Return the sum of products over the readings, (m,)."""
    return np.asarray(np.einsum("nm,nm->m", first, second), dtype=np.float64)


def without(basis: Columns, values: Floats) -> Floats:
    """Return a column less its projection on an orthonormal basis, (n, m)."""
    left = values
    for each in basis:
        left = left - each * dot(each, left)
    return left


def orthonormal(root: Floats, columns: Columns) -> tuple[Columns, tuple[Flags, ...]]:
    """Return an orthonormal basis of 1 and the columns, and which of them tell anything.

    ``root`` is the root of each reading's weight; basis columns are 0 where one tells nothing.
    """
    basis: list[Floats] = []
    told: list[Flags] = []
    for column in (None, *columns):
        left = root if column is None else root * column
        before = after = dot(left, left)
        if basis:
            for _ in range(2):  # once more, for what rounding left of the columns before
                left = without(tuple(basis), left)
            after = dot(left, left)
        tells = after > DEPENDENT * before
        basis.append(left * (tells / np.sqrt(np.where(tells, after, 1.0))))
        told.append(tells)
    return tuple(basis), tuple(told)
