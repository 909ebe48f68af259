"""Forms of the temperatures of a visit."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inspections.models import Inspection, Instrument
from inspections.models.choices import TemperaturePlace
from inspections.models.readings import TEMPERATURE
from inspections.services.readings import NewTemperature, RowsRefused
from inspections.typed_fields import LocalTimeField, PlainForm, TypedField, unit_label
from inventory.decimal_mark import with_mark
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
        self.fields["taken_at"] = LocalTimeField(zone, label=_("Read at"), required=False)
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

    def time_typed(self) -> dt.datetime | None:
        """Return the time of a row, of one that is passed over as well."""
        field = self["taken_at"]
        try:
            return field.field.clean(field.data)
        except forms.ValidationError:
            return None


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
        at = None
        for form in self.forms:
            at = form.time_typed() or at
            if not form.has_changed() or "taken_at" in form.errors:
                continue
            form.cleaned_data["taken_at"] = at
            if at is None:
                form.add_error("taken_at", form.fields["taken_at"].error_messages["required"])
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
    data: dict | None, *, inspection: Inspection, at: dt.datetime | None, system: System
) -> TemperatureFormSet:
    """Return the temperature form, its rows at the places that tell most.

    ``at`` stands in the first row alone: the others follow it.
    """
    kind = forms.formset_factory(
        TemperatureRowForm, formset=TemperatureFormSet, extra=0, max_num=20, absolute_max=20
    )
    return kind(
        data,
        inspection=inspection,
        system=system,
        initial=[
            {"place": place, "taken_at": None if row else at, "exposure": SHADE}
            for row, place in enumerate(FIRST_PLACES)
        ],
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
