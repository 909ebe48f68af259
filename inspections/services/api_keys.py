"""Keys with which other programs use the API: made, ended, and told apart."""

from __future__ import annotations

import datetime as dt
import hashlib
import secrets
from enum import StrEnum

from django.contrib.auth.models import AbstractBaseUser
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext as _

from inspections.models import ApiKey

BEGINNING = "bjl_"
"""Lets a scanner for secrets recognise a key that was left in a file."""
KEY_BYTES = 32
PREFIX_LENGTH = 12
MOST_KEYS = 20
LONGEST = dt.timedelta(days=366)
USE_NOTED_EVERY = dt.timedelta(minutes=1)


class KeyFault(StrEnum):
    """Why a key opens nothing."""

    UNKNOWN = "This API key is not known. Check that it was copied whole."
    EXPIRED = "This API key has expired. Make a new one on the page API keys."
    REVOKED = "This API key was revoked. Make a new one on the page API keys."
    OWNER = "The owner of this API key may no longer sign in."


def digest_of(key: str) -> str:
    """Return what is kept of a key."""
    return hashlib.sha256(key.encode()).hexdigest()


@transaction.atomic
def make_api_key(
    *, owner: AbstractBaseUser, name: str, scopes: str, expires_at: dt.datetime
) -> tuple[ApiKey, str]:
    """Return a new key with its secret; this is the one time that it is known."""
    now = timezone.now()
    if expires_at <= now:
        raise ValidationError({"expires_at": _("This has passed. Give a later day.")})
    if expires_at > now + LONGEST:
        raise ValidationError(
            {
                "expires_at": _("A key lives for %(days)s days at most. Give an earlier day.")
                % {"days": LONGEST.days}
            }
        )
    in_use = ApiKey.objects.filter(owner=owner, revoked_at__isnull=True, expires_at__gt=now)
    if in_use.count() >= MOST_KEYS:
        raise ValidationError(
            _("You have %(most_keys)s keys in use. Revoke one that no program uses.")
            % {"most_keys": MOST_KEYS}
        )
    secret = BEGINNING + secrets.token_urlsafe(KEY_BYTES)
    row = ApiKey(
        owner=owner,
        name=name.strip(),
        prefix=secret[:PREFIX_LENGTH],
        digest=digest_of(secret),
        scopes=scopes,
        created_at=now,
        expires_at=expires_at,
    )
    row.full_clean()
    row.save(force_insert=True)
    return row, secret


@transaction.atomic
def revoke_api_key(*, key: ApiKey) -> None:
    """End a key: whoever sends it is refused from now on."""
    ApiKey.objects.filter(pk=key.pk, revoked_at__isnull=True).update(revoked_at=timezone.now())


def open_with(secret: str) -> ApiKey | KeyFault:
    """Return the key of a secret, or why it opens nothing; note that it was used."""
    row = ApiKey.objects.filter(digest=digest_of(secret)).select_related("owner").first()
    now = timezone.now()
    if row is None:
        return KeyFault.UNKNOWN
    if row.revoked_at is not None:
        return KeyFault.REVOKED
    if row.expires_at <= now:
        return KeyFault.EXPIRED
    if not row.owner.is_active:
        return KeyFault.OWNER
    if row.last_used_at is None or row.last_used_at <= now - USE_NOTED_EVERY:
        # Not of each request: a program that reads page after page writes once a minute.
        stale = Q(last_used_at__isnull=True) | Q(last_used_at__lte=now - USE_NOTED_EVERY)
        ApiKey.objects.filter(stale, pk=row.pk).update(last_used_at=now)
    return row
