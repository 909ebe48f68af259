"""Django's sessions in the database, in a table that says whose each one is.

The user, the device and the times lie in the session itself, so a request that reads it asks the
database nothing more; the columns are what a list of sessions is looked up by.
"""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.contrib.auth import SESSION_KEY
from django.contrib.sessions.backends.base import UpdateError
from django.contrib.sessions.backends.db import SessionStore as DatabaseStore
from django.db import OperationalError
from django.db.models import Model
from django.http import HttpRequest
from django.utils import timezone

from inspections.accounts.client import address_of

USE_NOTED_EVERY = dt.timedelta(minutes=5)
DEVICE, ADDRESS, BEGAN, SEEN = "device", "address", "began_at", "seen_at"


class SessionStore(DatabaseStore):
    """Writes the columns of :class:`inspections.models.BrowserSession` along."""

    @classmethod
    def get_model_class(cls) -> type[Model]:
        """Return the table."""
        from inspections.models import BrowserSession

        return BrowserSession

    def save(self, must_create: bool = False) -> None:
        """Write it.

        Raises
        ------
        OperationalError
            If the database is away; Django takes that for a session that somebody has ended.
        """
        try:
            super().save(must_create)
        except UpdateError as error:
            if isinstance(error.__context__, OperationalError):
                raise error.__context__ from error
            raise

    def create_model_instance(self, data: dict[str, Any]) -> Model:
        """Return the row of a session that is about to be written."""
        row = super().create_model_instance(data)
        row.user_id = data.get(SESSION_KEY)
        row.device = data.get(DEVICE, "")
        row.address = data.get(ADDRESS)
        row.began_at, row.seen_at = (
            dt.datetime.fromtimestamp(data[each], dt.UTC) if each in data else None
            for each in (BEGAN, SEEN)
        )
        return row


def note_sign_in(request: HttpRequest, **_kwargs: object) -> None:
    """Note when the session of whoever signed in began, and on which device."""
    request.session[BEGAN] = timezone.now().timestamp()
    _note_use(request)


def _note_use(request: HttpRequest) -> None:
    request.session[SEEN] = timezone.now().timestamp()
    request.session[DEVICE] = request.META.get("HTTP_USER_AGENT", "")[:300]
    request.session[ADDRESS] = address_of(request)


class SessionUseMiddleware:
    """Note that a session is in use: not of each request, so that reading writes nothing."""

    def __init__(self, get_response: Any) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> Any:
        """Note it before the page is made, which may list the session."""
        if request.user.is_authenticated:
            before = timezone.now() - USE_NOTED_EVERY
            if request.session.get(SEEN, 0) < before.timestamp():
                _note_use(request)
        return self.get_response(request)
