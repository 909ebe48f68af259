"""The agency's figures in their groups, with default, limits and source beside each."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django import forms
from django.contrib.admin.utils import flatten
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.utils.translation import gettext_noop as mark

from inspections.agency_fieldsets import AGENCY_FIELDSETS
from inspections.models import AgencySettings
from inspections.models.agency import AGENCY_QUANTITIES
from inspections.services.thresholds import (
    FIGURES,
    LONGEST_REASON,
    changed,
    present_version,
    proposed,
)
from inventory.decimal_mark import with_mark
from inventory.number_field import NumberField
from inventory.words import translated

UNITS = (mark("months"), mark("days"), mark("years"))
"""Units of figures that are words."""
HELP_OF_CURRENCY = mark("ISO 4217, such as EUR; told beside every cost.")


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure as the page shows it."""

    field: forms.BoundField
    label: str
    unit: str
    present: str
    default: str
    limits: str
    source: str
    own: bool


@dataclass(frozen=True, slots=True)
class Group:
    """Figures that belong together."""

    title: str
    told: str
    figures: list[Figure]


class ThresholdForm(forms.ModelForm):
    """All figures; whoever leaves one as it is changes nothing."""

    reason = forms.CharField(
        label=gettext_lazy("Reason"),
        required=False,
        max_length=LONGEST_REASON,
        help_text=gettext_lazy("Needed to save; stays in the history."),
    )
    based_on = forms.IntegerField(widget=forms.HiddenInput)

    class Meta:
        model = AgencySettings
        fields = FIGURES
        field_classes = dict.fromkeys(AGENCY_QUANTITIES, NumberField)

    def __init__(self, data: Mapping[str, Any] | None = None, **kwargs: Any) -> None:
        self.present = AgencySettings.current()
        super().__init__(
            data,
            instance=proposed(self.present, {}),
            initial={"based_on": present_version()},
            **kwargs,
        )
        # Its one row is never a new one to this form.
        self.instance._state.adding = False

    @property
    def names(self) -> list[str]:
        """The figures that differ from what holds now; the form is valid."""
        return changed(self.present, self.settings)

    @property
    def settings(self) -> AgencySettings:
        """The settings proposed; the form is valid."""
        return proposed(self.present, {name: self.cleaned_data[name] for name in FIGURES})

    @property
    def groups(self) -> Iterator[Group]:
        """The figures in their groups."""
        for title, options in AGENCY_FIELDSETS:
            names = flatten(options["fields"])
            yield Group(
                str(title),
                str(options.get("description", "")),
                [self._figure(each) for each in names],
            )

    def _figure(self, name: str) -> Figure:
        present, default = getattr(self.present, name), AgencySettings._meta.get_field(name).default
        quantity = AGENCY_QUANTITIES.get(name)
        if quantity is None:
            return Figure(
                self[name], self[name].label, "", str(present), str(default), _("three letters"),
                _(HELP_OF_CURRENCY), present != default,
            )  # fmt: skip
        return Figure(
            self[name],
            _(quantity.label),
            translated(quantity.unit),
            with_mark(f"{present:g}"),
            with_mark(f"{default:g}"),
            _("%(low)s to %(high)s")
            % {"low": with_mark(f"{quantity.low:g}"), "high": with_mark(f"{quantity.high:g}")},
            translated(quantity.help),
            present != default,
        )
