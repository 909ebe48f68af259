"""A server with its rows at hand, for as long as a test lasts."""

from __future__ import annotations

import atexit
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from tempfile import mkdtemp

from tests.served.database import fresh_database_url
from tests.served.ledger import FILE, Ledger
from tests.served.server import Server


@dataclass(frozen=True)
class Running:
    """A server and the rows of its database."""

    server: Server
    ledger: Ledger


@contextmanager
def running(
    folder: Path, workers: int = 3, database_url: str | None = None, **more: str
) -> Iterator[Running]:
    """Start a server on an empty database; in the end it goes, whatever happened."""
    url = fresh_database_url() if database_url is None else database_url
    server = Server(folder, url, workers, **more)
    if url:
        server.manage("migrate", "-v", "0")
    else:
        shutil.copy(_empty_ledger(), folder / FILE)
    ledger = Ledger(folder, url)
    try:
        server.start()
        yield Running(server, ledger)
    finally:
        server.kill()
        ledger.close()


@cache
def _empty_ledger() -> Path:
    """Return a database file with all tables; made once, since that takes seconds."""
    folder = Path(mkdtemp(prefix="ledger-empty-"))
    atexit.register(shutil.rmtree, folder)
    Server(folder, "", 1).manage("migrate", "-v", "0")
    return folder / FILE
