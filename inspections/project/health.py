"""What a load balancer and a watchman ask: is it alive, can it serve, how does it fare."""

from __future__ import annotations

import logging
import secrets
import shutil
import tempfile
from collections.abc import Callable
from pathlib import Path

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.db import DatabaseError, connection
from django.db.migrations.executor import MigrationExecutor
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe
from prometheus_client import CONTENT_TYPE_LATEST, REGISTRY, CollectorRegistry, generate_latest
from prometheus_client.multiprocess import MultiProcessCollector

logger = logging.getLogger(__name__)
PROBES = ("healthz", "readyz", "metrics")
LEAST_FREE_BYTES = 200 * 1024 * 1024
"""Below this an inspection with photos may no longer fit."""


class ProbesMiddleware:
    """Forget at a probe who is signed in: to know it takes the database, which may be away."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response
        self.probes = {reverse(name) for name in PROBES}

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Drop the cookie of the session."""
        if request.path in self.probes:
            request.COOKIES.pop(settings.SESSION_COOKIE_NAME, None)
        return self.get_response(request)


@never_cache
@require_safe
@login_not_required
def alive(_request: HttpRequest) -> JsonResponse:
    """Answer; nothing is asked of the database, so that its loss restarts no process."""
    return JsonResponse({"alive": True})


@never_cache
@require_safe
@login_not_required
def ready(_request: HttpRequest) -> JsonResponse:
    """Say whether this process can serve: 200 where every check holds, else 503 with what fails."""
    checks = {name: _held(check) for name, check in CHECKS.items()}
    fine = all(each == "ok" for each in checks.values())
    return JsonResponse({"ready": fine, "checks": checks}, status=200 if fine else 503)


@never_cache
@require_safe
@login_not_required
def metrics(request: HttpRequest) -> HttpResponse:
    """Give the counts in the text format of Prometheus to whoever knows the token.

    Without a token in the settings there is no such page.
    """
    token = settings.METRICS_TOKEN
    given = request.headers.get("Authorization", "").removeprefix("Bearer ")
    if not token or not secrets.compare_digest(given.encode(), token.encode()):
        raise Http404
    return HttpResponse(generate_latest(_registry()), content_type=CONTENT_TYPE_LATEST)


def _registry() -> CollectorRegistry:
    """Return the counts of this process, or of all where they share a folder."""
    if not settings.METRICS_DIR:
        return REGISTRY
    shared = CollectorRegistry()
    MultiProcessCollector(shared, path=settings.METRICS_DIR)
    return shared


def _held(check: Callable[[], str]) -> str:
    try:
        return check()
    except (DatabaseError, OSError):
        # What exactly, is for the log alone: it may name hosts and folders.
        logger.exception("not ready")
        return "does not answer"


def _database() -> str:
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")
        cursor.fetchone()
    return "ok"


def _migrations() -> str:
    executor = MigrationExecutor(connection)
    waiting = executor.migration_plan(executor.loader.graph.leaf_nodes())
    return "run «manage.py migrate»" if waiting else "ok"


def _files() -> str:
    folder = Path(settings.MEDIA_ROOT)
    folder.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryFile(dir=folder) as file:
        file.write(b"ready")
    return "ok" if shutil.disk_usage(folder).free >= LEAST_FREE_BYTES else "the disk is nearly full"


CHECKS = {"database": _database, "migrations": _migrations, "files": _files}
