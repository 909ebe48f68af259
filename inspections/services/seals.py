"""Links of the chain: each written with the row that it seals, in one transaction."""

from __future__ import annotations

import datetime as dt
import hashlib
import json

from django.db import connection

from inspections.models import Seal, SealedKind

FIRST = "0" * 64
"""What the first link follows."""
TURN = 0x5EA1
"""Any number, the same in every process."""


def seal(*, kind: SealedKind, row_id: int, content: str, signed_at: dt.datetime) -> Seal:
    """Append a link; two writers take turns, so that the chain never forks.

    Asks for an open transaction, that of the row which it seals: both stand or fall together.
    """
    _take_turns()
    last = Seal.objects.order_by("-number").first()
    row = Seal(
        number=last.number + 1 if last else 1,
        kind=kind,
        row_id=row_id,
        content=content,
        signed_at=signed_at,
        previous=last.digest if last else FIRST,
    )
    row.digest = digest_of(row)
    row.full_clean()
    row.save(force_insert=True)
    return row


def _take_turns() -> None:
    """Wait until no other transaction that appends a link is open."""
    if connection.vendor == "postgresql":  # SQLite has one writer at a time as it is
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(%s)", [TURN])


def digest_of(row: Seal) -> str:
    """Return the SHA-256 of a link with the digest of the one before."""
    told = [row.number, row.kind, row.row_id, row.signed_at.isoformat(), row.content, row.previous]
    return hashlib.sha256(json.dumps(told).encode()).hexdigest()
