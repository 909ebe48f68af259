"""Elements in the admin site: the place, and the devices that stood there."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django import forms
from django.contrib import admin, messages
from django.contrib.admin import helpers
from django.contrib.admin.utils import unquote
from django.contrib.admin.widgets import AdminRadioSelect
from django.core.exceptions import PermissionDenied
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.template.response import TemplateResponse
from django.urls import reverse
from django.utils.html import format_html
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext, pgettext_lazy

from inventory.admin.base import LinkedList, LinkedRow, ReadersNumbers, RegisterAdmin, tell_notices
from inventory.admin.device_forms import device_form
from inventory.admin.device_views import DeviceViews, may_write
from inventory.admin.fieldsets import SIDES_OF_KIND, new_device
from inventory.admin.widgets import CAPACITIES_SCRIPT, Autocomplete
from inventory.models import Bridge, Element, Installation, Support, Unit
from inventory.models.choices import ElementKind
from inventory.services.installations import create_element

ACCESS = ("access", "replaceable", "replaceable_why", "jacking_points")


class PlaceForm(forms.Form):
    """Where a new element stands and of which kind it is: the rest of its form follows."""

    bridge = forms.ModelChoiceField(
        None,
        label=gettext_lazy("Bridge"),
        widget=Autocomplete(Element._meta.get_field("bridge"), admin.site),
    )
    kind = forms.ChoiceField(
        label=gettext_lazy("Kind"), choices=ElementKind.choices, widget=AdminRadioSelect
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["bridge"].queryset = Bridge.objects.all()


class DeviceInline(ReadersNumbers, admin.StackedInline):
    """The device that stands at a new place, with the capacities of its kind."""

    model = Installation
    verbose_name = gettext_lazy("device")
    verbose_name_plural = gettext_lazy("device that stands there")
    extra = 0
    min_num = 1
    max_num = 1
    can_delete = False

    def get_fieldsets(self, request: HttpRequest, obj: Element | None = None) -> tuple:
        return new_device(place_of(request)["kind"])

    def get_formset(self, request: HttpRequest, obj: Element | None = None, **kwargs):
        kwargs["form"] = device_form(place_of(request)["kind"])
        kwargs["validate_min"] = True
        return super().get_formset(request, obj, **kwargs)


def devices_at(element_id: str) -> LinkedList:
    """Return every device that stood at a place, the newest first, the current one marked."""
    devices = Installation.objects.filter(element_id=element_id).order_by("-installed_on")
    return LinkedList(
        _("Devices that stand or stood here, the newest first"),
        [
            pgettext("bearing or joint", "Device"),
            _("Now"),
            _("Installed on"),
            _("Ended on"),
            _("Ended by"),
            _("Maker"),
            _("Lot"),
            _("Setting"),
        ],
        [
            LinkedRow(
                reverse("admin:inventory_installation_change", args=[device.pk]),
                [
                    device.get_device_type_display(),
                    _("Current") if device.is_current else _("Ended"),
                    device.installed_on,
                    device.removed_on,
                    device.get_end_reason_display(),
                    device.maker,
                    device.lot,
                    device.get_setting_source_display(),
                ],
            )
            for device in devices
        ],
    )


@admin.register(Element)
class ElementAdmin(DeviceViews, RegisterAdmin):
    """A place and its devices.

    Bridge and kind are asked for first: they decide which units, supports and capacities
    the form offers.
    """

    class Media:
        js = (CAPACITIES_SCRIPT,)

    change_form_template = "admin/inventory/element/change_form.html"
    list_display = (
        "code",
        "bridge_code",
        "device",
        "station_m",
        "line",
        "support_code",
        "unit_code",
        "access",
        "replaceable",
    )
    list_filter = (
        "kind",
        "current_installation__device_type",
        "access",
        "replaceable",
        "current_installation__setting_source",
        "bridge__district",
    )
    search_fields = (
        "code",
        "name",
        "line",
        "bridge__code",
        "bridge__name",
        "current_installation__maker",
        "current_installation__lot",
    )
    search_help_text = gettext_lazy(
        "Code, name or line; code or name of the bridge; maker or lot of the device"
    )
    ordering = ("bridge__code", "station_m", "code")

    @admin.display(description=gettext_lazy("Bridge"), ordering="bridge__code")
    def bridge_code(self, element: Element) -> str:
        """Return the code of its bridge."""
        return element.bridge.code

    @admin.display(
        description=pgettext_lazy("bearing or joint", "Device"),
        ordering="current_installation__device_type",
    )
    def device(self, element: Element) -> str:
        """Return the type of the current device."""
        return element.current_installation.get_device_type_display()

    @admin.display(description=gettext_lazy("Support"), ordering="support__station_m")
    def support_code(self, element: Element) -> str:
        """Return the code of its support."""
        return element.support.code

    @admin.display(description=gettext_lazy("Unit"), ordering="unit__start_station_m")
    def unit_code(self, element: Element) -> str:
        """Return its unit, or the two on either side of a joint."""
        return " | ".join(unit.code for unit in (element.unit, element.unit_ahead) if unit)

    def has_add_permission(self, request: HttpRequest) -> bool:
        """Return whether the user may add a place, which never comes without its device."""
        return super().has_add_permission(request) and may_write(request)

    def bridge_ids(self, row: Element) -> Iterable[int]:
        """Return its bridge."""
        return (row.bridge_id,)

    def get_fieldsets(self, request: HttpRequest, obj: Element | None = None) -> tuple:
        kind = obj.kind if obj else place_of(request)["kind"]
        joint = kind == ElementKind.JOINT
        return (
            (_("Place"), {"fields": (("bridge", "kind"), "code", "name", ("line", "support"))}),
            (
                _("Movement it sees"),
                {
                    "fields": (
                        "station_m",
                        "unit" if kind == ElementKind.BEARING else ("unit", "unit_ahead"),
                        "skew_deg" if joint else "axis_angle_deg",
                    ),
                    "description": _(SIDES_OF_KIND[kind]) if kind in SIDES_OF_KIND else "",
                },
            ),
            (_("Access and replacement"), {"fields": ACCESS}),
        )

    def get_readonly_fields(self, request, obj=None):
        permanent = ("bridge", "kind") if obj else ()
        return (*super().get_readonly_fields(request, obj), *permanent)

    def get_inlines(self, request: HttpRequest, obj: Element | None) -> list:
        return [] if obj else [DeviceInline]

    def get_form(self, request, obj=None, change=False, **kwargs):
        """Fix bridge and kind of a new element; offer supports and units of its bridge."""
        form = super().get_form(request, obj, change, **kwargs)
        bridge = obj.bridge if obj else place_of(request)["bridge"]
        for name, model in (("support", Support), ("unit", Unit), ("unit_ahead", Unit)):
            if name in form.base_fields:
                form.base_fields[name].queryset = model.objects.filter(
                    bridge=bridge
                ).select_related("bridge")
        if obj is None:
            fixed = {"bridge": bridge, "kind": place_of(request)["kind"]}
            for name, value in fixed.items():
                form.base_fields[name].initial = value
                form.base_fields[name].disabled = True
            form.base_fields["bridge"].queryset = Bridge.objects.filter(pk=bridge.pk)
            form.base_fields["bridge"].widget = form.base_fields["bridge"].widget.widget
        return form

    def add_view(self, request, form_url="", extra_context=None):
        """Ask for bridge and kind first."""
        if not self.has_add_permission(request):
            raise PermissionDenied
        if place_of(request) is None:
            return self._ask_place(request)
        return super().add_view(request, form_url, extra_context)

    def change_view(self, request, object_id, form_url="", extra_context=None):
        """List its devices and offer the ways to another one to those who may take them."""
        more = {
            "may_write_devices": may_write(request),
            "linked_list": lambda: devices_at(unquote(object_id)),
        }
        return super().change_view(request, object_id, form_url, more | (extra_context or {}))

    def _ask_place(self, request: HttpRequest) -> HttpResponse:
        asked = set(PlaceForm.base_fields) <= set(request.GET)
        form = PlaceForm(request.GET if asked else None, initial=request.GET.dict())
        admin_form = helpers.AdminForm(
            form, ((None, {"fields": ("bridge", "kind")}),), {}, model_admin=self
        )
        context = {
            **self.admin_site.each_context(request),
            "title": _("Add element"),
            "opts": self.opts,
            "form": form,
            "adminform": admin_form,
            "media": self.media + admin_form.media,
            "kept": [each for each in request.GET.items() if each[0] not in form.fields],
        }
        return TemplateResponse(request, "admin/inventory/element/place_form.html", context)

    def save_model(self, request, obj, form, change):
        """Save a change; a new place is saved together with its device, below."""
        if change:
            super().save_model(request, obj, form, change)

    def save_related(self, request, form, formsets, change):
        """Save what belongs to the place, for a new one the place as well."""
        tell_notices(request, form.instance)
        if change:
            super().save_related(request, form, formsets, change)
            return
        (formset,) = formsets
        (device,) = formset.forms
        create_element(element=form.instance, installation=device.instance, design=device.design)
        if device.capacities is not None:
            tell_notices(request, device.capacities)
        formset.new_objects = [device.instance]
        formset.changed_objects = []
        formset.deleted_objects = []

    def response_add(self, request, obj, post_url_continue=None):
        """Offer another of the same kind at the same bridge, where another was asked for."""
        answer = super().response_add(request, obj, post_url_continue)
        if "_addanother" in request.POST and "_popup" not in request.POST:
            return HttpResponseRedirect(request.get_full_path())
        return answer

    def response_post_save_add(self, request: HttpRequest, obj: Element) -> HttpResponse:
        """Go back to the bridge, where the next element is added, and say what comes then."""
        messages.info(
            request,
            format_html(
                _(
                    "Next: another element by the buttons at the top. Once all stand here, open an"
                    ' inspection from the <a href="{}">page of the bridge</a>.'
                ),
                reverse("bridge", args=[obj.bridge.code]),
            ),
        )
        return HttpResponseRedirect(reverse("admin:inventory_bridge_change", args=[obj.bridge_id]))

    def get_queryset(self, request: HttpRequest) -> QuerySet[Element]:
        return (
            super()
            .get_queryset(request)
            .select_related("bridge", "support", "unit", "unit_ahead", "current_installation")
        )


def place_of(request: HttpRequest) -> dict | None:
    """Return bridge and kind of a new element, None until both are known."""
    if not hasattr(request, "_place_of_element"):
        form = PlaceForm(request.GET)
        request._place_of_element = form.cleaned_data if form.is_valid() else None
    return request._place_of_element
