"""Every refusal in one shape: a problem document (RFC 9457)."""

from __future__ import annotations

import logging
from collections.abc import Iterator, Mapping
from http import HTTPStatus
from typing import Any

from django.core.exceptions import NON_FIELD_ERRORS, PermissionDenied
from django.core.exceptions import ValidationError as ModelRefusal
from django.db import IntegrityError, OperationalError
from django.http import Http404
from rest_framework import exceptions, status
from rest_framework.response import Response
from rest_framework.settings import api_settings

from inspections.services.idempotency import OtherRequest
from inspections.services.new_rows import RowsRefused
from movement.errors import InputError

MEDIA_TYPE = "application/problem+json"
logger = logging.getLogger(__name__)
TYPES = {
    status.HTTP_400_BAD_REQUEST: ("invalid", "Not valid"),
    status.HTTP_401_UNAUTHORIZED: ("not-signed-in", "Not signed in"),
    status.HTTP_403_FORBIDDEN: ("not-allowed", "Not allowed"),
    status.HTTP_404_NOT_FOUND: ("not-known", "Not known"),
    status.HTTP_405_METHOD_NOT_ALLOWED: ("method", "Not done here"),
    status.HTTP_406_NOT_ACCEPTABLE: ("format", "No such format"),
    status.HTTP_409_CONFLICT: ("conflict", "Not possible as things stand"),
    status.HTTP_415_UNSUPPORTED_MEDIA_TYPE: ("media-type", "Not sent as JSON"),
    status.HTTP_422_UNPROCESSABLE_ENTITY: ("key-used", "Idempotency key used before"),
    status.HTTP_429_TOO_MANY_REQUESTS: ("too-often", "Asked too often"),
    status.HTTP_503_SERVICE_UNAVAILABLE: ("busy", "Busy"),
}
Errors = list[dict[str, str]]


def problem(code: int, detail: str, errors: Errors | None = None, **headers: str) -> Response:
    """Return a problem document."""
    name, title = TYPES.get(code, ("other", HTTPStatus(code).phrase))
    return Response(
        {
            "type": f"/api/docs/#problem-{name}",
            "title": title,
            "status": code,
            "detail": detail,
            "errors": errors or [],
        },
        status=code,
        headers=headers,
        content_type=MEDIA_TYPE,
    )


def problem_of(error: Exception, context: Mapping[str, Any]) -> Response | None:
    """Return the problem document of a refusal; None for a fault of our own."""
    if isinstance(error, InputError):
        message = f"{error.message}. {error.remedy}"
        return _invalid([{"field": error.field, "message": message}])
    if isinstance(error, RowsRefused):
        return _invalid(
            [
                {"field": f"{kind}[{each.row}].{each.field}", "message": each.message}
                for kind, rows in (
                    ("readings", error.readings),
                    ("temperatures", error.temperatures),
                )
                for each in rows
            ]
        )
    if isinstance(error, ModelRefusal):
        return _refused(error)
    if isinstance(error, OtherRequest):
        detail = "This Idempotency-Key came with another request before. Use a new key."
        return problem(status.HTTP_422_UNPROCESSABLE_ENTITY, detail)
    if isinstance(error, Http404):
        return problem(status.HTTP_404_NOT_FOUND, "There is no such thing.")
    if isinstance(error, PermissionDenied):
        return problem(status.HTTP_403_FORBIDDEN, "This account's role may not do that.")
    if isinstance(error, OperationalError):
        logger.error("The database did not answer in time.", exc_info=error)
        detail = "The database is busy. Send it again."
        return problem(status.HTTP_503_SERVICE_UNAVAILABLE, detail)
    if isinstance(error, IntegrityError):
        # Two at the same time: what the first one wrote stands in the way of the second.
        logger.warning("A write was refused by the database.", exc_info=error)
        detail = "Something else was written meanwhile. Read how things stand, then send anew."
        return problem(status.HTTP_409_CONFLICT, detail)
    if isinstance(error, exceptions.ValidationError):
        return _invalid(list(_flat(error.detail)))
    if isinstance(error, exceptions.APIException):
        return problem(error.status_code, f"{error.detail}", **_headers(error))
    return None


def _headers(error: exceptions.APIException) -> dict[str, str]:
    found = {}
    if getattr(error, "auth_header", None):
        found["WWW-Authenticate"] = error.auth_header
    if getattr(error, "wait", None):
        found["Retry-After"] = f"{error.wait:.0f}"
    return found


def _invalid(errors: Errors) -> Response:
    told = "; ".join(f"{each['field']}: {each['message']}".lstrip(": ") for each in errors)
    return problem(status.HTTP_400_BAD_REQUEST, told, errors)


def _refused(error: ModelRefusal) -> Response:
    """Tell a service's refusal: at its fields, or of the state of things where it names none."""
    if not hasattr(error, "error_dict"):
        return problem(status.HTTP_409_CONFLICT, " ".join(error.messages))
    told = error.message_dict
    errors = [
        {"field": "" if name == NON_FIELD_ERRORS else name, "message": message}
        for name, messages in told.items()
        for message in messages
    ]
    if set(told) == {NON_FIELD_ERRORS}:
        return problem(status.HTTP_409_CONFLICT, " ".join(told[NON_FIELD_ERRORS]), errors)
    return _invalid(errors)


def _flat(detail: Any, at: str = "") -> Iterator[dict[str, str]]:
    """Name each message of a nested refusal by its path: ``readings[2].taken_at``."""
    if isinstance(detail, Mapping):
        for name, inner in detail.items():
            own = name == api_settings.NON_FIELD_ERRORS_KEY
            if isinstance(name, int):
                yield from _flat(inner, f"{at}[{name}]")
            else:
                yield from _flat(inner, at if own else f"{at}.{name}".lstrip("."))
    elif isinstance(detail, list):
        for number, inner in enumerate(detail):
            nested = isinstance(inner, (Mapping, list))
            yield from _flat(inner, f"{at}[{number}]" if nested else at)
    else:
        yield {"field": at, "message": f"{detail}"}
