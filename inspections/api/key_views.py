"""The page on which a user makes API keys and ends them."""

from __future__ import annotations

import datetime as dt

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.text import format_lazy
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext_lazy
from django.views.decorators.http import require_POST

from inspections.field.access import VIEW
from inspections.models import ApiKey
from inspections.models.access import KeyScope
from inspections.refusals import tell
from inspections.rights import require
from inspections.services.api_keys import LONGEST, make_api_key, revoke_api_key
from inspections.typed_fields import PlainForm

PROPOSED = dt.timedelta(days=90)


class ApiKeyForm(PlainForm):
    """A new key."""

    name = forms.CharField(
        label=gettext_lazy("Name"),
        max_length=80,
        help_text=gettext_lazy("Which program uses it, and where."),
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    scopes = forms.ChoiceField(
        label=pgettext_lazy("key", "May"), choices=KeyScope, widget=forms.RadioSelect
    )
    expires_at = forms.DateField(
        label=gettext_lazy("Expires on"),
        help_text=format_lazy(
            gettext_lazy("At the end of this day; {days} days from now at most."), days=LONGEST.days
        ),
        widget=forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"}),
    )

    def clean_expires_at(self) -> dt.datetime:
        """Return the end of the day."""
        day = self.cleaned_data["expires_at"]
        return timezone.make_aware(dt.datetime.combine(day, dt.time(23, 59, 59)))


def api_keys(request: HttpRequest) -> HttpResponse:
    """Show a user's keys; make one, shown this once."""
    require(request.user, VIEW)
    proposed = {"scopes": KeyScope.READ, "expires_at": timezone.localdate() + PROPOSED}
    form = ApiKeyForm(request.POST if request.method == "POST" else None, initial=proposed)
    secret = ""  # nosec B105 # none has been made yet
    if request.method == "POST" and form.is_valid():
        try:
            _key, secret = make_api_key(owner=request.user, **form.cleaned_data)
        except ValidationError as refusal:
            tell(form, refusal)
        else:
            form = ApiKeyForm(initial=proposed)
    response = render(
        request,
        "api/keys.html",
        {
            "form": form,
            "secret": secret,
            "keys": ApiKey.objects.filter(owner=request.user),
            "now": timezone.now(),
        },
    )
    # The key opens the ledger to whoever has it.
    response["Cache-Control"] = "no-store"
    return response


@require_POST
def api_key_revoke(request: HttpRequest, pk: object) -> HttpResponse:
    """End one of the user's keys."""
    require(request.user, VIEW)
    key = get_object_or_404(ApiKey, pk=pk, owner=request.user)
    revoke_api_key(key=key)
    messages.success(
        request,
        _("Revoked. Programs that send «%(name)s» are refused from now on.") % {"name": key.name},
    )
    return redirect("api-keys")
