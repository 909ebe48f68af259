"""Form fields of numbers without a unit, with the decimal mark of the reader."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db import models

from inventory.decimal_mark import decimal_mark, with_mark, with_point
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


_FORM_CLASSES: dict[type[models.Field], type[forms.Field]] = {
    models.FloatField: NumberField,
    models.PositiveSmallIntegerField: WholeField,
}


def readers_number(field: models.Field, **kwargs: Any) -> forms.Field | None:
    """Return the form field of a model field, which takes the reader's decimal mark."""
    form_class = _FORM_CLASSES.get(type(field))
    return (
        field.formfield(**kwargs)
        if form_class is None
        else field.formfield(form_class=form_class, **kwargs)
    )
