"""What stands at an element after the work: a new device, a new setting, or as before.

The fields are those with which the register replaces a device or resets its position.
"""

from __future__ import annotations

from functools import cache
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy

from inspections.desk.work.new_device import NewDeviceMixin
from inspections.desk.work.place_parts import DAYS, Group, PlaceMixin
from inspections.models import WorkOrder
from inspections.models.desk_choices import WorkKind
from inspections.services.work_done import NewDevice, NewSetting, PlaceRefused, new_baseline
from inventory.admin.device_forms import replace_form, reset_form
from inventory.admin.fieldsets import AS_SET_OF_KIND
from inventory.models import Element
from inventory.models.choices import SettingSource
from inventory.units import System

Place = NewDevice | NewSetting | None
BEFORE, BASELINE = "before", "baseline"


class NewSettingMixin(PlaceMixin):
    """The new setting of the present device."""

    @classmethod
    def initial_of(cls, element: Element) -> dict[str, Any]:
        """Return the gaps and projection as they were set last, fetched with the element."""
        design = getattr(element.current_installation, "restraint_design", None)
        as_set = {name: getattr(design, name, None) for name in AS_SET_OF_KIND[element.kind]}
        # Whoever sets a device anew reads where it comes to stand.
        return {"setting_source": SettingSource.MEASURED} | as_set

    def place(self) -> NewSetting:
        """Return the new setting."""
        values = dict(self.cleaned_data)
        as_set = {name: values.pop(name) for name in AS_SET_OF_KIND[self.kind]}
        return NewSetting(values, as_set if set(as_set.values()) != {None} else None)


class RepairedForm(forms.Form):
    """Whether a repaired device goes on as before, or from a new baseline."""

    after = forms.ChoiceField(
        label=gettext_lazy("Its position"),
        choices=[
            (BEFORE, gettext_lazy("As before: it is compared with the setting on record")),
            (BASELINE, gettext_lazy("New: the first accepted reading becomes the baseline")),
        ],
        initial=BEFORE,
        widget=forms.RadioSelect,
    )

    def __init__(self, *args: Any, element: Element, system: System, **kwargs: Any) -> None:
        super().__init__(*args, prefix=f"e{element.pk}", label_suffix="", **kwargs)
        self.element = element

    def groups(self) -> list[Group]:
        """Return its one group."""
        return [Group("", list(self), bool(self.errors), "")]

    def place(self) -> NewSetting | None:
        """Return the new baseline, None where it goes on as before."""
        return new_baseline(self.element) if self.cleaned_data["after"] == BASELINE else None


@cache
def _form_class(work: str, kind: str) -> type[forms.Form]:
    if work == WorkKind.REPLACEMENT:
        return type("NewDeviceForm", (NewDeviceMixin, replace_form(kind)), {})
    if work == WorkKind.RESET:
        return type("NewSettingForm", (NewSettingMixin, reset_form(kind)), {})
    return RepairedForm


def place_form(work: str, element: Element, data: Any, system: System) -> forms.Form:
    """Return the form of one element for a kind of work."""
    return _form_class(work, element.kind)(data, element=element, system=system)


def place_forms(order: WorkOrder, data: Any, system: System) -> list[forms.Form]:
    """Return the forms of a page that finishes an order, in the order of its elements.

    A new device is asked for its capacities, and may be that of the first place of its kind.
    """
    found: list[forms.Form] = []
    first: dict[str, NewDeviceMixin] = {}
    for element in elements_of(order):
        form = place_form(order.kind, element, data, system)
        found.append(form)
        if isinstance(form, NewDeviceMixin):
            form.ask_about_capacities()
            if element.kind in first:
                form.offer(first[element.kind])
            first.setdefault(element.kind, form)
    return found


def value_names(work: str, kind: str) -> list[str]:
    """Return the names of the fields of a kind of work at a kind of element."""
    return [name for name in _form_class(work, kind).base_fields if name not in DAYS]


def refused_at(
    refusal: PlaceRefused, form: forms.Form
) -> tuple[list[str], dict[str | None, list[str]]]:
    """Return what was refused of the day, which is the whole order's, and of the form's fields.

    What belongs to no field of the form stands under None.
    """
    of_day: list[str] = []
    of_field: dict[str | None, list[str]] = {}
    for name, problems in refusal.update_error_dict({}).items():
        messages = [message for each in problems for message in each.messages]
        if name in DAYS:
            of_day += [f"{refusal.element.code}: {message}" for message in messages]
        else:
            of_field.setdefault(name if name in form.fields else None, []).extend(messages)
    return of_day, of_field


def elements_of(order: WorkOrder) -> list[Element]:
    """Return the elements of an order along its bridge, each once."""
    items = order.items.select_related(
        "element__bridge", "element__current_installation__restraint_design"
    )
    ordered = items.order_by("element__station_m", "element__code", "pk")
    return list({item.element_id: item.element for item in ordered}.values())
