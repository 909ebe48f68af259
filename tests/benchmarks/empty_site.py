"""A site of a benchmark's own, in this process: empty, and gone afterwards."""

from __future__ import annotations

import contextlib
import os
import tempfile
from collections.abc import Iterator, Mapping
from pathlib import Path

import django

from inventory.scoping import see_all
from tests.postgresql.cluster import NotInstalled, cluster


@contextlib.contextmanager
def empty_site(
    *, postgresql: bool, server: Mapping[str, str] | None = None, **variables: str
) -> Iterator[Path]:
    """Set Django up on a database and in a folder of its own; return the folder.

    ``server`` are settings of PostgreSQL's own.

    To be entered once, before anything of Django is imported.
    """
    try:
        with contextlib.ExitStack() as stack:
            folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
            os.environ |= {
                "LEDGER_DIR": str(folder),
                "DJANGO_SETTINGS_MODULE": "inspections.project.settings",
            } | variables
            if postgresql:
                os.environ["DATABASE_URL"] = f"{stack.enter_context(cluster(server))}/postgres"
            django.setup()
            see_all()
            yield folder
            django.db.connections.close_all()
    except NotInstalled as error:
        raise SystemExit(str(error)) from None
