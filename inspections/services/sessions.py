"""Ending sessions: whoever holds one that was ended is out with the next request."""

from __future__ import annotations

from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction

from inspections.models import BrowserSession


@transaction.atomic
def end_session(*, session: BrowserSession) -> None:
    """End one session."""
    session.delete()


@transaction.atomic
def end_sessions(*, user: AbstractBaseUser, but: str | None = None) -> int:
    """End a user's sessions, but for the one of a key; return how many there were."""
    ended, _ = BrowserSession.objects.filter(user=user).exclude(session_key=but).delete()
    return ended
