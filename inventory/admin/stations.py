"""Yearly extremes of air stations in the admin site."""

from __future__ import annotations

from collections.abc import Iterable

from django import forms
from django.contrib import admin
from django.forms.models import BaseInlineFormSet
from django.http import HttpRequest
from django.utils.translation import gettext_lazy

from inventory.admin.base import RegisterAdmin
from inventory.models import StationYear
from inventory.services.changes import bridges_designed_by, register_changed


@admin.register(StationYear)
class StationYearAdmin(RegisterAdmin):
    """Lowest and highest shade air temperature of a year, for a design basis of its own."""

    fields = ("station", "year", ("year_min_c", "year_max_c"))
    list_display = ("station", "year", "year_min_c", "year_max_c")
    list_display_links = ("station", "year")
    list_filter = ("station",)
    search_fields = ("station", "year")
    search_help_text = gettext_lazy("Station as bridges name it, or year")
    ordering = ("station", "year")

    def bridge_ids(self, row: StationYear) -> Iterable[int]:
        """Return the bridges whose design temperatures come from its station."""
        return bridges_designed_by([row.station])

    def save_related(
        self,
        request: HttpRequest,
        form: forms.ModelForm,
        formsets: list[BaseInlineFormSet],
        change: bool,
    ) -> None:
        """Judge again what the year's former station designs as well."""
        super().save_related(request, form, formsets, change)
        if "station" in form.changed_data:
            register_changed(bridges_designed_by([form.initial.get("station", "")]))
