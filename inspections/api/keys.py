"""Signing in with ``Authorization: Bearer <key>``."""

from __future__ import annotations

from django.contrib.auth.models import AbstractBaseUser
from rest_framework.authentication import BaseAuthentication, get_authorization_header
from rest_framework.exceptions import AuthenticationFailed
from rest_framework.request import Request

from inspections.models import ApiKey
from inspections.services.api_keys import KeyFault, open_with

SCHEME = b"bearer"


class ApiKeyAuthentication(BaseAuthentication):
    """Answers with the key's owner, or with 401 and the reason."""

    def authenticate(self, request: Request) -> tuple[AbstractBaseUser, ApiKey] | None:
        """Return owner and key; None where another way to sign in is to be tried."""
        parts = get_authorization_header(request).split()
        if not parts:
            return None
        if len(parts) != 2 or parts[0].lower() != SCHEME:
            raise AuthenticationFailed("Write the header as «Authorization: Bearer <key>».")
        found = open_with(parts[1].decode("latin-1"))
        if isinstance(found, KeyFault):
            raise AuthenticationFailed(found.value)
        return found.owner, found

    def authenticate_header(self, _request: Request) -> str:
        """Name the scheme, so that what is not signed in is told 401."""
        return 'Bearer realm="api"'
