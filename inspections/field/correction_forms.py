"""Forms that set a value right, and ask why."""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inspections.field.temperature_forms import EXPOSURES
from inspections.models.readings import TEMPERATURE
from inspections.typed_fields import PlainForm, TypedField, unit_label
from inventory.units import Dimension, System


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
