"""How often a password may be tried: by account and address, by address, by account.

What is refused is the pair: whoever tries passwords of another locks nobody out but themselves.
An address as a whole has more to go, since an office shares one.  An account that is tried from
many addresses is closed to devices that have never been signed in to it, and to no others.
"""

from __future__ import annotations

import datetime as dt
import math
from http import HTTPStatus

from axes.handlers.database import AxesDatabaseHandler
from axes.helpers import get_client_username
from axes.models import AccessAttempt
from django.conf import settings
from django.contrib.auth.models import AbstractBaseUser
from django.core import signing
from django.db.models import Max, Sum
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

PAIR, ADDRESS, ACCOUNT = 5, 50, 100
"""Wrong passwords until refusal; the last as NIST SP 800-63B, 5.2.2 (from memory)."""
KNOWN_DEVICE = "known-device"
KNOWN_FOR = dt.timedelta(days=180)
MOST_KNOWN = 20
"""Accounts that one device is kept known for: a tablet goes from hand to hand."""


class Throttle(AxesDatabaseHandler):
    """Counts against three limits instead of one; any that is reached refuses."""

    def get_failures(self, request: HttpRequest, credentials: dict | None = None) -> int:
        """Return how many limits are reached; ``AXES_FAILURE_LIMIT`` is 1."""
        return len(_reached(request, credentials))

    def reset_user_attempts(self, request: HttpRequest, credentials: dict | None = None) -> int:
        """Forget the pair alone: signing in to an own account clears no others' from an address."""
        attempts = AccessAttempt.objects.filter(
            username=get_client_username(request, credentials), ip_address=request.axes_ip_address
        )
        return attempts.delete()[0]


def _reached(request: HttpRequest, credentials: dict | None) -> list[dt.datetime]:
    """Return when each limit that is reached lets go again."""
    name, address = get_client_username(request, credentials), request.axes_ip_address
    wait = settings.AXES_COOLOFF_TIME
    recent = AccessAttempt.objects.filter(attempt_time__gt=timezone.now() - wait)
    limits = [
        (recent.filter(username=name, ip_address=address), PAIR),
        (recent.filter(ip_address=address), ADDRESS),
    ]
    if not _is_known(request, name):
        limits.append((recent.filter(username=name), ACCOUNT))
    found = [
        (attempts.aggregate(sum=Sum("failures_since_start"), last=Max("attempt_time")), most)
        for attempts, most in limits
    ]
    return [told["last"] + wait for told, most in found if (told["sum"] or 0) >= most]


def refused(
    request: HttpRequest, _response: HttpResponse | None, credentials: dict | None
) -> HttpResponse:
    """Say when signing in is possible again."""
    now = timezone.now()
    until = max(_reached(request, credentials), default=now)
    left_s = max(math.ceil((until - now).total_seconds()), 1)
    response = render(
        request,
        "accounts/wait.html",
        {"minutes": math.ceil(left_s / 60), "until": until},
        status=HTTPStatus.TOO_MANY_REQUESTS,
    )
    response["Retry-After"] = f"{left_s}"
    return response


def _known_names(request: HttpRequest) -> list[str]:
    try:
        told = request.get_signed_cookie(KNOWN_DEVICE, "", max_age=KNOWN_FOR)
    except signing.BadSignature:
        return []
    return told.split()


def _mark(name: str) -> str:
    """Return what stands in the cookie for a name: whoever reads the cookie reads no names."""
    return signing.Signer(salt=KNOWN_DEVICE).signature(name)


def _is_known(request: HttpRequest, name: str | None) -> bool:
    return _mark(name or "") in _known_names(request)


def make_known(request: HttpRequest, response: HttpResponse, user: AbstractBaseUser) -> None:
    """Let a device pass as known to a user who has signed in on it."""
    mark = _mark(user.get_username())
    others = [each for each in _known_names(request) if each != mark]
    response.set_signed_cookie(
        KNOWN_DEVICE,
        " ".join([mark, *others][:MOST_KNOWN]),
        max_age=KNOWN_FOR,
        httponly=True,
        secure=settings.SESSION_COOKIE_SECURE,
        samesite="Lax",
    )
