"""Forms of a device that comes to a place, with the capacities of its kind in one form."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cache
from typing import Any

from django import forms
from django.contrib.admin.utils import flatten_fieldsets
from django.contrib.admin.widgets import AdminDateWidget, AdminTextareaWidget, AdminTextInputWidget
from django.core.exceptions import NON_FIELD_ERRORS, ValidationError
from django.db.models import Model
from django.forms.models import fields_for_model
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory.admin.fieldsets import AS_SET_OF_KIND, SETTING_OF_KIND, new_device
from inventory.models import DESIGN_OF_KIND, Element, Installation
from inventory.models.choices import DEVICES_OF_KIND, EndReason
from inventory.number_field import readers_number
from inventory.services.installations import (
    UNUSED_SETTING,
    replace_installation,
    reset_installation,
)

WIDGETS = {
    "installed_on": AdminDateWidget,
    "maker": AdminTextInputWidget,
    "lot": AdminTextInputWidget,
    "remarks": AdminTextareaWidget,
}


def own_fields(kind: str) -> tuple[str, ...]:
    """Return the names of the installation's own fields in the form of a kind."""
    return tuple(
        name for name in flatten_fieldsets(new_device(kind)) if name not in design_fields(kind)
    )


def design_fields(kind: str) -> dict[str, forms.Field]:
    """Return form fields of the capacities of a kind, by name."""
    return fields_for_model(
        DESIGN_OF_KIND[kind], exclude=["installation"], formfield_callback=readers_number
    )


def tell(form: forms.BaseForm, error: ValidationError) -> None:
    """Show what a service refused at the form's fields, above the form where it has none."""
    told = error.error_dict if hasattr(error, "error_dict") else {NON_FIELD_ERRORS: error}
    for name, problems in told.items():
        form.add_error(name if name in form.fields else None, problems)


class DeviceForm(forms.ModelForm):
    """An installation and, in the same form, the design of its kind.

    ``design`` is None while nothing of it was filled in; ``capacities`` is its row, not saved.
    """

    kind: str
    design: dict[str, Any] | None = None
    capacities: Model | None = None

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        devices = DEVICES_OF_KIND[self.kind]
        self.fields["device_type"].choices = [("", "---------")] + [
            (device.value, device.label) for device in devices
        ]

    def clean(self) -> dict[str, Any]:
        """Check the capacities by the rules of their own table."""
        values = super().clean()
        names = design_fields(self.kind)
        if any(name in self.changed_data for name in names):
            self.design = {name: values[name] for name in names if name in values}
            self.capacities = DESIGN_OF_KIND[self.kind](installation=self.instance, **self.design)
            try:
                self.capacities.full_clean(
                    exclude=["installation", *(names.keys() - self.design.keys())]
                )
            except ValidationError as error:
                tell(self, error)
        return values

    def _post_clean(self) -> None:
        super()._post_clean()
        if self.instance.has_unused_setting:
            self.add_error("setting_source", UNUSED_SETTING)


def _meta(fields: Sequence[str], **more: Any) -> type:
    """Return what a form of an installation is made of."""
    told = {"model": Installation, "fields": fields, "formfield_callback": readers_number}
    return type("Meta", (), told | more)


@cache
def device_form(kind: str) -> type[DeviceForm]:
    """Return the form of a device of one kind of element."""
    meta = _meta(own_fields(kind), widgets=WIDGETS)
    return type("DeviceForm", (DeviceForm,), {"kind": kind, "Meta": meta, **design_fields(kind)})


class ReplaceMixin(forms.Form):
    """The day on which the present device ended, before the new device."""

    title = gettext_lazy("Replace device")
    button = gettext_lazy("Replace the device")
    ended_on = forms.DateField(
        label=gettext_lazy("Present device ended on"),
        widget=AdminDateWidget,
        help_text=gettext_lazy(
            "Readings up to the day before stay with it; from this day on they belong to the new"
            " device."
        ),
    )

    @classmethod
    def fieldsets(cls, kind: str) -> tuple:
        """Return the groups of its fields."""
        return (
            (gettext_lazy("Present device"), {"fields": ("ended_on",)}),
            *new_device(kind, gettext_lazy("New device")),
        )

    @classmethod
    def initial_of(cls, element: Element) -> dict[str, Any]:
        """Return what is most often right: a device of the same type."""
        return {"device_type": element.current_installation.device_type}

    def write(self, element: Element) -> Callable[[], str]:
        """Replace the device; return what tells what was done."""
        new = replace_installation(
            element=element,
            ended_on=self.cleaned_data["ended_on"],
            end_reason=EndReason.REPLACED,
            installation=self.instance,
            design=self.design,
        )
        return lambda: _("Replaced the device by: %(device)s.") % {"device": new}


@cache
def replace_form(kind: str) -> type[DeviceForm]:
    """Return the form that replaces a device of one kind of element."""
    return type("ReplaceForm", (ReplaceMixin, device_form(kind)), {})


class ResetForm(forms.ModelForm):
    """The day of a reset and the new setting of the same device."""

    title = gettext_lazy("Reset position")
    button = gettext_lazy("Reset the position")
    kind: str
    reset_on = forms.DateField(
        label=gettext_lazy("Reset on"),
        widget=AdminDateWidget,
        help_text=gettext_lazy("Readings from this day on are compared with the new setting."),
    )

    @classmethod
    def fieldsets(cls, kind: str) -> tuple:
        """Return the groups of its fields."""
        groups = (
            (None, {"fields": ("reset_on",)}),
            (gettext_lazy("New setting"), {"fields": SETTING_OF_KIND[kind]}),
        )
        as_set = AS_SET_OF_KIND[kind]
        return (*groups, (gettext_lazy("As set"), {"fields": as_set})) if as_set else groups

    @classmethod
    def initial_of(cls, element: Element) -> dict[str, Any]:
        """Return the gaps and projection as they were set last."""
        design = DESIGN_OF_KIND[element.kind].objects.filter(
            installation=element.current_installation_id
        )
        return design.values(*AS_SET_OF_KIND[element.kind]).first() or {}

    def write(self, element: Element) -> Callable[[], str]:
        """Reset the position; return what tells what was done."""
        values = {name: value for name, value in self.cleaned_data.items() if name != "reset_on"}
        as_set = {name: values.pop(name) for name in AS_SET_OF_KIND[self.kind]}
        reset_installation(
            element=element,
            reset_on=self.cleaned_data["reset_on"],
            setting=values,
            as_set={} if set(as_set.values()) == {None} else as_set,
        )
        day = self.cleaned_data["reset_on"]
        return lambda: _("Reset the position on %(day)s.") % {"day": day}


@cache
def reset_form(kind: str) -> type[ResetForm]:
    """Return the form that resets a device of one kind of element."""
    fields = flatten_fieldsets((("", {"fields": SETTING_OF_KIND[kind]}),))
    meta = _meta(fields)
    as_set = {
        name: field for name, field in design_fields(kind).items() if name in AS_SET_OF_KIND[kind]
    }
    return type("ResetForm", (ResetForm,), {"kind": kind, "Meta": meta, **as_set})
