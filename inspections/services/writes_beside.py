"""Writes of a transaction in a thread of their own, while the one that began it computes.

While a database works on a statement its driver leaves Python to other threads, so a second
processor does the writing of a large file.  Everything stays on the one connection, and so in the
one transaction: a query of the thread that computes first waits for the write that is under way.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import ExitStack
from threading import current_thread, main_thread
from types import TracebackType
from typing import Any, Self

from django.db import DEFAULT_DB_ALIAS, connections


class WritesBeside:
    """Takes one write after the other; each begins when it is told to, or at the end."""

    def __init__(self) -> None:
        self._connection = connections[DEFAULT_DB_ALIAS]
        self._held: Callable[[], None] | None = None
        self._under_way: Future[None] | None = None
        self._thread: ThreadPoolExecutor | None = None
        self._whose = main_thread()
        self._open = ExitStack()

    def __enter__(self) -> Self:
        self._whose = current_thread()
        self._connection.inc_thread_sharing()
        self._open.callback(self._connection.dec_thread_sharing)
        self._open.enter_context(self._connection.execute_wrapper(self._in_turn))
        thread = self._open.enter_context(ThreadPoolExecutor(1))
        try:
            thread.submit(self._share).result()
        except RuntimeError:
            # The machine gives no thread: each write is done where it is begun.
            return self
        self._thread = thread
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        traceback: TracebackType | None,
    ) -> None:
        with self._open:
            if kind is None:
                self.finish()

    def hold(self, write: Callable[[], None]) -> None:
        """Keep a write that is to begin later; one that is kept already begins now."""
        self.begin()
        self._held = write

    def begin(self) -> None:
        """Begin the write that is kept, once the one before has ended."""
        self._end()
        write, self._held = self._held, None
        if write is None:
            return
        if self._thread is None:
            write()
        else:
            self._under_way = self._thread.submit(write)

    def finish(self) -> None:
        """Do all writes, and raise what one of them raised."""
        self.begin()
        self._end()

    def _end(self) -> None:
        under_way, self._under_way = self._under_way, None
        if under_way is not None:
            under_way.result()

    def _in_turn(self, execute: Callable[..., Any], *told: Any) -> Any:
        if current_thread() is self._whose:
            self._end()
        return execute(*told)

    def _share(self) -> None:
        connections[DEFAULT_DB_ALIAS] = self._connection
