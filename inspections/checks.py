"""What is told before the site starts with settings that cannot work."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.core import checks
from django.db import connection
from django_tasks import task_backends
from django_tasks.exceptions import InvalidTaskBackendError
from django_tasks_db import DatabaseBackend


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
