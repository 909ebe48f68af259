"""The agency's figures in their groups, with default, limits and source beside each."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django import forms
from django.contrib.admin.utils import flatten

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

HELP_OF_CURRENCY = "ISO 4217, such as EUR; told beside every cost."


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
        label="Reason",
        required=False,
        max_length=LONGEST_REASON,
        help_text="Needed to save; stays in the history.",
    )
    based_on = forms.IntegerField(widget=forms.HiddenInput)

    class Meta:
        model = AgencySettings
        fields = FIGURES

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
                title, options.get("description", ""), [self._figure(each) for each in names]
            )

    def _figure(self, name: str) -> Figure:
        present, default = getattr(self.present, name), AgencySettings._meta.get_field(name).default
        quantity = AGENCY_QUANTITIES.get(name)
        if quantity is None:
            return Figure(
                self[name], self[name].label, "", str(present), str(default), "three letters",
                HELP_OF_CURRENCY, present != default,
            )  # fmt: skip
        return Figure(
            self[name],
            quantity.label,
            quantity.unit,
            f"{present:g}",
            f"{default:g}",
            f"{quantity.low:g} to {quantity.high:g}",
            quantity.help,
            present != default,
        )
