"""Form fields of numbers, with the decimal mark of the reader."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db import models

from inventory.decimal_mark import decimal_mark, with_mark, with_point
from inventory.quantities import InRange
from inventory.units import HAS_UNIT, Dimension, parse
from movement.errors import InputError


class NumberInput(forms.NumberInput):
    """An input of a number; of text where the decimal mark of the reader is a comma.

    A browser takes a comma in an input of a number by its own language, not by that of the page.
    """

    def format_value(self, value: object) -> str | None:
        shown_as = super().format_value(value)
        return shown_as if shown_as is None or isinstance(value, str) else with_mark(shown_as)

    def get_context(self, name: str, value: object, attrs: dict | None) -> dict:
        context = super().get_context(name, value, attrs)
        if decimal_mark() != ".":
            widget = context["widget"]
            kept = {k: v for k, v in widget["attrs"].items() if k not in ("min", "max", "step")}
            widget |= {"type": "text", "attrs": kept | {"inputmode": "decimal"}}
        return context


class _Pointed:
    """Reads a number after its decimal mark has become a point."""

    def to_python(self, value: object) -> Any:
        if isinstance(value, str):
            try:
                # A minus that was copied from a page is a sign of its own.
                value = with_point(str(self.label or "value"), value.replace("−", "-"))
            except InputError as error:
                told = f"{error.message}. {error.remedy}"
                raise ValidationError(told, code="not_read") from error
        return super().to_python(value)


class NumberField(_Pointed, forms.FloatField):
    """A number without a unit, with the decimal mark of the reader."""

    widget = NumberInput


class WholeField(_Pointed, forms.IntegerField):
    """A whole number; refuses 1.234 where that may be 1234, which would be read as 1 else."""


class QuantityInput(forms.TextInput):
    """An input of a number with or without its unit, for which a tablet needs every key."""

    def __init__(self, attrs: dict | None = None) -> None:
        plain = {"autocomplete": "off", "autocapitalize": "none", "spellcheck": "false"}
        super().__init__({"size": "16"} | plain | (attrs or {}))

    def format_value(self, value: object) -> str | None:
        shown_as = super().format_value(value)
        return shown_as if shown_as is None or isinstance(value, str) else with_mark(shown_as)


class QuantityField(NumberField):
    """A number in the unit of its label, or a value with a unit of its own: ``104'-6"``."""

    widget = QuantityInput

    def __init__(self, *, dimension: Dimension, **kwargs: Any) -> None:
        self.dimension = dimension
        super().__init__(**kwargs)

    def to_python(self, value: object) -> Any:
        if not isinstance(value, str) or not HAS_UNIT.search(value):
            return super().to_python(value)
        name = str(self.label or "value")
        try:
            pointed = with_point(name, value.strip())
            typed = parse(name, pointed, self.dimension, self.dimension.value, told=value)
        except InputError as error:
            told = f"{error.message}. {error.remedy}"
            raise ValidationError(told, code="not_read") from error
        # What a conversion leaves behind the twelfth figure is of no drawing.
        return float(f"{typed.value:.12g}")


def dimension_of(field: models.Field) -> Dimension | None:
    """Return what a field of the register measures; None for what has no unit to choose."""
    units = {each.unit for each in field.validators if isinstance(each, InRange)}
    found = [each for each in Dimension if each.value in units - {Dimension.COUNT.value}]
    return found[0] if found else None


_FORM_CLASSES: dict[type[models.Field], type[forms.Field]] = {
    models.FloatField: NumberField,
    models.PositiveSmallIntegerField: WholeField,
}


def readers_number(field: models.Field, **kwargs: Any) -> forms.Field | None:
    """Return the form field of a model field, which takes the reader's decimal mark."""
    form_class = _FORM_CLASSES.get(type(field))
    if form_class is None:
        return field.formfield(**kwargs)
    return field.formfield(**{"form_class": form_class} | typed_with_unit(field) | kwargs)


def typed_with_unit(field: models.Field) -> dict[str, Any]:
    """Return what makes the form field of a quantity take a unit; nothing for other fields."""
    dimension = dimension_of(field) if isinstance(field, models.FloatField) else None
    return {} if dimension is None else {"form_class": QuantityField, "dimension": dimension}
