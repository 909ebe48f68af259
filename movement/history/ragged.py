"""Series of unlike length in flat arrays: ordering, sums and blocks of like length."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from movement.checks import Floats, at_least_zero, known_or_missing
from movement.errors import InputError

Rows = NDArray[np.int64]
Flags = NDArray[np.bool_]

LARGEST_BLOCK = 1 << 14
"""Readings of one block: its working arrays stay in the processor's cache."""


@dataclass(frozen=True, slots=True, eq=False)
class Readings:
    """Complete readings, ordered by series and then by time.

    Attributes
    ----------
    value, u_value : array (n,)
        Reading and its standard uncertainty [unit of the quantity].
    temperature_c, u_temperature_k : array (n,)
        Effective temperature [degC] and its standard uncertainty [K].
    time_years : array (n,)
        Years since any epoch.
    row : array (n,) of int
        Place of each in the arrays that were given.
    counts : array (series,) of int
        Complete readings of each series; 0 is allowed.
    incomplete : array (series,) of int
        Readings passed over because one of their numbers was not known.
    given : int
        Number of readings given.
    """

    value: Floats
    u_value: Floats
    temperature_c: Floats
    u_temperature_k: Floats
    time_years: Floats
    row: Rows
    counts: Rows
    incomplete: Rows
    given: int

    @classmethod
    def of(
        cls,
        value: ArrayLike,
        u_value: ArrayLike,
        temperature_c: ArrayLike,
        u_temperature_k: ArrayLike,
        time_years: ArrayLike,
        series: ArrayLike,
        series_count: int,
    ) -> Readings:
        """Check, pass over what is incomplete, and order.

        Parameters
        ----------
        value, u_value, temperature_c, u_temperature_k, time_years : array_like (n,)
            As the attributes; NaN means "not known".  One reading a visit and series:
            points read at one visit share its error of temperature, so give their mean.
        series : array_like (n,) of int
            Series of each reading, 0 to ``series_count`` - 1, in any order.
        series_count : int
            Number of series; one without readings is answered too.

        Raises
        ------
        InputError
            If a value is infinite, an uncertainty negative, a series number wrong, or
            the arrays do not pair.
        """
        columns = (
            known_or_missing("value", value),
            at_least_zero("u_value", u_value),
            known_or_missing("temperature_c", temperature_c),
            at_least_zero("u_temperature_k", u_temperature_k),
            known_or_missing("time_years", time_years),
        )
        number = np.asarray(series)
        if number.ndim != 1 or (number.dtype.kind not in "iu" and number.size):
            raise InputError("series", "is not a flat array of whole numbers", "Number the series.")
        if number.size and (number.min() < 0 or number.max() >= series_count):
            raise InputError(
                "series",
                f"goes from {number.min()} to {number.max()}, with {series_count} series",
                "Number the series from 0.",
            )
        for name, column in zip(
            ("value", "u_value", "temperature_c", "u_temperature_k", "time_years"),
            columns,
            strict=True,
        ):
            if column.ndim and column.shape != number.shape:
                raise InputError(
                    name,
                    f"has shape {column.shape}, series has {number.shape}",
                    "Give one value a reading.",
                )
        wide = [np.broadcast_to(each, number.shape) for each in columns]
        number = number.astype(np.int64)
        keep = np.flatnonzero(~np.isnan(sum(wide)))
        order = keep
        if not _in_order(number[keep], wide[4][keep]):
            order = keep[np.lexsort((wide[4][keep], number[keep]))]
        counts = np.bincount(number[keep], minlength=series_count).astype(np.int64)
        every = np.bincount(number, minlength=series_count).astype(np.int64)
        ordered = [np.asarray(each[order]) for each in wide]
        return cls(
            value=ordered[0],
            u_value=ordered[1],
            temperature_c=ordered[2],
            u_temperature_k=ordered[3],
            time_years=ordered[4],
            row=np.asarray(order, dtype=np.int64),
            counts=counts,
            incomplete=np.asarray(every - counts, dtype=np.int64),
            given=number.size,
        )


def _in_order(number: Rows, time: Floats) -> bool:
    """Tell whether readings are ordered by series and time already, as most are kept."""
    rises = number[1:] > number[:-1]
    rises |= (number[1:] == number[:-1]) & (time[1:] >= time[:-1])
    return bool(rises.all())


def starts_of(counts: Rows) -> Rows:
    """Return the first row of each series."""
    return np.asarray(np.cumsum(counts) - counts, dtype=np.int64)


def series_sums(values: Floats, counts: Rows) -> Floats:
    """Return the sum over each series; 0 for a series without readings."""
    sums = np.zeros(counts.size)
    some = counts > 0
    if some.any():
        sums[some] = np.add.reduceat(values, starts_of(counts)[some])
    return sums


@dataclass(frozen=True, slots=True, eq=False)
class Block:
    """Series of about one length as a table: a column each, padded at the end.

    Attributes
    ----------
    series : array (m,) of int
        Which series.
    rows : array (n, m) of int
        Flat row of each reading; padding repeats the last one.
    there : array (n, m) of bool
        False for padding.
    """

    series: Rows
    rows: Rows
    there: Flags


def blocks(counts: Rows, exact: bool = False) -> Iterator[Block]:
    """Yield tables that together hold each series with a reading once.

    Up to 16 readings a table holds one length only; above, lengths within about a
    quarter share a table unless ``exact``.
    """
    size = counts.astype(np.float64)
    ladder = np.ceil(16 * 1.25 ** np.ceil(np.log(np.maximum(size, 16) / 16) / np.log(1.25)))
    width = np.where((size <= 16) | exact, size, np.maximum(ladder, size)).astype(np.int64)
    order = np.argsort(width, kind="stable")
    order = order[width[order] > 0]
    starts = starts_of(counts)
    edges = np.flatnonzero(np.diff(width[order])) + 1
    for alike in np.split(order, edges) if order.size else []:
        n = int(width[alike[0]])
        step = max(1, LARGEST_BLOCK // n)
        for first in range(0, alike.size, step):
            some = alike[first : first + step].astype(np.int64)
            place = np.arange(n)[:, np.newaxis]
            rows = starts[some] + np.minimum(place, counts[some] - 1)
            yield Block(some, rows, place < counts[some])
