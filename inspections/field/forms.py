"""Forms of a visit: filter, opening, temperatures, review, correction."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

import django_filters
from django import forms
from django.db.models import Q, QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django_scopes.forms import SafeModelChoiceField

from inspections.models import ComponentRating, Inspection, Instrument
from inspections.models.choices import InspectionKind, InspectionState, TemperaturePlace
from inspections.models.readings import TEMPERATURE
from inspections.selectors.field import bridges_to_inspect
from inspections.selectors.people import who_inspects
from inspections.services.readings import NewTemperature, RowsRefused
from inspections.typed_fields import LocalTimeField, PlainForm, TypedField, unit_label
from inventory.decimal_mark import with_mark
from inventory.keys import RowsField
from inventory.models import Unit
from inventory.units import Dimension, System

FIRST_PLACES = (
    TemperaturePlace.GIRDER_WEB,
    TemperaturePlace.DECK_SOFFIT,
    TemperaturePlace.GIRDER_BOTTOM,
    TemperaturePlace.DECK_TOP,
    TemperaturePlace.AIR_SHADE,
)
"""Places that the rows of the temperature form begin with, the most telling first."""

SHADE, SUN = "shade", "sun"
EXPOSURES = [(SHADE, gettext_lazy("Shade")), (SUN, gettext_lazy("Sun"))]


class InspectionFilter(django_filters.FilterSet):
    """Filter of the list of inspections."""

    bridge = django_filters.CharFilter(
        method="of_bridge",
        label=gettext_lazy("Bridge, code or name"),
        widget=forms.TextInput(attrs={"type": "search", "autocomplete": "off"}),
    )
    state = django_filters.ChoiceFilter(
        choices=InspectionState, label=gettext_lazy("State"), empty_label=gettext_lazy("Any state")
    )
    kind = django_filters.ChoiceFilter(
        choices=InspectionKind, label=gettext_lazy("Kind"), empty_label=gettext_lazy("Any kind")
    )

    class Meta:
        model = Inspection
        fields = ["bridge", "state", "kind"]
        form = PlainForm

    def of_bridge(self, rows: QuerySet[Inspection], _name: str, text: str) -> QuerySet[Inspection]:
        """Keep the inspections of bridges whose code or name holds the text."""
        return rows.filter(Q(bridge__code__icontains=text) | Q(bridge__name__icontains=text))


class NewInspectionForm(forms.ModelForm):
    """Opens a visit."""

    class Meta:
        model = Inspection
        fields = ["bridge", "date", "kind", "team", "lead", "crew", "weather", "remarks"]
        field_classes = {"bridge": SafeModelChoiceField, "crew": RowsField}
        widgets = {
            "date": forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"}),
            "team": forms.TextInput(attrs={"autocomplete": "off"}),
            "remarks": forms.Textarea(attrs={"rows": 3}),
        }
        labels = {
            "bridge": gettext_lazy("Bridge"),
            "date": gettext_lazy("Date"),
            "kind": gettext_lazy("Kind"),
            "team": gettext_lazy("Team"),
            "lead": gettext_lazy("Lead, who signs"),
            "crew": gettext_lazy("Crew"),
            "weather": gettext_lazy("Weather"),
            "remarks": gettext_lazy("Remarks"),
        }
        help_texts = {
            "team": gettext_lazy(
                "By role, not by name, such as lead inspector and two assistants."
            ),
        }

    def __init__(self, *args, **kwargs) -> None:
        super().__init__(*args, label_suffix="", **kwargs)
        for name in ("lead", "crew"):
            self.fields[name].queryset = who_inspects()
        self.fields["lead"].empty_label = _("Nobody named: whoever enters readings may sign")
        self.fields["crew"].help_text = _(
            "Accounts that take it along on a tablet. With none and no lead, all inspectors may."
        )
        self.fields["bridge"].queryset = bridges_to_inspect()
        self.fields["bridge"].empty_label = _("Choose a bridge")

    def _post_clean(self) -> None:
        """Leave the model's checks to the service, which every way in passes."""

    def refuse(self, refusal: forms.ValidationError) -> None:
        """Put what the service refused at the inputs that it came from."""
        self.taken = {name: self.cleaned_data[name] for name in ("bridge", "date", "kind")}
        self.add_error(None, refusal)


class TemperatureRowForm(PlainForm):
    """One temperature; a row without a value is passed over."""

    place = forms.ChoiceField(label=gettext_lazy("Place"), choices=TemperaturePlace.choices)
    exposure = forms.ChoiceField(
        label=gettext_lazy("Surface in"),
        choices=EXPOSURES,
        widget=forms.RadioSelect,
        initial=SHADE,
    )
    unit = forms.ModelChoiceField(
        Unit.objects.none(),
        label=gettext_lazy("Unit"),
        required=False,
        empty_label=gettext_lazy("All units"),
    )
    taken_at = LocalTimeField(ZoneInfo("UTC"), label=gettext_lazy("Read at"))

    def __init__(self, *args, inspection: Inspection, units: list, system: System, **kwargs):
        super().__init__(*args, **kwargs)
        self.empty_permitted = True  # also a row that begins with a place
        zone = ZoneInfo(inspection.bridge.time_zone)
        label = unit_label(Dimension.TEMPERATURE, system)
        self.fields["taken_at"] = LocalTimeField(zone, label=_("Read at"))
        self.fields["value"] = TypedField(
            Dimension.TEMPERATURE,
            system,
            (TEMPERATURE.low, TEMPERATURE.high),
            label=_("Temperature [%(unit)s]") % {"unit": label},
            required=False,
        )
        if len(units) > 1:
            self.fields["unit"].queryset = inspection.bridge.units.all()
            # The choices are the same in every row: one query for all of them.
            self.fields["unit"].choices = [("", _("All units")), *((u.pk, u.code) for u in units)]
        else:
            del self.fields["unit"]
        self.order_fields(["place", "value", "exposure", "unit", "taken_at"])

    def has_changed(self) -> bool:
        """Count a row only when its value was typed."""
        return "value" in self.changed_data


