"""Units in the admin site, with their concrete and section."""

from __future__ import annotations

from collections.abc import Iterable

from django.contrib import admin
from django.db.models import Model, QuerySet
from django.http import HttpRequest
from django.utils.translation import gettext_lazy

from inventory.admin.base import OnBridgeAdmin, ReadersNumbers, RegisterAdmin
from inventory.admin.fieldsets import CONCRETE_FIELDSETS, SECTION_FIELDSETS, spoken
from inventory.models import Unit, UnitConcrete, UnitSection


class UnitDetailInline(ReadersNumbers, admin.StackedInline):
    """The one concrete, or section, of a unit; it can be taken away again.

    Taking it away is like emptying its fields; its history stays.
    """

    extra = 1
    max_num = 1

    def has_delete_permission(self, request: HttpRequest, obj: Unit | None = None) -> bool:
        return self.has_change_permission(request, obj)


class UnitConcreteInline(UnitDetailInline):
    model = UnitConcrete
    verbose_name = gettext_lazy("concrete, for creep and shrinkage")
    fieldsets = spoken(CONCRETE_FIELDSETS)


class UnitSectionInline(UnitDetailInline):
    model = UnitSection
    verbose_name = gettext_lazy("section, for heat and surfacing")
    fieldsets = spoken(SECTION_FIELDSETS)


@admin.register(Unit)
class UnitAdmin(OnBridgeAdmin):
    """A unit of superstructure."""

    fieldsets = (
        (None, {"fields": ("bridge", "code", "name", "deck_type")}),
        (
            gettext_lazy("Stations"),
            {"fields": (("start_station_m", "end_station_m"), "plan_radius_m")},
        ),
        (gettext_lazy("Thermal fixed point"), {"fields": ("fixed_station_m", "u_fixed_station_m")}),
        (
            gettext_lazy("Thermal movement"),
            {"fields": ("expansion_per_c", "u_expansion_per_c", "deck_share")},
        ),
    )
    list_display = (
        "code",
        "bridge",
        "deck_type",
        "start_station_m",
        "end_station_m",
        "fixed_station_m",
        "expansion_per_c",
    )
    list_filter = (
        "deck_type",
        ("concrete", admin.EmptyFieldListFilter),
        ("section", admin.EmptyFieldListFilter),
        "bridge__district",
    )
    search_fields = ("code", "name", "bridge__code", "bridge__name")
    ordering = ("bridge__code", "start_station_m")

    def get_inlines(self, request: HttpRequest, obj: Unit | None) -> list:
        """Offer no concrete where the deck has none, unless some is recorded."""
        if obj is None or UnitConcrete.fits(obj.deck_type) or hasattr(obj, "concrete"):
            return [UnitConcreteInline, UnitSectionInline]
        return [UnitSectionInline]


class UnitDetailAdmin(RegisterAdmin):
    """Concrete, or sections, of many units beside each other; they are added with their unit."""

    readonly_fields = ("unit",)
    list_display_links = ("of_unit",)
    search_fields = ("unit__code", "unit__name", "unit__bridge__code", "unit__bridge__name")
    search_help_text = gettext_lazy("Code or name of the unit or bridge")
    ordering = ("unit__bridge__code", "unit__start_station_m")

    def has_add_permission(self, request: HttpRequest) -> bool:
        return False

    def get_queryset(self, request: HttpRequest) -> QuerySet:
        return super().get_queryset(request).select_related("unit__bridge")

    @admin.display(description=gettext_lazy("Unit"), ordering="unit__bridge__code")
    def of_unit(self, row: Model) -> str:
        """Return bridge and code of the unit."""
        return str(row.unit)

    def bridge_ids(self, row: Model) -> Iterable[int]:
        """Return the bridge of its unit."""
        return (row.unit.bridge_id,)


@admin.register(UnitConcrete)
class UnitConcreteAdmin(UnitDetailAdmin):
    """Concrete of units."""

    fieldsets = ((None, {"fields": ("unit",)}), *spoken(CONCRETE_FIELDSETS))
    list_display = (
        "of_unit",
        "shortening_rule",
        "cast_on",
        "concrete_strength_mpa",
        "humidity_percent",
        "notional_size_mm",
        "axial_stress_mpa",
    )
    list_filter = ("shortening_rule", "unit__deck_type", "unit__bridge__district")


@admin.register(UnitSection)
class UnitSectionAdmin(UnitDetailAdmin):
    """Sections of units."""

    fieldsets = ((None, {"fields": ("unit",)}), *spoken(SECTION_FIELDSETS))
    list_display = ("of_unit", "section_form", "depth_mm", "surfacing_mm", "slab_mm")
    list_filter = ("section_form", "unit__bridge__district")
