"""Rows of a file put aside on disk, to be read again in another order than they came in.

A file of a million readings is sorted by visit before it is checked; its rows would fill the
memory of a small server.
"""

from __future__ import annotations

import marshal
import tempfile
from array import array
from collections.abc import Iterator
from typing import Self


class RowsPutAside:
    """Takes rows, each a line number with its cells, and gives them back by their places."""

    def __init__(self) -> None:
        self._file = tempfile.TemporaryFile()  # noqa: SIM115 - closed by __exit__
        self._end = 0

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_told: object) -> None:
        self._file.close()

    def add(self, places: array[int], line: int, cells: tuple[str, ...]) -> None:
        """Put a row aside and note its place among ``places``: where it begins, how long it is."""
        told = marshal.dumps((line, cells))
        self._file.write(told)
        places.extend((self._end, len(told)))
        self._end += len(told)

    def at(self, places: array[int]) -> Iterator[tuple[int, tuple[str, ...]]]:
        """Yield the rows at some places."""
        each = iter(places)
        for begins, length in zip(each, each, strict=True):
            self._file.seek(begins)
            yield marshal.loads(self._file.read(length))  # noqa: S302  # nosec B302 # own, above


def no_places() -> array[int]:
    """Return a list that places are noted in."""
    return array("Q")


def in_order(some: array[int], more: array[int]) -> array[int]:
    """Return two lists of places as one, in the order in which their rows came in."""
    pairs = zip(some[0::2] + more[0::2], some[1::2] + more[1::2], strict=True)
    return array("Q", [number for pair in sorted(pairs) for number in pair])
