"""Widgets of the admin site that bear what nobody would choose."""

from __future__ import annotations

from typing import Any

from django.contrib.admin.widgets import AutocompleteSelect
from django.forms import Media

from inventory.keys import may_be_key

CAPACITIES_SCRIPT = "register/capacities.js"
"""Shows the capacities of the chosen device type alone."""


class Autocomplete(AutocompleteSelect):
    """A choice that is typed; shows none where what was sent is no key, and its field says so."""

    @property
    def media(self) -> Media:
        """Add the script that gives its field a name."""
        return super().media + Media(js=["register/searched_choice.js"])

    def optgroups(self, name: str, value: list[Any], attr: Any = None) -> list[Any]:
        """Look up the keys among the values alone."""
        model = self.field.remote_field.model
        return super().optgroups(name, [each for each in value if may_be_key(model, each)], attr)
