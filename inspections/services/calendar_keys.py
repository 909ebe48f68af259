"""Keys with which a calendar program reads a user's plan."""

from __future__ import annotations

import hashlib
import secrets

from django.contrib.auth.models import AbstractBaseUser
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from inspections.models import CalendarKey

KEY_BYTES = 32
MOST_KEYS = 10


def digest_of(key: str) -> str:
    """Return what is kept of a key."""
    return hashlib.sha256(key.encode()).hexdigest()


@transaction.atomic
def make_key(*, user: AbstractBaseUser, only_own: bool = True) -> str:
    """Return a new key of a user; this is the one time that it is known."""
    if CalendarKey.objects.filter(user=user, ended_at__isnull=True).count() >= MOST_KEYS:
        raise ValidationError(
            _("You have %(most_keys)s addresses already. End one that no calendar uses first.")
            % {"most_keys": MOST_KEYS}
        )
    key = secrets.token_urlsafe(KEY_BYTES)
    CalendarKey.objects.create(user=user, digest=digest_of(key), only_own=only_own)
    return key


@transaction.atomic
def end_key(*, key: CalendarKey) -> None:
    """End a key: calendars that read by it find nothing any more."""
    if key.ended_at is None:
        key.ended_at = timezone.now()
        key.save(update_fields=["ended_at"])
