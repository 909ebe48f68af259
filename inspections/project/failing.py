"""The pages of what went wrong; a database or disk that is away is told as such."""

from __future__ import annotations

import errno
import sys
from collections.abc import Callable
from functools import wraps
from typing import Any

from django.conf import settings
from django.db import InterfaceError, OperationalError
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.template import loader
from django.utils import translation
from django.views.csrf import csrf_failure
from django.views.defaults import page_not_found, permission_denied, server_error

from inspections.languages import reader_language

RETRY_AFTER_S = 30
NO_ROOM = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)
DETAIL = (
    "The database or disk of this site does not take anything just now. Nothing of this request"
    " was saved. Send it again in a minute."
)
PROGRAMS = ("/api/", "/field/records", "/field/photos/", "/field/inspections")
"""Paths whose callers read JSON."""


def _in_their_words(
    page: Callable[..., HttpResponse], language_of: Callable[[HttpRequest], str]
) -> Callable[..., HttpResponse]:
    """Let a page that may answer at any address speak the language of whoever reads it."""

    @wraps(page)
    def told(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        programs = request.path.startswith(PROGRAMS)
        language = settings.LANGUAGE_CODE if programs else language_of(request)
        with translation.override(language):
            response = page(request, *args, **kwargs)
        response.headers.setdefault("Content-Language", language)
        return response

    return told


def _without_database(request: HttpRequest) -> str:
    """Return the language that the page had already, else the one that the browser asks for."""
    if getattr(request, "is_translated", False):
        return translation.get_language() or settings.LANGUAGE_CODE
    return translation.get_language_from_request(request)


not_allowed = _in_their_words(permission_denied, reader_language)
not_found = _in_their_words(page_not_found, reader_language)
not_sent = _in_their_words(csrf_failure, reader_language)


def _failed(request: HttpRequest) -> HttpResponse:
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


failed = _in_their_words(_failed, _without_database)


def passes(error: BaseException | None) -> bool:
    """Tell whether an error is one of a database that is away, busy or full, or of a full disk."""
    if isinstance(error, (OperationalError, InterfaceError)):
        return True
    return isinstance(error, OSError) and error.errno in NO_ROOM
