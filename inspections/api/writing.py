"""Writes that may be sent twice: the second is answered as the first was."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Callable
from typing import Any

from django.core.files.uploadedfile import UploadedFile
from rest_framework import status
from rest_framework.exceptions import ValidationError
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.serializers import Serializer
from rest_framework.utils.encoders import JSONEncoder

from inspections.services.idempotency import written_once

HEADER = "Idempotency-Key"
REPLAYED = "Idempotency-Replayed"
KEY = re.compile("[!-~]{8,100}")


def checked(shape: type[Serializer], request: Request) -> dict[str, Any]:
    """Return what was sent, in its shape; refuse by field what is not."""
    sent = shape(data=request.data)
    sent.is_valid(raise_exception=True)
    return sent.validated_data


def answered_once(
    request: Request, write: Callable[[], Serializer], code: int = status.HTTP_201_CREATED
) -> Response:
    """Answer with what a write returns, or with what it returned the first time."""
    key = request.headers.get(HEADER, "")
    if not KEY.fullmatch(key):
        raise ValidationError(
            {HEADER: "Send this header with a new text for each write, such as a UUID: 8 to 100"
                     " letters, digits and signs."}
        )  # fmt: skip

    def wrapped() -> tuple[int, dict[str, Any]]:
        # As it will be stored, so that the second answer is the first to the letter.
        return code, json.loads(json.dumps(write().data, cls=JSONEncoder))

    kept_code, body, replayed = written_once(
        user=request.user, key=key, digest=_digest_of(request), write=wrapped
    )
    return Response(body, kept_code, headers={REPLAYED: "true"} if replayed else None)


def _digest_of(request: Request) -> str:
    """Return the SHA-256 of what is asked; the order of names in the body does not matter."""
    asked = [request.method, request.get_full_path(), request.data]
    told = json.dumps(asked, sort_keys=True, default=_digest_of_file)
    return hashlib.sha256(told.encode()).hexdigest()


def _digest_of_file(sent: UploadedFile) -> str:
    sent.seek(0)
    return hashlib.file_digest(sent, "sha256").hexdigest()
