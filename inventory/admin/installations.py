"""Devices in the admin site, current and ended."""

from __future__ import annotations

from collections.abc import Iterable

from django.contrib import admin
from django.db.models import QuerySet
from django.http import HttpRequest
from django.utils.translation import gettext_lazy

from inventory.admin.base import RegisterAdmin
from inventory.admin.designs import INLINE_OF_KIND
from inventory.admin.fieldsets import SETTING_OF_KIND
from inventory.admin.widgets import CAPACITIES_SCRIPT
from inventory.models import Installation
from inventory.models.choices import DEVICES_OF_KIND


@admin.register(Installation)
class InstallationAdmin(RegisterAdmin):
    """A device with its setting and capacities.

    It comes with a new element, a replacement or a reset, and ends by one of the latter;
    here its record is completed and corrected.
    """

    class Media:
        js = (CAPACITIES_SCRIPT,)

    list_display = (
        "device_type",
        "element",
        "installed_on",
        "removed_on",
        "end_reason",
        "maker",
        "lot",
        "setting_source",
    )
    list_filter = (
        ("removed_on", admin.EmptyFieldListFilter),
        "device_type",
        "end_reason",
        "setting_source",
        "element__bridge__district",
    )
    search_fields = (
        "element__code",
        "element__bridge__code",
        "element__bridge__name",
        "maker",
        "lot",
    )
    search_help_text = gettext_lazy("Code of the element, code or name of the bridge, maker or lot")
    date_hierarchy = "installed_on"
    ordering = ("element__bridge__code", "element__station_m", "element__code", "-installed_on")

    def has_add_permission(self, request: HttpRequest) -> bool:
        return False

    def get_queryset(self, request: HttpRequest) -> QuerySet[Installation]:
        return super().get_queryset(request).select_related("element__bridge")

    def get_fieldsets(self, request: HttpRequest, obj: Installation | None = None) -> tuple:
        return (
            (None, {"fields": ("element", "device_type", ("maker", "lot"), "remarks")}),
            (gettext_lazy("Time"), {"fields": ("installed_on", ("removed_on", "end_reason"))}),
            (gettext_lazy("Setting"), {"fields": SETTING_OF_KIND[obj.element.kind]}),
        )

    def get_readonly_fields(self, request, obj=None):
        ends = ("removed_on", "end_reason") if obj and obj.is_current else ()
        return (*super().get_readonly_fields(request, obj), "element", *ends)

    def get_form(self, request, obj=None, change=False, **kwargs):
        """Offer devices of the element's kind; an ended device stays ended."""
        form = super().get_form(request, obj, change, **kwargs)
        fields = form.base_fields
        if "device_type" in fields:
            fields["device_type"].choices = [
                (each.value, each.label) for each in DEVICES_OF_KIND[obj.element.kind]
            ]
        for name in ("removed_on", "end_reason"):
            if name in fields:
                fields[name].required = True
        return form

    def get_inlines(self, request: HttpRequest, obj: Installation) -> list:
        return [INLINE_OF_KIND[obj.element.kind]]

    def bridge_ids(self, row: Installation) -> Iterable[int]:
        """Return the bridge of its place."""
        return (row.element.bridge_id,)
