"""How often a user, or each key of a user, may ask."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rest_framework.permissions import SAFE_METHODS
from rest_framework.request import Request
from rest_framework.settings import api_settings
from rest_framework.throttling import SimpleRateThrottle

from inspections.models import ApiKey

if TYPE_CHECKING:
    from rest_framework.views import APIView


class _EachKey(SimpleRateThrottle):
    """Counts by key where one was sent, by user else."""

    counts_reads: bool

    def get_rate(self) -> str | None:
        """Return the rate as it is set now."""
        return api_settings.DEFAULT_THROTTLE_RATES.get(self.scope)

    def get_cache_key(self, request: Request, view: APIView) -> str | None:
        """Return who is counted; None for what another throttle counts."""
        if (request.method in SAFE_METHODS) is not self.counts_reads:
            return None
        who = request.auth.pk if isinstance(request.auth, ApiKey) else request.user.pk
        return self.cache_format % {"scope": self.scope, "ident": who}


class Reads(_EachKey):
    """Requests that read."""

    scope, counts_reads = "reads", True


class Writes(_EachKey):
    """Requests that write."""

    scope, counts_reads = "writes", False
