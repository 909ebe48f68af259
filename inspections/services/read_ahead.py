"""Read what a write rests on before its turn to write has come.

On SQLite one process writes at a time, and all others wait for as long as it reads and computes
within its transaction.  So that is done before it, in one state of the database; once the
transaction holds the lock, the same queries are run again, without making objects of their rows.
Where they find the same, what was made of it holds; otherwise it is made anew.

Other databases lock rows and not everything, so there it is read within the transaction at once.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Generic, TypeVar

from django.db import connection

from inspections.lookups.snapshot import one_state

T = TypeVar("T")
Statement = tuple[str, Any]


class Ahead(Generic[T]):
    """What a function reads and makes of it, which must write nothing."""

    def __init__(self, read: Callable[[], T]) -> None:
        self._read = read
        self._made: list[tuple[T, dict[Statement, list[tuple]]]] = []
        if connection.vendor == "sqlite":
            with one_state():
                self._made.append(_noted(read))

    def held(self) -> T:
        """Return it as it is now, in a transaction that keeps it so."""
        for made, found in self._made:
            if all(_rows(statement) == rows for statement, rows in found.items()):
                return made
        return self._read()


def _noted(read: Callable[[], T]) -> tuple[T, dict[Statement, list[tuple]]]:
    """Return what a function makes, and what each of its queries finds."""
    asked: dict[Statement, None] = {}

    def note(execute: Callable[..., Any], sql: str, params: Any, *rest: Any) -> Any:
        asked[sql, tuple(params or ())] = None
        return execute(sql, params, *rest)

    with connection.execute_wrapper(note):
        made = read()
    return made, {statement: _rows(statement) for statement in asked}


def _rows(statement: Statement) -> list[tuple]:
    with connection.cursor() as cursor:
        cursor.execute(*statement)
        return cursor.fetchall()
