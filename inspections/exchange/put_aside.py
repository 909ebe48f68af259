"""Rows of a file put aside on disk, to be read again in another order than they came in.

A file of a million readings is sorted by visit before it is checked; its rows would fill the
memory of a small server.
"""

from __future__ import annotations

import marshal
import tempfile
from array import array
from collections.abc import Hashable, Iterator
from typing import Generic, Self, TypeVar

MOST_IN_MEMORY = 20_000
"""So many rows wait to be written together with others of their group."""
Group = TypeVar("Group", bound=Hashable)
Row = tuple[int, list[str]]
"""A line number with the cells of the line."""


class RowsPutAside(Generic[Group]):
    """Takes rows, each to a group, and gives them back by their group."""

    def __init__(self) -> None:
        self._file = tempfile.TemporaryFile()  # noqa: SIM115 - closed by __exit__
        self._end = 0
        self._places: dict[Group, array[int]] = {}
        self._waiting: dict[Group, list[Row]] = {}
        self._count = 0

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_told: object) -> None:
        self._file.close()

    def add(self, group: Group, row: Row) -> None:
        """Put a row aside."""
        waiting = self._waiting.get(group)
        if waiting is None:
            self._waiting[group] = [row]
        else:
            waiting.append(row)
        self._count += 1
        if self._count >= MOST_IN_MEMORY:
            self._write()

    def groups(self) -> list[Group]:
        """Return the groups in the order in which their first rows came in."""
        self._write()
        return list(self._places)

    def of(self, group: Group) -> Iterator[Row]:
        """Yield the rows of a group in the order in which they came in."""
        self._write()
        each = iter(self._places[group])
        for begins, length in zip(each, each, strict=True):
            self._file.seek(begins)
            yield from marshal.loads(self._file.read(length))  # noqa: S302  # nosec B302 # own

    def _write(self) -> None:
        """Write the rows that wait, those of a group beside each other."""
        for group, rows in self._waiting.items():
            told = marshal.dumps(rows)
            self._file.write(told)
            self._places.setdefault(group, array("Q")).extend((self._end, len(told)))
            self._end += len(told)
        self._waiting.clear()
        self._count = 0
