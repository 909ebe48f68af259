"""A write that is sent twice takes place once."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Any

from django.contrib.auth.models import AbstractBaseUser
from django.db import IntegrityError, transaction
from django.utils import timezone

from inspections.models import IdempotentAnswer

KEPT = dt.timedelta(days=30)
"""An answer is kept so long; whoever comes later with the same key writes anew."""


class OtherRequest(Exception):  # noqa: N818 - reads as what happened
    """The key came with another request before."""


def written_once(
    *,
    user: AbstractBaseUser,
    key: str,
    digest: str,
    write: Callable[[], tuple[int, dict[str, Any]]],
) -> tuple[int, dict[str, Any], bool]:
    """Return status and body of a write, and whether they are those of an earlier one.

    The key is taken in the transaction of the write: a write that is refused or breaks off
    leaves no trace of it, and of two at the same time the later waits for the earlier.

    Raises
    ------
    OtherRequest
        If the key was used for something else.
    """
    now = timezone.now()
    IdempotentAnswer.objects.filter(user=user, created_at__lt=now - KEPT).delete()
    taken = IdempotentAnswer.objects.filter(user=user, key=key)
    if (earlier := taken.first()) is None:
        try:
            with transaction.atomic():
                with transaction.atomic():
                    row = IdempotentAnswer.objects.create(
                        user=user, key=key, digest=digest, status=0, body={}, created_at=now
                    )
                row.status, row.body = write()
                row.save(update_fields=["status", "body"])
                return row.status, row.body, False
        except IntegrityError:
            # Another request with this key was faster; any other cause is not ours.
            if (earlier := taken.first()) is None:
                raise
    if earlier.digest != digest:
        raise OtherRequest
    return earlier.status, earlier.body, True
