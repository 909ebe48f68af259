"""Districts, bridges, supports and temperature bases in the admin site."""

from __future__ import annotations

from collections.abc import Iterable

from django.contrib import admin, messages
from django.contrib.admin.utils import unquote
from django.db.models import Count, QuerySet
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils.html import format_html
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext

from inventory.admin.base import (
    KeptInline,
    LinkedList,
    LinkedRow,
    OnBridgeAdmin,
    RegisterAdmin,
    WrittenValues,
)
from inventory.admin.basis import BASIS_FIELDSETS
from inventory.models import Bridge, District, Element, Support, TemperatureBasis, Unit
from inventory.models.choices import ElementKind
from inventory.words import in_sentence


@admin.register(District)
class DistrictAdmin(RegisterAdmin):
    """A district and how many bridges it looks after."""

    fields = ("code", "name")
    list_display = ("code", "name", "bridges_here")
    search_fields = ("code", "name")
    ordering = ("code",)

    def get_queryset(self, request: HttpRequest) -> QuerySet[District]:
        return super().get_queryset(request).annotate(bridge_count=Count("bridges"))

    @admin.display(description=gettext_lazy("Bridges"), ordering="bridge_count")
    def bridges_here(self, district: District) -> int:
        """Return the number of its bridges."""
        return district.bridge_count

    def bridge_ids(self, row: District) -> Iterable[int]:
        """Return nothing: no figure depends on a district."""
        return ()


class AskedOfANewBridge(KeptInline):
    """Rows that a new bridge cannot be judged without, so that its form shows them at once."""

    extra = 0
    asked = 1

    def get_extra(self, request: HttpRequest, obj: Bridge | None = None, **kwargs: object) -> int:
        return self.extra if obj else self.asked


class TemperatureBasisInline(AskedOfANewBridge, admin.StackedInline):
    model = TemperatureBasis
    fieldsets = BASIS_FIELDSETS
    max_num = 1


class UnitInline(AskedOfANewBridge, admin.StackedInline):
    model = Unit
    fields = (
        ("code", "name", "deck_type"),
        ("start_station_m", "end_station_m"),
        ("fixed_station_m", "u_fixed_station_m"),
        ("expansion_per_c", "u_expansion_per_c"),
        ("plan_radius_m", "deck_share"),
    )
    show_change_link = True

    def get_queryset(self, request: HttpRequest) -> QuerySet[Unit]:
        return super().get_queryset(request).select_related("bridge")


class SupportInline(AskedOfANewBridge, admin.TabularInline):
    model = Support
    fields = ("code", "kind", "station_m", "name")
    asked = 2
    show_change_link = True

    def get_queryset(self, request: HttpRequest) -> QuerySet[Support]:
        return super().get_queryset(request).select_related("bridge")


def elements_along(bridge_id: str) -> LinkedList:
    """Return the elements of a bridge along its stations."""
    elements = Element.objects.filter(bridge_id=bridge_id).select_related(
        "support", "current_installation"
    )
    return LinkedList(
        _("Elements, along the stations"),
        [
            _("Code"),
            pgettext("bearing or joint", "Device"),
            f"{_('Station')} [m]",
            _("Support"),
            _("Line"),
        ],
        [
            LinkedRow(
                reverse("admin:inventory_element_change", args=[element.pk]),
                [
                    element.code,
                    element.current_installation.get_device_type_display(),
                    element.station_m,
                    element.support.code,
                    element.line,
                ],
            )
            for element in elements.order_by("station_m", "code")
        ],
    )


