"""What is told before the site starts with settings that cannot work."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core import checks
from django.db import connection
from django_tasks import task_backends
from django_tasks.exceptions import InvalidTaskBackendError
from django_tasks_db import DatabaseBackend

DIGEST_LINE = re.compile(rb"[0-9A-Fa-f]{16,40}(:\d+)?\s*")


@checks.register(checks.Tags.compatibility)
def check_workers(**_kwargs: Any) -> list[checks.CheckMessage]:
    """Long jobs that are to wait for a worker must come to one."""
    if not settings.WORKERS:
        return []
    found: list[checks.CheckMessage] = []
    try:
        usable = isinstance(task_backends["default"], DatabaseBackend)
    except InvalidTaskBackendError:
        usable = False
    if not usable:
        found.append(
            checks.Error(
                "LEDGER_WORKERS is 1, but TASKS names no backend that hands jobs to workers.",
                hint="Let TASKS be django_tasks_db.DatabaseBackend, or set LEDGER_WORKERS=0.",
                id="inspections.E001",
            )
        )
    if connection.vendor == "sqlite" and connection.is_in_memory_db():
        found.append(
            checks.Error(
                "LEDGER_WORKERS is 1, but the database lies in the memory of this process, where"
                " no worker finds a job.",
                hint="Give DATABASE_URL a file or a server, or set LEDGER_WORKERS=0.",
                id="inspections.E002",
            )
        )
    return found


@checks.register(checks.Tags.security)
def check_breached_passwords(**_kwargs: Any) -> list[checks.CheckMessage]:
    """The file of breached passwords must be there, and begin with a digest."""
    path = settings.BREACHED_PASSWORDS
    if not path:
        return []
    try:
        with Path(path).open("rb") as file:
            first = file.readline(200)
    except OSError as error:
        fault = f"cannot be read: {error.strerror}."
    else:
        if DIGEST_LINE.fullmatch(first):
            return []
        fault = "does not begin with a SHA-1 digest in hexadecimal."
    return [
        checks.Error(
            f"LEDGER_BREACHED_PASSWORDS is «{path}», which {fault}",
            hint="Give a file of sorted SHA-1 digests, one a line, or leave the setting out.",
            id="inspections.E003",
        )
    ]
