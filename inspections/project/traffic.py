"""One line in the log and one count in the metrics for each request that was answered.

Neither holds who asked or from where: an address is told as the route that it took, such as
``elements/<int:pk>/``, and never with its search terms.
"""

from __future__ import annotations

import logging
import time
from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from prometheus_client import Counter, Histogram

logger = logging.getLogger(__name__)
ANSWERED = Counter(
    "ledger_requests",
    "Requests answered, by method, route and status.",
    ["method", "route", "status"],
)
SECONDS = Histogram(
    "ledger_request_seconds",
    "Seconds until the answer began, by route.",
    ["route"],
    buckets=(0.02, 0.05, 0.1, 0.2, 0.3, 0.5, 1, 2, 5, 10, 30),
)
METHODS = frozenset({"GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS"})


class TrafficMiddleware:
    """Time each request, count it by its route and write a line about it."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        began = time.perf_counter()
        response = self.get_response(request)
        taken_s = time.perf_counter() - began
        route = route_of(request)
        # Whoever invents methods must not fill the memory with counts of them.
        method = request.method if request.method in METHODS else "other"
        ANSWERED.labels(method, route, response.status_code).inc()
        SECONDS.labels(route).observe(taken_s)
        logger.info(
            "%s %s %d",
            method,
            route,
            response.status_code,
            extra={
                "method": method,
                "route": route,
                "status": response.status_code,
                "taken_ms": round(1000 * taken_s, 1),
            },
        )
        return response


def route_of(request: HttpRequest) -> str:
    """Return the pattern that an address fits; one word for all that fit none."""
    match = request.resolver_match
    return f"/{match.route}" if match else "unknown"
