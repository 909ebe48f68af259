"""One state of the database for reads that go on for a while."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager, nullcontext

from django.db import connection, transaction


@contextmanager
def snapshot() -> Iterator[None]:
    """Read one state of the database, whatever is written meanwhile, and hold nobody up."""
    if connection.vendor != "sqlite":
        with transaction.atomic():
            with connection.cursor() as cursor:
                cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY")
            yield
        return
    # `atomic` would take the one lock of writers. The state is that of the first read.
    with connection.cursor() as cursor:
        cursor.execute("BEGIN DEFERRED")
        try:
            cursor.execute("SELECT COUNT(*) FROM django_migrations")
            yield
        finally:
            cursor.execute("ROLLBACK")


@contextmanager
def one_state() -> Iterator[None]:
    """Read one state of the database; within a transaction, what that sees."""
    with nullcontext() if connection.in_atomic_block else snapshot():
        yield
