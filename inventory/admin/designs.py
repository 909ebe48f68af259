"""Capacities in the admin site: within a device's page, and as lists of their own."""

from __future__ import annotations

from collections.abc import Iterable

from django.contrib import admin
from django.db.models import Model, QuerySet
from django.http import HttpRequest
from django.utils.translation import gettext_lazy, pgettext_lazy

from inventory.admin.base import KeptInline, RegisterAdmin
from inventory.admin.fieldsets import DESIGN_OF_KIND, by_device, spoken
from inventory.models import BearingDesign, JointDesign, RestraintDesign
from inventory.models.choices import ElementKind


class DesignInline(KeptInline, admin.StackedInline):
    """The one capacities row of a device."""

    extra = 1
    max_num = 1
    verbose_name_plural = gettext_lazy("capacities")


class BearingDesignInline(DesignInline):
    model = BearingDesign
    fieldsets = by_device(ElementKind.BEARING)


class JointDesignInline(DesignInline):
    model = JointDesign
    fieldsets = by_device(ElementKind.JOINT)


class RestraintDesignInline(DesignInline):
    model = RestraintDesign
    fieldsets = by_device(ElementKind.RESTRAINT)


INLINE_OF_KIND = {
    ElementKind.BEARING: BearingDesignInline,
    ElementKind.JOINT: JointDesignInline,
    ElementKind.RESTRAINT: RestraintDesignInline,
}


class DesignAdmin(RegisterAdmin):
    """Capacities of many devices beside each other; they come with their device."""

    readonly_fields = ("installation",)
    list_filter = (
        "installation__device_type",
        ("installation__removed_on", admin.EmptyFieldListFilter),
        "installation__element__bridge__district",
    )
    search_fields = (
        "installation__element__code",
        "installation__element__bridge__code",
        "installation__element__bridge__name",
        "installation__maker",
        "installation__lot",
    )
    search_help_text = gettext_lazy("Code of the element, code or name of the bridge, maker or lot")
    ordering = ("installation__element__bridge__code", "installation__element__code")

    def has_add_permission(self, request: HttpRequest) -> bool:
        return False

    def get_queryset(self, request: HttpRequest) -> QuerySet:
        return super().get_queryset(request).select_related("installation__element__bridge")

    @admin.display(description=gettext_lazy("Element"), ordering="installation__element__code")
    def element(self, design: Model) -> str:
        """Return bridge and code of the place."""
        return str(design.installation.element)

    @admin.display(
        description=pgettext_lazy("bearing or joint", "Device"),
        ordering="installation__device_type",
    )
    def device(self, design: Model) -> str:
        """Return type and dates of the device."""
        return str(design.installation)

    def bridge_ids(self, row: Model) -> Iterable[int]:
        """Return the bridge of the device's place."""
        return (row.installation.element.bridge_id,)


@admin.register(BearingDesign)
class BearingDesignAdmin(DesignAdmin):
    """Capacities of bearings."""

    fieldsets = (
        (None, {"fields": ("installation",)}),
        *spoken(DESIGN_OF_KIND[ElementKind.BEARING]),
    )
    list_display = (
        "element",
        "device",
        "vertical_service_max_kn",
        "movement_back_mm",
        "movement_ahead_mm",
        "rotation_mrad",
    )


@admin.register(JointDesign)
class JointDesignAdmin(DesignAdmin):
    """Capacities of deck joints."""

    fieldsets = ((None, {"fields": ("installation",)}), *spoken(DESIGN_OF_KIND[ElementKind.JOINT]))
    list_display = (
        "element",
        "device",
        "opening_min_mm",
        "opening_max_mm",
        "opening_axis",
        "cells",
    )


@admin.register(RestraintDesign)
class RestraintDesignAdmin(DesignAdmin):
    """Gaps and capacities of restraints."""

    fieldsets = (
        (None, {"fields": ("installation",)}),
        *spoken(DESIGN_OF_KIND[ElementKind.RESTRAINT]),
    )
    list_display = (
        "element",
        "device",
        "gap_min_mm",
        "slip_limit_mm",
        "horizontal_kn",
        "vertical_kn",
        "rod_count",
    )
