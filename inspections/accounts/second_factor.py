"""Who must give a second factor."""

from __future__ import annotations

from collections.abc import Callable

from django.conf import settings
from django.contrib.auth.models import AbstractBaseUser, AnonymousUser
from django.http import HttpRequest, HttpResponse
from django.utils.translation import gettext_noop

from inspections.rights import roles_of
from inspections.roles import Role
from inspections.selectors.second_factor import app_of

ASKED = {Role.ENGINEER.value, Role.ADMINISTRATOR.value}
HAS_ONE = "has_second_factor"
DETAIL = gettext_noop(
    "This account signs in with a second factor. Give its code on the site, then try again."
)


def needs_second_factor(user: AbstractBaseUser | AnonymousUser) -> bool:
    """True for engineers and administrators, where the site asks them for a second factor."""
    if not settings.SECOND_FACTOR or not user.is_authenticated:
        return False
    return user.is_superuser or not ASKED.isdisjoint(roles_of(user))


def note_second_factor(request: HttpRequest) -> None:
    """Let the session ask a user who has set a second factor up, whether they must or not."""
    request.session[HAS_ONE] = app_of(request.user) is not None


def is_second_factor_due(request: HttpRequest) -> bool:
    """True where a session must still give a second factor."""
    user = request.user
    # Straight after signing in, nobody has looked yet for what the session may hold of it.
    if not user.is_authenticated or getattr(user, "otp_device", None) is not None:
        return False
    return request.session.get(HAS_ONE, False) or needs_second_factor(user)


def without_second_factor(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """Let a page be reached before the second factor is given."""
    view.second_factor_required = False
    return view
