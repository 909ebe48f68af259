"""What the forms of one element of an order share."""

from __future__ import annotations

from typing import Any, NamedTuple

from django import forms
from django.contrib.admin.utils import flatten
from django.utils.translation import gettext as _

from inspections.desk.work.in_units import in_units
from inventory.models import Element
from inventory.units import System

DAYS = ("ended_on", "installed_on", "reset_on")
"""Given once for the whole order, by the hour of finishing."""


class Group(NamedTuple):
    """Fields under one title.

    ``devices`` are the classes that name the devices which have them, none where all have;
    ``part`` is the class by which they are hidden where they are taken from another place.
    """

    title: str
    fields: list[forms.BoundField]
    is_wrong: bool
    devices: str
    part: str = ""


class PlaceMixin(forms.Form):
    """A form of the register for one element of an order."""

    def __init__(self, *args: Any, element: Element, system: System, **kwargs: Any) -> None:
        kwargs |= {
            "prefix": f"e{element.pk}",
            "label_suffix": "",
            "initial": self.initial_of(element),
        }
        super().__init__(*args, **kwargs)
        self.element = element
        for name in DAYS:
            self.fields.pop(name, None)
        if "remarks" in self.fields:
            self.fields["remarks"].widget.attrs["rows"] = 2
        for field in self.fields.values():
            if isinstance(field, forms.TypedChoiceField) and field.choices[0][0] == "":
                field.choices = [("", _("Not known")), *field.choices[1:]]
        in_units(self, system)

    def groups(self) -> list[Group]:
        """Return its fields in groups."""
        found = []
        for title, options in self.fieldsets(self.kind):
            fields = [self[name] for name in flatten(options["fields"]) if name in self.fields]
            if fields:
                wrong = any(field.errors for field in fields)
                classes = " ".join(options.get("classes", ()))
                found.append(Group(str(title or ""), fields, wrong, classes))
        return found
