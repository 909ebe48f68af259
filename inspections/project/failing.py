"""The page of what went wrong; a database or disk that is away is told as such."""

from __future__ import annotations

import errno
import sys

from django.db import InterfaceError, OperationalError
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.template import loader
from django.views.defaults import server_error

RETRY_AFTER_S = 30
NO_ROOM = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)
DETAIL = (
    "The database or disk of this site does not take anything just now. Nothing of this request"
    " was saved. Send it again in a minute."
)
PROGRAMS = ("/api/", "/field/records", "/field/photos/", "/field/inspections")
"""Paths whose callers read JSON."""


def failed(request: HttpRequest) -> HttpResponse:
    """Answer a request that ended in an error: 503 where it may go well in a while, else 500.

    Neither rests on the database: what is told must be told without it.
    """
    if not passes(sys.exc_info()[1]):
        return server_error(request)
    if request.path.startswith(PROGRAMS):
        answer: HttpResponse = JsonResponse(
            {"type": "/api/docs/#problem-busy", "title": "Busy", "status": 503, "detail": DETAIL,
             "errors": []},
            content_type="application/problem+json",
        )  # fmt: skip
    else:
        answer = HttpResponse(loader.render_to_string("503.html"))
    answer.status_code = 503
    answer["Retry-After"] = f"{RETRY_AFTER_S}"
    answer["Cache-Control"] = "no-store"
    return answer


def passes(error: BaseException | None) -> bool:
    """Tell whether an error is one of a database that is away, busy or full, or of a full disk."""
    if isinstance(error, (OperationalError, InterfaceError)):
        return True
    return isinstance(error, OSError) and error.errno in NO_ROOM
