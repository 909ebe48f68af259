"""A server with its rows at hand, for as long as a test lasts."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from tests.served.database import fresh_database_url
from tests.served.ledger import Ledger
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
    server.manage("migrate", "-v", "0")
    ledger = Ledger(folder, url)
    try:
        server.start()
        yield Running(server, ledger)
    finally:
        server.kill()
        ledger.close()
