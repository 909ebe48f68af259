"""Fields of the register in the user's units, as people write them."""

from __future__ import annotations

from django import forms

from inspections.typed_fields import TypedField, unit_label
from inventory.decimal_mark import with_mark
from inventory.facts import QUANTITIES_OF
from inventory.models import BearingDesign, Installation, JointDesign, RestraintDesign
from inventory.quantities import Quantity
from inventory.units import Dimension, System, to_shown
from inventory.words import translated

QUANTITIES: dict[str, Quantity] = {
    name: quantity
    for model in (BearingDesign, JointDesign, RestraintDesign, Installation)
    for name, quantity in QUANTITIES_OF[model].items()
}


class SiField(TypedField):
    """A value with or without its unit, cleaned to the number that the register keeps."""

    def clean(self, value: object) -> float | None:
        typed = super().clean(value)
        return None if typed is None else typed.value

    def prepare_value(self, value: object) -> object:
        if not isinstance(value, int | float):
            return value
        number, _, decimals = to_shown(float(value), self.dimension, self.system)
        return with_mark(f"{number:.{decimals}f}")


def in_units(form: forms.BaseForm, system: System) -> None:
    """Let every quantity of a form of the register be typed in the user's units."""
    for name, field in list(form.fields.items()):
        quantity = QUANTITIES.get(name)
        if quantity is None or not isinstance(field, forms.FloatField):
            continue
        try:
            dimension = Dimension(quantity.unit)
        except ValueError:
            # A unit that no system changes: the label names it.
            continue
        if dimension is Dimension.COUNT:
            continue
        form.fields[name] = SiField(
            dimension,
            system,
            (quantity.low, quantity.high),
            label=f"{translated(quantity.label)} [{unit_label(dimension, system)}]",
            help_text=field.help_text,
            required=False,
        )
