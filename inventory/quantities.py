"""One place that says, for a stored quantity, its label, unit, limits and why.

The same declaration gives the model field, the database constraint behind it, the CSV
column and the form's words.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import Q
from django.utils.deconstruct import deconstructible
from django.utils.functional import lazy
from django.utils.translation import gettext as _

from inventory.decimal_mark import with_mark
from inventory.words import translated, translated_when_shown


@deconstructible
class InRange:
    """Refuse NaN, infinity and whatever lies outside low to high, with the remedy."""

    def __init__(self, low: float, high: float, unit: str) -> None:
        self.low, self.high, self.unit = low, high, unit

    def __call__(self, value: float) -> None:
        if not math.isfinite(value):
            raise ValidationError(_("Not a finite number. Give a number."), code="not_finite")
        if not self.low <= value <= self.high:
            is_below = value < self.low
            limit = f"{self.low if is_below else self.high:g} {self.unit}".rstrip()
            told = {"value": with_mark(f"{value:g}"), "limit": with_mark(limit)}
            what = (
                _("%(value)s is below %(limit)s.")
                if is_below
                else _("%(value)s is above %(limit)s.")
            )
            remedy = (
                _("Check the unit and the sign, or correct the value.")
                if self.unit
                else _("Correct the value.")
            )
            raise ValidationError(f"{what % told} {remedy}", code="out_of_range")

    def __eq__(self, other: object) -> bool:
        return isinstance(other, InRange) and vars(self) == vars(other)

    def __hash__(self) -> int:
        return hash((self.low, self.high, self.unit))


_with_unit = lazy(
    lambda label, unit: f"{translated(label)} [{translated(unit)}]" if unit else translated(label),
    str,
)


@dataclass(frozen=True, slots=True)
class Quantity:
    """Declaration of one stored quantity; ``unit`` is the SI unit it is kept in."""

    label: str
    unit: str
    low: float
    high: float
    required: bool = False
    help: str = ""
    default: float | None = None

    def field(self) -> models.FloatField:
        """Return the model field."""
        optional = {} if self.required else {"null": True, "blank": True}
        if self.default is not None:
            optional["default"] = self.default
        return models.FloatField(
            _with_unit(self.label, self.unit),
            validators=[InRange(self.low, self.high, self.unit)],
            help_text=translated_when_shown(self.help) if self.help else "",
            **optional,
        )

    def whole_field(self) -> models.PositiveSmallIntegerField:
        """Return the model field of a whole number, such as a count or a year."""
        optional = {} if self.required else {"null": True, "blank": True}
        return models.PositiveSmallIntegerField(
            translated_when_shown(self.label),
            validators=[InRange(self.low, self.high, self.unit)],
            help_text=translated_when_shown(self.help) if self.help else "",
            **optional,
        )


def bounds(prefix: str, quantities: Mapping[str, Quantity]) -> list[models.CheckConstraint]:
    """Return one named check constraint a quantity; an empty one passes."""
    return [
        models.CheckConstraint(
            condition=Q(**{f"{name}__gte": each.low, f"{name}__lte": each.high})
            | Q(**{f"{name}__isnull": True}),
            name=f"{prefix}_{name}_bounds",
            violation_error_message=f"{name}: give {each.low:g} to {each.high:g} {each.unit}.",
        )
        for name, each in quantities.items()
    ]


def ordered(prefix: str, low: str, high: str, message: str) -> models.CheckConstraint:
    """Return a constraint that ``low`` is below ``high`` where both are known."""
    return models.CheckConstraint(
        condition=Q(**{f"{low}__lt": models.F(high)})
        | Q(**{f"{low}__isnull": True})
        | Q(**{f"{high}__isnull": True}),
        name=f"{prefix}_{low}_below_{high}"[:60],
        violation_error_message=message,
    )


def refuse_unordered(row: models.Model, *pairs: tuple[str, str]) -> None:
    """Raise a ValidationError at the field wherever a lower value is not below its upper one."""
    wrong = {
        low: _(
            "%(low)s is not below %(high)s, given as %(name)s. Exchange the two, or correct one."
        )
        % {"low": getattr(row, low), "high": getattr(row, high), "name": high}
        for low, high in pairs
        if getattr(row, low) is not None
        and getattr(row, high) is not None
        and getattr(row, low) >= getattr(row, high)
    }
    if wrong:
        raise ValidationError(wrong)
