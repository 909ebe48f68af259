"""The choice of a bridge: a list where there are few, a code that is typed where there are many."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory.models import Bridge

LONGEST_LIST = 200
"""Bridges that a list to choose from holds at most; beyond, it is no longer read."""
UNKNOWN = gettext_lazy(
    "There is no such bridge here. Give its code as the list of bridges shows it."
)


class BridgeChoice(forms.Select):
    """A list of bridges, or an input for the code of one of more than ``LONGEST_LIST``."""

    def render(
        self, name: str, value: Any, attrs: dict[str, Any] | None = None, renderer: Any = None
    ) -> str:
        """Ask for no more bridges than a list may hold, and one to know that there are more."""
        choices = self.choices
        rows = list(choices.queryset.all()[: LONGEST_LIST + 1])
        if len(rows) > LONGEST_LIST:
            typed = {"maxlength": Bridge._meta.get_field("code").max_length, "autocomplete": "off",
                     "placeholder": _("Code of the bridge")}  # fmt: skip
            return forms.TextInput(typed).render(name, value, attrs, renderer)
        field = choices.field
        empty = [] if field.empty_label is None else [("", field.empty_label)]
        self.choices = [*empty, *map(choices.choice, rows)]
        try:
            return super().render(name, value, attrs, renderer)
        finally:
            self.choices = choices
