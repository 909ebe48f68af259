"""Form fields that read values and times as people write them."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory.decimal_mark import with_mark, with_point
from inventory.units import HAS_UNIT, Dimension, System, Typed, parse, shown, to_shown
from movement.errors import InputError

EXAMPLES = {
    (Dimension.LENGTH, System.SI): "55.5 mm, 5.5 cm, 2 3/16 in",
    (Dimension.LENGTH, System.US): '2 3/16, 2-3/16", 55.5 mm',
    (Dimension.TEMPERATURE, System.SI): "20 °C, 68 F",
    (Dimension.TEMPERATURE, System.US): "68 F, 20 °C",
    (Dimension.ROTATION, System.SI): "4 mrad, 0.23 deg",
    (Dimension.ROTATION, System.US): "4 mrad, 0.23 deg",
    (Dimension.TILT, System.SI): "1.5 deg, 26 mrad",
    (Dimension.TILT, System.US): "1.5 deg, 26 mrad",
    (Dimension.FORCE, System.SI): "120 kN, 27 kip",
    (Dimension.FORCE, System.US): "27 kip, 120 kN",
    (Dimension.COUNT, System.SI): "2",
    (Dimension.COUNT, System.US): "2",
}
LONGEST_TYPED = 50


def unit_label(dimension: Dimension, system: System) -> str:
    """Return the unit that a bare number is taken in."""
    return to_shown(0.0, dimension, system)[1]


class PlainForm(forms.Form):
    """A form whose labels stand without a colon."""

    def __init__(self, *args, **kwargs) -> None:
        super().__init__(*args, **{"label_suffix": ""} | kwargs)


class TypedField(forms.CharField):
    """A value with or without its unit; a bare number is in the user's unit.

    It cleans to :class:`inventory.units.Typed`, or to None where nothing was typed.
    """

    def __init__(
        self,
        dimension: Dimension,
        system: System,
        limits: tuple[float, float] | None = None,
        **kwargs,
    ) -> None:
        self.dimension, self.system, self.limits = dimension, system, limits
        self.unit = unit_label(dimension, system)
        kwargs.setdefault("max_length", LONGEST_TYPED)
        # A minus, a fraction or a unit needs the whole keyboard, so inputmode is text.
        attrs = {
            "inputmode": "text",
            "autocomplete": "off",
            "autocapitalize": "none",
            "spellcheck": "false",
            "enterkeyhint": "next",
        }
        super().__init__(widget=forms.TextInput(attrs=attrs), **kwargs)

    def clean(self, value: object) -> Typed | None:
        text = super().clean(value)
        if not text:
            return None
        try:
            name = str(self.label or "value")
            pointed = with_point(name, text)
            typed = parse(name, pointed, self.dimension, self.unit, told=text)
        except InputError as error:
            raise ValidationError(f"{error.message}. {error.remedy}", code="not_read") from error
        self._refuse_impossible(typed)
        if not self.unit or HAS_UNIT.search(typed.typed):
            return typed
        # The label said which unit a bare number is in; the record must say it too.
        return Typed(typed.value, f"{typed.typed} {self.unit}")

    def _refuse_impossible(self, typed: Typed) -> None:
        """Say at once, in the user's unit, what the service would refuse."""
        if self.limits is None or self.limits[0] <= typed.value <= self.limits[1]:
            return
        low, high = self.limits
        is_below = typed.value < low
        what = (
            _("«%(typed)s» is below %(limit)s.")
            if is_below
            else _("«%(typed)s» is above %(limit)s.")
        )
        limit = shown(low if is_below else high, self.dimension, self.system)
        told = what % {"typed": with_mark(typed.typed), "limit": limit}
        remedy = _("Check the unit and the sign, or measure again.")
        raise ValidationError(f"{told} {remedy}", code="impossible")


class LocalTimeField(forms.DateTimeField):
    """A date and time in the time zone of the bridge, to the minute."""

    widget = forms.DateTimeInput(
        format="%Y-%m-%dT%H:%M", attrs={"type": "datetime-local", "autocomplete": "off"}
    )

    def __init__(self, zone: ZoneInfo, **kwargs) -> None:
        self.zone = zone
        kwargs.setdefault(
            "error_messages",
            {
                "invalid": gettext_lazy(
                    "This is no date and time. Give both, such as 2024-06-01 and 08:30."
                ),
                "required": gettext_lazy("Give the date and time at which it was read."),
            },
        )
        super().__init__(**kwargs)

    def prepare_value(self, value: object) -> object:
        with timezone.override(self.zone):
            return super().prepare_value(value)

    def to_python(self, value: object) -> dt.datetime | None:
        with timezone.override(self.zone):
            return super().to_python(value)
