"""The rows of a server's database, reached from a process of its own.

A test's own process has another database; so has this one's server.
"""

from __future__ import annotations

import importlib
import multiprocessing
import os
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import Any

from inventory.scoping import see_all

ROOT = Path(__file__).resolve().parents[2]
FILE = "ledger.sqlite3"
"""The database in a server's folder, where it has no other."""


def environment(folder: Path, database_url: str = "") -> dict[str, str]:
    """Return what the product needs to know of its folder and its database."""
    url = database_url or f"sqlite:///{folder / FILE}"
    return {
        "DJANGO_SETTINGS_MODULE": "inspections.project.settings",
        "LEDGER_DIR": str(folder),
        "DATABASE_URL": url,
    }


class Ledger:
    """Calls functions where the product works on the server's database."""

    def __init__(self, folder: Path, database_url: str = "") -> None:
        self._pool = ProcessPoolExecutor(
            1,
            mp_context=multiprocessing.get_context("spawn"),
            initializer=_begin,
            initargs=(environment(folder, database_url),),
        )

    def call(self, name: str, *arguments: Any) -> Any:
        """Call a function, ``module:name``, and return what it returns."""
        return self._pool.submit(_call, name, arguments).result()

    def close(self) -> None:
        """End the process."""
        self._pool.shutdown()


def _begin(variables: dict[str, str]) -> None:
    import django

    os.environ.update(variables)
    django.setup()
    see_all()


def _call(name: str, arguments: tuple[Any, ...]) -> Any:
    from django.db import close_old_connections

    close_old_connections()
    module, function = name.split(":")
    return getattr(importlib.import_module(module), function)(*arguments)
