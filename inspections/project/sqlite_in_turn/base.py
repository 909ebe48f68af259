"""Django's SQLite, with writers that take turns.

Whoever finds SQLite's own lock taken sleeps for up to a tenth of a second before asking again, and
whoever comes meanwhile goes first: beside busy tablets one of them waited for seconds.  Here a
transaction asks every few milliseconds for a lock on a file beside the database before it begins.
The lock of a process that was killed is free at once; SQLite's own still keeps out whatever does
not ask for a turn, such as a command-line shell.
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterator

from django.db import OperationalError
from django.db.backends.sqlite3 import base
from filelock import FileLock, Timeout

ASKED_EVERY_S = 0.002


class DatabaseWrapper(base.DatabaseWrapper):
    """A connection whose transactions wait for their turn, for as long as its ``timeout`` says."""

    _turn: FileLock | None = None

    def _start_transaction_under_autocommit(self) -> None:
        if not self.is_in_memory_db():
            self._turn = FileLock(
                f"{self.settings_dict['NAME']}-turn",
                timeout=self.settings_dict["OPTIONS"].get("timeout", 5.0),
                poll_interval=ASKED_EVERY_S,
                thread_local=False,
            )
            try:
                self._turn.acquire()
            except Timeout as waited:
                raise OperationalError("database is locked") from waited
        try:
            super()._start_transaction_under_autocommit()
        except BaseException:
            self._pass_on()
            raise

    def _commit(self) -> None:
        # A commit that fails leaves the transaction open, and a rollback follows.
        super()._commit()
        self._pass_on()

    def _rollback(self) -> None:
        with self._passed_on():
            super()._rollback()

    def _close(self) -> None:
        with self._passed_on():
            super()._close()

    @contextlib.contextmanager
    def _passed_on(self) -> Iterator[None]:
        try:
            yield
        finally:
            self._pass_on()

    def _pass_on(self) -> None:
        if self._turn is not None:
            self._turn.release(force=True)
