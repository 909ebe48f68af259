"""A number for each request, in the answer and in every line that is logged about it."""

from __future__ import annotations

import logging
import re
import uuid
from collections.abc import Callable
from contextvars import ContextVar

from django.http import HttpRequest, HttpResponse

HEADER = "X-Request-ID"
# What a proxy sends is kept where it cannot break a line of the log or say much.
KEPT = re.compile(r"[A-Za-z0-9-]{8,64}")
current: ContextVar[str] = ContextVar("request_id", default="")


class RequestIdMiddleware:
    """Give each request the number that a proxy has sent, or a new one."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        sent = request.headers.get(HEADER, "")
        number = sent if KEPT.fullmatch(sent) else uuid.uuid4().hex
        token = current.set(number)
        try:
            response = self.get_response(request)
        finally:
            current.reset(token)
        response[HEADER] = number
        return response


class WithRequestId(logging.Filter):
    """Add the number of the request to what is logged while it is answered."""

    def filter(self, record: logging.LogRecord) -> bool:
        """Let every record through."""
        record.request_id = current.get()
        return True
