"""Which database a server of the tests works on."""

from __future__ import annotations

import atexit
import os
import shutil
import subprocess
import sys
import uuid
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory, mkdtemp

from tests.served.ledger import FILE, ROOT, environment

ON_POSTGRESQL = "LEDGER_TEST_POSTGRESQL"
"""Variable that ``python -m tests.postgresql`` sets: the address of its server."""
TEMPLATE = "ledger_with_tables"
"""A database there with all tables and no rows, made once: migrations alone take ten seconds."""


def fresh_database_url() -> str:
    """Return the address of a new database: empty for a SQLite file in the server's folder."""
    address = os.environ.get(ON_POSTGRESQL, "")
    return _created(address) if address else ""


def url_with_tables(folder: Path) -> str:
    """Return the address of a new database with all tables; empty for a file in the folder."""
    address = os.environ.get(ON_POSTGRESQL, "")
    if not address:
        file_with_tables(folder)
        return ""
    _make_template(address)
    return _created(address, f" TEMPLATE {TEMPLATE}")


def file_with_tables(folder: Path) -> None:
    """Put a SQLite file with all tables into a folder."""
    shutil.copy(_empty_ledger(), folder / FILE)


def _created(address: str, how: str = "") -> str:
    import psycopg

    name = f"ledger_{uuid.uuid4().hex}"
    with psycopg.connect(f"{address}/postgres", autocommit=True) as connection:
        connection.execute(f"CREATE DATABASE {name}{how}")
    return f"{address}/{name}"


@cache
def _make_template(address: str) -> None:
    """Make the template unless another process of the run has made it; the others wait."""
    import psycopg

    with psycopg.connect(f"{address}/postgres", autocommit=True) as connection:
        connection.execute("SELECT pg_advisory_lock(1)")
        made = "SELECT 1 FROM pg_database WHERE datname = %s"
        if connection.execute(made, [TEMPLATE]).fetchone():
            return
        url = fresh_database_url()
        with TemporaryDirectory() as folder:
            with_all_tables(Path(folder), url)
        name = url.rpartition("/")[2]
        connection.execute(f"ALTER DATABASE {name} RENAME TO {TEMPLATE}")


@cache
def _empty_ledger() -> Path:
    """Return a database file with all tables."""
    folder = Path(mkdtemp(prefix="ledger-empty-"))
    atexit.register(shutil.rmtree, folder)
    with_all_tables(folder)
    return folder / FILE


def with_all_tables(folder: Path, database_url: str = "") -> None:
    """Make all tables in an empty database."""
    subprocess.run(
        [sys.executable, "manage.py", "migrate", "-v", "0"],
        cwd=ROOT,
        env=os.environ | environment(folder, database_url),
        check=True,
    )