@admin.register(Bridge)
class BridgeAdmin(RegisterAdmin):
    """A bridge with its temperature basis, units, supports and a list of its elements."""

    change_form_template = "admin/inventory/bridge/change_form.html"
    fieldsets = (
        (None, {"fields": ("district", "code", "name", ("carries", "crosses"))}),
        (
            gettext_lazy("Structure"),
            {
                "fields": (
                    ("main_material", "year_built"),
                    ("length_m", "largest_span_m", "skew_deg"),
                )
            },
        ),
        (
            gettext_lazy("Site"),
            {
                "fields": (
                    ("latitude_deg", "longitude_deg", "altitude_m"),
                    ("time_zone", "air_station"),
                )
            },
        ),
        (
            gettext_lazy("National inventory"),
            {"fields": (("inventory_state_code", "inventory_number"),)},
        ),
        (gettext_lazy("Remarks"), {"fields": ("remarks",)}),
    )
    inlines = (TemperatureBasisInline, UnitInline, SupportInline)
    autocomplete_fields = ("district",)
    list_display = (
        "code",
        "name",
        "district",
        "carries",
        "crosses",
        "year_built",
        "elements_here",
    )
    list_filter = ("district", "temperature_basis__method", "units__deck_type",
                   ("main_material", WrittenValues))  # fmt: skip
    list_select_related = ("district",)
    search_fields = ("code", "name", "carries", "crosses", "inventory_number")
    search_help_text = gettext_lazy("Code, name, what it carries or crosses, NBI structure number")
    ordering = ("code",)

    def formfield_for_foreignkey(self, db_field, request, **kwargs):
        """Say how the first district comes to be, where none can be chosen yet."""
        field = super().formfield_for_foreignkey(db_field, request, **kwargs)
        if field is not None and db_field.name == "district":
            field.help_text = _("Not there yet? Enter it by the plus sign.")
        return field

    def get_queryset(self, request: HttpRequest) -> QuerySet[Bridge]:
        return super().get_queryset(request).annotate(element_count=Count("elements"))

    @admin.display(description=gettext_lazy("Elements"), ordering="element_count")
    def elements_here(self, bridge: Bridge) -> int:
        """Return the number of its elements."""
        return bridge.element_count

    def bridge_ids(self, row: Bridge) -> Iterable[int]:
        """Return itself."""
        return (row.pk,)

    def response_post_save_add(self, request: HttpRequest, obj: Bridge) -> HttpResponse:
        """Stay at a new bridge: its elements come next."""
        messages.info(
            request,
            _(
                "Next: its elements, each with its device. Begin with «Add bearing», «Add deck"
                " joint» or «Add restraint» at the top; each needs its unit and its support entered"
                " first."
            ),
        )
        if request.user.has_perm("inspections.import_files"):
            messages.info(
                request,
                format_html(
                    _(
                        'Many elements come in sooner by a file: <a href="{}">imports</a> have a'
                        " sample of it."
                    ),
                    reverse("imports"),
                ),
            )
        return HttpResponseRedirect(reverse("admin:inventory_bridge_change", args=[obj.pk]))

    def change_view(self, request, object_id, form_url="", extra_context=None):
        """List its elements and offer to add one of each kind."""
        more = {
            "element_kinds": [(each.value, in_sentence(each.label)) for each in ElementKind],
            "linked_list": lambda: elements_along(unquote(object_id)),
        }
        return super().change_view(request, object_id, form_url, more | (extra_context or {}))


@admin.register(Support)
class SupportAdmin(OnBridgeAdmin):
    """An abutment, pier or hinge."""

    fields = ("bridge", "code", "name", "kind", "station_m")
    list_display = ("code", "bridge", "name", "kind", "station_m")
    list_filter = ("kind", "bridge__district")
    search_fields = ("code", "name", "bridge__code", "bridge__name")
    ordering = ("bridge__code", "station_m")


@admin.register(TemperatureBasis)
class TemperatureBasisAdmin(OnBridgeAdmin):
    """Where the design extremes of a bridge come from."""

    fieldsets = ((None, {"fields": ("bridge",)}), *BASIS_FIELDSETS)
    list_display = (
        "bridge",
        "method",
        "climate",
        "shade_air_min_c",
        "shade_air_max_c",
        "map_min_c",
        "map_max_c",
        "entered_min_c",
        "entered_max_c",
    )
    list_filter = ("method", "climate", "surfacing_rule", "bridge__district")
    search_fields = ("bridge__code", "bridge__name", "source")
    ordering = ("bridge__code",)
