"""Who has a second factor."""

from __future__ import annotations

from django.contrib.auth.models import AbstractBaseUser
from django_otp.plugins.otp_static.models import StaticToken
from django_otp.plugins.otp_totp.models import TOTPDevice


def app_of(user: AbstractBaseUser) -> TOTPDevice | None:
    """Return the app of a user, where one is set up."""
    return TOTPDevice.objects.filter(user=user, confirmed=True).first()


def recovery_codes_left(user: AbstractBaseUser) -> int:
    """Return how many recovery codes still open."""
    return StaticToken.objects.filter(device__user=user).count()
