"""The device that replaces another: entered, or taken from another place of the order."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib.admin.utils import flatten
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inspections.desk.work.place_parts import Group, PlaceMixin
from inspections.services.capacity import resting_on_figures
from inspections.services.work_done import NewDevice
from inventory.admin.fieldsets import AS_SET_OF_KIND, SETTING_OF_KIND
from inventory.models import DESIGN_OF_KIND, Element
from inventory.words import in_sentence, translated

DEVICE, ALL = "device", "all"
OF_DEVICE, OF_SETTING = "of-device", "of-setting"
"""Classes of the groups that a page hides where they are taken from another place."""


class NewDeviceMixin(PlaceMixin):
    """The device that replaces the present one."""

    same_design = forms.BooleanField(
        label=gettext_lazy("The same capacities as the device before"),
        required=False,
        help_text=gettext_lazy(
            "Tick it only where the new device has the same sizes and capacities; what is"
            " typed below is then left out."
        ),
    )
    taken_from: NewDeviceMixin | None = None
    """The place that the device is taken from, or the device and its setting."""
    taken: frozenset[str] = frozenset()
    """The names of the fields that are taken from there."""

    def ask_about_capacities(self) -> None:
        """Tell what is lost without capacities, and take none only where that is ticked."""
        self.fields["without_design"] = forms.BooleanField(
            label=_("Finish without capacities"), required=False
        )

    def offer(self, first: NewDeviceMixin) -> None:
        """Let what is entered at the first place of its kind be taken here as well."""
        code = {"element": first.element.code}
        choices = [("", _("Is entered here"))]
        # Where a restraint stands is told among its capacities: one is not taken without the other.
        if not AS_SET_OF_KIND[self.kind]:
            device = _("Is the same as at %(element)s; its setting is entered here") % code
            choices.append((DEVICE, device))
        choices.append((ALL, _("Is the same as at %(element)s, and set in the same way") % code))
        self.fields["same_as"] = forms.ChoiceField(
            label=_("The new device"), choices=choices, required=False, widget=forms.RadioSelect
        )
        chosen = self.data.get(self.add_prefix("same_as")) if self.is_bound else ""
        if chosen in dict(choices) and chosen:
            self._take(first, all_of_it=chosen == ALL)

    def _take(self, first: NewDeviceMixin, *, all_of_it: bool) -> None:
        own = set() if all_of_it else set(flatten(SETTING_OF_KIND[self.kind]))
        self.taken_from = first
        self.taken = frozenset(self.fields.keys() - own - {"same_as"})
        data = self.data.copy()
        for name in self.taken:
            data.pop(self.add_prefix(name), None)
            if first.add_prefix(name) in self.data:
                data[self.add_prefix(name)] = self.data[first.add_prefix(name)]
        self.data = data

    def groups(self) -> list[Group]:
        """Return its groups, each with what hides it; the capacities of the device before first."""
        device, setting, *figures = super().groups()
        asked = [self["same_design"]]
        if "without_design" in self.fields:
            without = self["without_design"]
            # Offered once it is told what that means.
            asked += [without] if without.errors or without.value() else []
        wrong = any(field.errors for field in asked)
        capacities = Group(_("Capacities"), asked, wrong, "")
        return [
            device._replace(part=OF_DEVICE),
            setting._replace(part=OF_SETTING),
            *(each._replace(part=OF_DEVICE) for each in (capacities, *figures)),
        ]

    def full_clean(self) -> None:
        """Check it; what is wrong with what was taken is told where it was entered."""
        super().full_clean()
        if self.taken_from is not None:
            for name in self.taken & self.taken_from.errors.keys():
                self._errors.pop(name, None)

    def clean(self) -> dict[str, Any]:
        """Check it by the rules of its table; tell what is lost where no capacities are given."""
        values = super().clean()
        device_type = values.get("device_type")
        if device_type and "without_design" in self.fields and not values["without_design"]:
            said = _lost(self.element, device_type)
            if said and not self._has_figures():
                self.add_error("without_design", said)
        return values

    def place(self) -> NewDevice:
        """Return the new device."""
        return NewDevice(self.instance, self._given_design())

    def _given_design(self) -> dict[str, Any] | None:
        if not self.cleaned_data.get("same_design"):
            return self.design
        return _design_of((self.taken_from or self).element)

    def _has_figures(self) -> bool:
        """Tell whether anything is given beside what every row begins with."""
        fields = {each.name: each for each in DESIGN_OF_KIND[self.kind]._meta.fields}
        given = self._given_design() or {}
        return any(value != fields[name].get_default() for name, value in given.items())


def _lost(element: Element, device_type: str) -> str:
    """Say what rests on the capacities of a device; nothing where nothing does."""
    quantities, checks = resting_on_figures(element, device_type)
    told = []
    if quantities:
        names = "; ".join(in_sentence(each.label) for each in quantities)
        told.append(_("There is then no limit for: %(quantities)s.") % {"quantities": names})
    if checks:
        names = "; ".join(in_sentence(translated(each)) for each in checks)
        told.append(_("These checks can then not be made: %(checks)s.") % {"checks": names})
    if not told:
        return ""
    first = _("No capacities are given for the new device.")
    last = _(
        "Enter what is known, take over those of the device before, or tick this to finish"
        " without them; they can be added in the register."
    )
    return " ".join([first, *told, last])


def _design_of(element: Element) -> dict[str, Any] | None:
    """Return the capacities of the present device, as those of another one."""
    rows = DESIGN_OF_KIND[element.kind].objects.filter(installation=element.current_installation)
    values = rows.values().first()
    if values is None:
        return None
    return {name: value for name, value in values.items() if name not in ("id", "installation_id")}
