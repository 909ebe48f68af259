"""The second factor: codes by time (RFC 6238), and recovery codes for when the app is lost."""

from __future__ import annotations

import datetime as dt
import math

from django.contrib.auth.models import AbstractBaseUser
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext, gettext_lazy
from django_otp.models import Device
from django_otp.plugins.otp_static.models import StaticDevice, StaticToken
from django_otp.plugins.otp_totp.models import TOTPDevice

RECOVERY_CODES = 10
CODE_DIGITS = 6
WRONG = gettext_lazy(
    "That code does not fit. Type the one that the app shows now; each opens once."
)


@transaction.atomic
def set_up(*, user: AbstractBaseUser, key: str, code: str) -> tuple[Device, list[str]]:
    """Take an app whose key made this code, in place of any before; return its recovery codes."""
    device = TOTPDevice.objects.create(user=user, name="App", key=key, confirmed=False)
    if not device.verify_token(_plain(code)):
        raise ValidationError(
            {
                "code": gettext(
                    "That code does not fit. Check that the clock of the device with the app is"
                    " right, and type the code that it shows now."
                )
            }
        )
    TOTPDevice.objects.filter(user=user).exclude(pk=device.pk).delete()
    device.confirmed = True
    device.save(update_fields=["confirmed"])
    return device, new_recovery_codes(user=user)


@transaction.atomic
def new_recovery_codes(*, user: AbstractBaseUser) -> list[str]:
    """Return new recovery codes; those from before open nothing any more."""
    StaticDevice.objects.filter(user=user).delete()
    device = StaticDevice.objects.create(user=user, name="Recovery codes")
    codes = [StaticToken.random_token() for _ in range(RECOVERY_CODES)]
    device.token_set.bulk_create([StaticToken(device=device, token=each) for each in codes])
    return [f"{each[:4]}-{each[4:]}" for each in codes]


@transaction.atomic
def remove(*, user: AbstractBaseUser) -> None:
    """Take the second factor away: app and recovery codes."""
    TOTPDevice.objects.filter(user=user).delete()
    StaticDevice.objects.filter(user=user).delete()


def open_with(*, user: AbstractBaseUser, code: str) -> Device:
    """Return the device that made a code; refuse a wrong one, and any for a while after one."""
    device, until = _tried(user, _plain(code))
    if device is not None:
        return device
    if until is None:
        raise ValidationError({"code": WRONG})
    seconds = max(math.ceil((until - timezone.now()).total_seconds()), 1)
    wait = (
        f"{seconds} s"
        if seconds <= 90
        else gettext("%(count)s minutes") % {"count": math.ceil(seconds / 60)}
    )
    told = gettext("After a wrong code none is looked at for a while. Try again in %(wait)s.")
    raise ValidationError({"code": told % {"wait": wait}})


@transaction.atomic
def _tried(user: AbstractBaseUser, code: str) -> tuple[Device | None, dt.datetime | None]:
    """Return the device that took the code, or until when it takes none."""
    is_of_app = code.isdecimal() and len(code) == CODE_DIGITS
    devices = (TOTPDevice if is_of_app else StaticDevice).objects.select_for_update()
    device = devices.filter(user=user, confirmed=True).first()
    if device is None:
        return None, None
    allowed, why = device.verify_is_allowed()
    if not allowed:
        return None, why["locked_until"]
    return (device if device.verify_token(code) else None), None


def _plain(code: str) -> str:
    return code.replace(" ", "").replace("-", "").lower()
