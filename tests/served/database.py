"""Which database a server of the tests works on."""

from __future__ import annotations

import os
import uuid

ON_POSTGRESQL = "LEDGER_TEST_POSTGRESQL"
"""Variable that ``python -m tests.postgresql`` sets: the address of its server."""


def fresh_database_url() -> str:
    """Return the address of a new database: empty for a SQLite file in the server's folder."""
    address = os.environ.get(ON_POSTGRESQL, "")
    if not address:
        return ""
    import psycopg

    name = f"ledger_{uuid.uuid4().hex}"
    with psycopg.connect(f"{address}/postgres", autocommit=True) as connection:
        connection.execute(f"CREATE DATABASE {name}")
    return f"{address}/{name}"
