"""The list of changes, narrowed by person, record, bridge and days."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_safe

from inspections.bridge_choice import UNKNOWN, BridgeChoice
from inspections.desk.changes.table import changes_table, lines_of
from inspections.paging import RowPaginator
from inspections.preferences import system_of
from inspections.rights import districts_of, require
from inspections.roles import MANAGE_PEOPLE, SEE_CHANGES
from inspections.selectors.changes import changes, changes_in_parts, kinds, told
from inspections.selectors.people import who_changes
from inspections.tables import table_file
from inventory.keys import may_be_key
from inventory.models import Bridge
from inventory.words import translated

CHANGES_A_PAGE = 50
DAY = {"format": "%Y-%m-%d", "attrs": {"type": "date"}}


class ChangesForm(forms.Form):
    """Which changes are shown."""

    who = forms.ModelChoiceField(
        None,
        label=gettext_lazy("Who"),
        required=False,
        to_field_name="username",
        empty_label=gettext_lazy("Anybody"),
    )
    kind = forms.ChoiceField(label=gettext_lazy("Record"), required=False)
    bridge = forms.ModelChoiceField(
        None,
        label=gettext_lazy("Bridge"),
        required=False,
        to_field_name="code",
        empty_label=gettext_lazy("Any"),
        widget=BridgeChoice,
        error_messages={"invalid_choice": UNKNOWN},
    )
    record = forms.CharField(max_length=36, required=False, widget=forms.HiddenInput)
    first = forms.DateField(
        label=gettext_lazy("From"), required=False, widget=forms.DateInput(**DAY)
    )
    last = forms.DateField(label=gettext_lazy("To"), required=False, widget=forms.DateInput(**DAY))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, label_suffix="", **kwargs)
        self.fields["who"].queryset = who_changes()
        self.fields["bridge"].queryset = Bridge.objects.order_by("code")
        self.fields["kind"].choices = [
            ("", _("Any")),
            *((each, translated(each)) for each in kinds()),
        ]

    def clean(self) -> dict[str, Any]:
        """Refuse days that do not follow each other."""
        said = super().clean()
        if said.get("first") and said.get("last") and said["first"] > said["last"]:
            self.add_error("last", _("This day comes before the first one. Swap them."))
        kind = said.get("kind")
        if said.get("record") and not (kind and may_be_key(kinds()[kind], said["record"])):
            self.add_error("kind", _("No such record is known. Choose a kind, or show all."))
        return said

    @property
    def narrowing(self) -> dict[str, Any]:
        """Return what narrows the list; hours are those of the site."""
        said = self.cleaned_data
        first, last = said.get("first"), said.get("last")
        return {
            "who": said.get("who"),
            "kind": said.get("kind") or "",
            "record_id": said.get("record") or "",
            "bridge": said.get("bridge"),
            "first": first and _midnight(first),
            "last": last and _midnight(last + dt.timedelta(days=1)),
        }


def _midnight(day: dt.date) -> dt.datetime:
    return timezone.make_aware(dt.datetime.combine(day, dt.time()))


@require_safe
def changes_page(request: HttpRequest) -> HttpResponse:
    """List who changed what, newest first."""
    form, narrowing = _asked(request)
    rows = changes().none() if narrowing is None else changes(**narrowing)
    page = RowPaginator(rows, CHANGES_A_PAGE).get_page(request.GET.get("page"))
    shown = list(told(page.object_list, system_of(request)))
    return render(request, "changes/changes.html", {"form": form, "page": page, "changes": shown})


@require_safe
def changes_file(request: HttpRequest, kind: str) -> HttpResponseBase:
    """Give the list as it is narrowed, a line for each field that was changed."""
    narrowing, system = _asked(request)[1], system_of(request)
    lines = (
        line
        for part in (() if narrowing is None else changes_in_parts(**narrowing))
        for change in told(part, system)
        for line in lines_of(change)
    )
    return table_file(changes_table(), lines, system, kind)


def _asked(request: HttpRequest) -> tuple[ChangesForm, dict[str, Any] | None]:
    """Return the form and what narrows the list; what cannot be read shows nothing, not all."""
    require(request.user, SEE_CHANGES)
    form = ChangesForm(request.GET or None)
    accounts = {"accounts_of": districts_of(request.user, MANAGE_PEOPLE)}
    if not form.is_bound:
        return form, accounts
    return form, form.narrowing | accounts if form.is_valid() else None
