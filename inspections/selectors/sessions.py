"""The sessions of a user."""

from __future__ import annotations

from django.contrib.auth.models import AbstractBaseUser
from django.db.models import QuerySet
from django.utils import timezone
from django.utils.crypto import salted_hmac

from inspections.models import BrowserSession


def sessions_of(user: AbstractBaseUser) -> QuerySet[BrowserSession]:
    """Return the sessions of a user that have not run out, the last used first."""
    return BrowserSession.objects.filter(user=user, expire_date__gt=timezone.now())


def handle_of(session_key: str) -> str:
    """Return what names a session in an address, since its key would open it."""
    return salted_hmac("inspections.session", session_key).hexdigest()[:24]
