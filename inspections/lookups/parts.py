"""Many rows in parts that one query can name."""

from collections.abc import Callable, Iterable, Iterator
from itertools import islice
from typing import TypeVar

MOST_NAMED_AT_ONCE = 10_000
"""Below the fewest parameters of a query that a supported database takes: 32,766 of SQLite."""

Row = TypeVar("Row")


def in_parts(rows: Iterable[Row], most: int = MOST_NAMED_AT_ONCE) -> Iterator[list[Row]]:
    """Yield rows in lists, in their order; none where there are no rows."""
    remaining = iter(rows)
    while part := list(islice(remaining, most)):
        yield part


def by_size(rows: Iterable[Row], size: Callable[[Row], int], most: int) -> Iterator[list[Row]]:
    """Yield rows in lists of up to so much together, in their order; one that is larger alone."""
    part: list[Row] = []
    taken = 0
    for row in rows:
        its = size(row)
        if part and taken + its > most:
            yield part
            part, taken = [], 0
        part.append(row)
        taken += its
    if part:
        yield part
