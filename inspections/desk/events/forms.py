"""Forms of an event: what happened and where, more bridges, and the visits that it asks for."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from typing import Any

from django import forms
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inspections.models import Event
from inspections.models.planning import EVENT_QUANTITIES
from inspections.plan_days import first_day
from inspections.selectors.events import with_district
from inspections.selectors.people import who_inspects
from inspections.services.events import PLACE, lacking_of_place
from inspections.wording_plan import way_unit
from inventory.decimal_mark import with_mark
from inventory.keys import RowsField
from inventory.models import Bridge, District
from inventory.number_field import NumberField
from inventory.units import System
from inventory.zones import zone_words


def bridges_of_codes(text: str) -> tuple[list[Bridge], list[str]]:
    """Return the bridges of pasted codes, and the codes that no bridge with elements has."""
    codes = list(dict.fromkeys(each.strip() for each in re.split(r"[\n,;]+", text) if each.strip()))
    found = {
        each.code: each
        for each in Bridge.objects.filter(code__in=codes, elements__isnull=False).distinct()
    }
    return [found[code] for code in codes if code in found], [
        code for code in codes if code not in found
    ]


class BridgesForm(forms.Form):
    """Bridges by code, or all of a district."""

    codes = forms.CharField(
        label=gettext_lazy("Bridges by code"),
        required=False,
        help_text=gettext_lazy("One in each line, or with commas between."),
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    district = forms.ModelChoiceField(
        None,
        label=gettext_lazy("All of a district"),
        required=False,
        to_field_name="code",
        empty_label=gettext_lazy("None"),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["district"].queryset = District.objects.all()

    def clean_codes(self) -> list[Bridge]:
        found, unknown = bridges_of_codes(self.cleaned_data["codes"])
        if unknown:
            raise forms.ValidationError(
                _("No bridge with elements has the code %(names)s. Correct it.")
                % {"names": ", ".join(unknown[:8])}
            )
        return found

    @property
    def chosen(self) -> list[Bridge]:
        """The bridges chosen; the form is valid."""
        return with_district(self.cleaned_data["codes"], self.cleaned_data.get("district"))


class RadiusField(NumberField):
    """A radius typed in the user's unit of a way; its value is in kilometres."""

    def __init__(self, system: System) -> None:
        self.km_a_unit, unit = way_unit(system)
        # Inwards to a tenth, so that what the help allows is never refused.
        low, high = (
            EVENT_QUANTITIES["radius_km"].low / self.km_a_unit,
            EVENT_QUANTITIES["radius_km"].high / self.km_a_unit,
        )
        low, high = math.ceil(low * 10 - 1e-9) / 10, math.floor(high * 10 + 1e-9) / 10
        super().__init__(
            label=_("Radius, %(unit)s") % {"unit": unit},
            required=False,
            min_value=low,
            max_value=high,
            help_text=(
                _("%(low)s to %(high)s, in kilometres.")
                if unit == "km"
                else _("%(low)s to %(high)s, in miles.")
            )
            % {"low": with_mark(f"{low:g}"), "high": with_mark(f"{high:g}")},
        )

    def clean(self, value: Any) -> float | None:
        number = super().clean(value)
        return None if number is None else number * self.km_a_unit


class EventForm(BridgesForm, forms.ModelForm):
    """What happened, and a place with a radius around it."""

    class Meta:
        model = Event
        fields = ["kind", "name", "occurred_at", "description", *PLACE, "within_days"]
        field_classes = dict.fromkeys(PLACE[:2], NumberField)
        widgets = {
            "occurred_at": forms.DateTimeInput(
                format="%Y-%m-%dT%H:%M", attrs={"type": "datetime-local"}
            ),
            "description": forms.Textarea(attrs={"rows": 3}),
        }

    def __init__(self, *args: Any, system: System, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        zone = zone_words(timezone.get_current_timezone_name())
        self.fields["occurred_at"].label = _("When, in %(zone)s") % {"zone": zone}
        self.fields["occurred_at"].help_text = _(
            "Day and hour in the time zone %(zone)s, wherever the bridges stand."
        ) % {"zone": zone}
        self.fields["description"].help_text = _("What was reported, and by which source.")
        for name in PLACE[:2]:
            low, high = EVENT_QUANTITIES[name].low, EVENT_QUANTITIES[name].high
            self.fields[name].help_text = _("%(low)s to %(high)s.") % {
                "low": with_mark(f"{low:g}"),
                "high": with_mark(f"{high:g}"),
            }
        self.fields["radius_km"] = RadiusField(system)

    def clean(self) -> dict[str, Any]:
        found = super().clean() or {}
        for name, told in lacking_of_place(found).items():
            if name not in self.errors:
                self.add_error(name, told)
        return found

    @property
    def has_place(self) -> bool:
        """True where bridges are sought around a place."""
        return all(self.cleaned_data.get(name) is not None for name in PLACE)


class InspectionsForm(forms.Form):
    """The visits to open at several bridges at once."""

    bridge = RowsField(
        Bridge.objects.none(),
        label=gettext_lazy("Bridges"),
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": gettext_lazy("No bridge is chosen. Tick one at least.")},
    )
    date = forms.DateField(
        label=gettext_lazy("Day"), widget=forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"})
    )
    team = forms.CharField(label=gettext_lazy("Team, by role"), max_length=160)
    lead = forms.ModelChoiceField(
        None,
        label=gettext_lazy("Lead, who signs"),
        required=False,
        empty_label=gettext_lazy("Nobody yet"),
    )
    crew = RowsField(None, label=gettext_lazy("Crew"), required=False)

    def __init__(
        self, *args: Any, event: Event, to_open: Iterable[Bridge] = (), **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["bridge"].queryset = Bridge.objects.filter(events__event=event)
        self.fields["lead"].queryset = who_inspects()
        self.fields["crew"].queryset = who_inspects()
        self.fields["date"].initial = first_day(to_open)
