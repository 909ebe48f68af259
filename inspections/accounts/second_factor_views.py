"""Pages of the second factor: giving it, setting it up, recovery codes."""

from __future__ import annotations

from base64 import b32encode

import django_otp
import segno
from django import forms
from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import pgettext_lazy
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST
from django_otp.plugins.otp_totp.models import TOTPDevice, default_key

from inspections.accounts.second_factor import (
    HAS_ONE,
    is_second_factor_due,
    needs_second_factor,
    note_second_factor,
    without_second_factor,
)
from inspections.onward import next_path
from inspections.refusals import tell, written
from inspections.selectors.second_factor import app_of
from inspections.services import second_factor
from inspections.services.sessions import end_sessions
from inspections.typed_fields import PlainForm

KEY_TO_SET_UP = "second_factor_key"


class CodeForm(PlainForm):
    """One code."""

    code = forms.CharField(
        label=pgettext_lazy("second factor", "Code"),
        max_length=20,
        widget=forms.TextInput(attrs={"autocomplete": "one-time-code", "autofocus": True}),
    )


@never_cache
@without_second_factor
def give(request: HttpRequest) -> HttpResponse:
    """Take the code of the app, or a recovery code."""
    if request.user.is_verified():
        return redirect(next_path(request))
    if app_of(request.user) is None:
        request.session[HAS_ONE] = False
        return redirect(reverse("second-factor-set-up", query={"next": next_path(request)}))
    form = CodeForm(request.POST or None)
    if form.is_valid():
        try:
            device = second_factor.open_with(user=request.user, **form.cleaned_data)
        except forms.ValidationError as refusal:
            tell(form, refusal)
        else:
            request.session.cycle_key()
            django_otp.login(request, device)
            return redirect(next_path(request))
    shown = {"form": form, "next": next_path(request), "half_in": is_second_factor_due(request)}
    return render(request, "accounts/second_factor.html", shown)


@never_cache
@without_second_factor
def set_up(request: HttpRequest) -> HttpResponse:
    """Show the key of a new app once; take the app when a code of it fits."""
    if app_of(request.user) and not request.user.is_verified():
        return redirect("second-factor")
    # Kept by this session: whoever else knows the password must not know the key that comes to be.
    key = request.session.setdefault(KEY_TO_SET_UP, default_key())
    form = CodeForm(request.POST or None)
    taken = []

    def take() -> None:
        taken.extend(second_factor.set_up(user=request.user, key=key, **form.cleaned_data))

    if form.is_valid() and written(form, take):
        device, codes = taken
        del request.session[KEY_TO_SET_UP]
        request.session.cycle_key()
        django_otp.login(request, device)
        end_sessions(user=request.user, but=request.session.session_key)
        note_second_factor(request)
        return _recovery_codes(request, codes)
    address = TOTPDevice(user=request.user, key=key).config_url
    shown = {
        "form": form,
        "next": next_path(request),
        "picture": segno.make(address, error="m").svg_data_uri(scale=5, light="white"),
        "key": _grouped(key),
        "must": needs_second_factor(request.user),
        "half_in": is_second_factor_due(request),
    }
    return render(request, "accounts/second_factor_set_up.html", shown)


@never_cache
@require_POST
def recovery_codes(request: HttpRequest) -> HttpResponse:
    """Make new recovery codes, shown this once."""
    if not request.user.is_verified():
        return redirect("second-factor")
    return _recovery_codes(request, second_factor.new_recovery_codes(user=request.user))


@require_POST
def switch_off(request: HttpRequest) -> HttpResponse:
    """Take the second factor off an account that needs none."""
    if not request.user.is_verified():
        return redirect("second-factor")
    if needs_second_factor(request.user):
        raise PermissionDenied
    second_factor.remove(user=request.user)
    request.session[HAS_ONE] = False
    messages.success(
        request, _("Your second factor is off: the password alone opens your account.")
    )
    return redirect("account")


def _recovery_codes(request: HttpRequest, codes: list[str]) -> HttpResponse:
    shown = {"codes": codes, "next": next_path(request)}
    return render(request, "accounts/recovery_codes.html", shown)


def _grouped(key: str) -> str:
    """Return a key in hexadecimal as apps take it by hand: base 32, in groups of four."""
    told = b32encode(bytes.fromhex(key)).decode()
    return " ".join(told[at : at + 4] for at in range(0, len(told), 4))
