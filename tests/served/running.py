"""A server with its rows at hand, for as long as a test lasts."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from tests.served.database import file_with_tables, url_with_tables
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
    """Start a server on a database without rows; in the end it goes, whatever happened.

    ``database_url`` names an empty one, or, as an empty text, a file in the folder.
    """
    url = url_with_tables(folder) if database_url is None else database_url
    server = Server(folder, url, workers, **more)
    if database_url:
        server.manage("migrate", "-v", "0")
    elif database_url == "":
        file_with_tables(folder)
    ledger = Ledger(folder, url)
    try:
        server.start()
        yield Running(server, ledger)
    finally:
        server.kill()
        ledger.close()