class TemperatureFormSet(forms.BaseFormSet):
    """Several temperatures at once."""

    def __init__(self, *args, inspection: Inspection, system: System, **kwargs) -> None:
        units = list(inspection.bridge.units.order_by("start_station_m"))
        super().__init__(
            *args,
            form_kwargs={"inspection": inspection, "units": units, "system": system},
            **kwargs,
        )
        self._of_row: list[forms.Form] = []

    def clean(self) -> None:
        if not any(self.errors) and not any(form.has_changed() for form in self.forms):
            raise forms.ValidationError(
                _("No temperature has been entered. Fill at least one value.")
            )

    def rows(self, instrument: Instrument | None) -> list[NewTemperature]:
        """Return the filled rows, remembering the form that each came from."""
        self._of_row = [form for form in self.forms if form.has_changed()]
        return [
            NewTemperature(
                place=row["place"],
                temperature_c=row["value"].value,
                typed=row["value"].typed,
                taken_at=row["taken_at"],
                unit=row.get("unit"),
                sunlit=row["exposure"] == SUN,
                instrument=instrument,
            )
            for row in (form.cleaned_data for form in self._of_row)
        ]

    def refuse(self, refusal: RowsRefused | forms.ValidationError) -> None:
        """Put what the service refused at the inputs that it came from."""
        if isinstance(refusal, forms.ValidationError):
            self.non_form_errors().extend(refusal.messages)
            return
        for problem in refusal.temperatures:
            form = self._of_row[problem.row]
            at = {"temperature_c": "value", "typed": "value"}.get(problem.field, problem.field)
            message = problem.message
            if at == "value":
                message = f"«{with_mark(form.cleaned_data['value'].typed)}»: {message}"
            form.add_error(at if at in form.fields else None, message)


def temperature_formset(
    data: dict | None, *, inspection: Inspection, at: dt.datetime, system: System
) -> TemperatureFormSet:
    """Return the temperature form, its rows at the places that tell most."""
    kind = forms.formset_factory(
        TemperatureRowForm, formset=TemperatureFormSet, extra=0, max_num=20, absolute_max=20
    )
    return kind(
        data,
        inspection=inspection,
        system=system,
        initial=[{"place": place, "taken_at": at, "exposure": SHADE} for place in FIRST_PLACES],
        prefix="t",
    )


class ThermometerForm(PlainForm):
    """The instrument that all the temperatures of a page were read with."""

    instrument = forms.ModelChoiceField(
        Instrument.objects.filter(dimension=Dimension.TEMPERATURE.value),
        label=gettext_lazy("Thermometer"),
        required=False,
        empty_label=gettext_lazy("Not said"),
    )


class ReviewForm(PlainForm):
    """The reviewer's note."""

    note = forms.CharField(
        label=gettext_lazy("Note to the team"),
        required=False,
        help_text=gettext_lazy("Needed to return the inspection; kept with it when accepted."),
        widget=forms.Textarea(attrs={"rows": 3}),
    )


class CorrectionForm(PlainForm):
    """A new value for a reading or temperature, and why."""

    reason = forms.CharField(
        label=gettext_lazy("Reason"),
        max_length=240,
        help_text=gettext_lazy(
            "Such as: digits exchanged when writing down. It stays beside the old value."
        ),
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
        error_messages={"required": gettext_lazy("Say why it is corrected.")},
    )

    def __init__(
        self,
        *args,
        dimension: Dimension,
        limits: tuple[float, float],
        system: System,
        **kwargs,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["value"] = TypedField(
            dimension,
            system,
            limits,
            label=_("Correct value [%(unit)s]") % {"unit": unit_label(dimension, system)},
            error_messages={"required": _("Give the value that should stand.")},
        )
        self.order_fields(["value", "reason"])

    def refuse(self, refusal: forms.ValidationError) -> None:
        """Put what the service refused at the inputs that it came from."""
        if not hasattr(refusal, "error_dict"):
            self.add_error(None, refusal.messages)
            return
        names = {
            "value": "value",
            "temperature_c": "value",
            "typed": "value",
            "remark": "reason",
            "sunlit": "exposure",
        }
        for name, messages in refusal.message_dict.items():
            self.add_error(names.get(name), messages)


class TemperatureCorrectionForm(CorrectionForm):
    """A new temperature, whether it was taken in the sun, and why."""

    exposure = forms.ChoiceField(
        label=gettext_lazy("Surface in"), choices=EXPOSURES, widget=forms.RadioSelect
    )

    def __init__(self, *args, system: System, **kwargs) -> None:
        limits = (TEMPERATURE.low, TEMPERATURE.high)
        super().__init__(*args, dimension=Dimension.TEMPERATURE, limits=limits, system=system,
                         **kwargs)  # fmt: skip
        self.order_fields(["value", "exposure", "reason"])


class RatingForm(forms.ModelForm):
    """A national condition rating; what was rated before is shown beside."""

    class Meta:
        model = ComponentRating
        fields = ["item", "code", "reason"]
        labels = {
            "item": gettext_lazy("Item"),
            "code": gettext_lazy("Rating"),
            "reason": gettext_lazy("Why"),
        }
        help_texts = {"reason": gettext_lazy("Needed for 4 and less.")}
        widgets = {"reason": forms.TextInput(attrs={"autocomplete": "off"})}
