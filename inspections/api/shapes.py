"""What all serializers share: units in names, and words for numbers that mean words."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, ClassVar

from django.db.models import Model, QuerySet
from rest_framework import serializers

from inspections.api.units import SUFFIX_OF, in_units, with_unit
from inspections.form_spec import FIELDS
from inventory.units import System


class Shape(serializers.ModelSerializer):
    """A row with its numbers in the units asked for.

    ``by_quantity`` names the columns that are in the unit of the row's quantity; ``value``
    among them is told under the name of the quantity: ``gap_mm``.
    """

    by_quantity: tuple[str, ...] = ()

    def to_representation(self, instance: Model) -> dict[str, Any]:
        """Return names and values."""
        shown = super().to_representation(instance)
        if self.by_quantity:
            suffix = SUFFIX_OF[FIELDS[instance.quantity].dimension]
            for name in self.by_quantity:
                told = instance.quantity if name == "value" else name
                shown[with_unit(told, suffix)] = getattr(instance, name)
        return in_units(shown, self.context.get("system", System.SI))


class Told(serializers.Serializer):
    """What is reckoned for an answer, with its numbers in the units asked for."""

    def to_representation(self, instance: Any) -> dict[str, Any]:
        """Return names and values."""
        shown = super().to_representation(instance)
        return in_units(shown, self.context.get("system", System.SI))


class Word(serializers.ChoiceField):
    """A number that means a word, told as its code word."""

    def __init__(self, codes: Mapping[int, str], **kwargs: Any) -> None:
        self.codes = codes
        super().__init__(choices=[*codes.values()], read_only=True, **kwargs)

    def to_representation(self, value: int) -> str:
        """Return the code word."""
        return self.codes[value]


class Code(serializers.SlugRelatedField):
    """Another row by its code, or by the name of another column; ``rows`` gives those to name."""

    default_error_messages: ClassVar = {
        "does_not_exist": "«{value}» is not known here. Correct the {slug_name}."
    }

    def __init__(
        self,
        column: str = "code",
        rows: Callable[[], QuerySet] | None = None,
        **kwargs: Any,
    ) -> None:
        self.rows = rows
        if "queryset" not in kwargs:
            kwargs["read_only"] = True
        super().__init__(slug_field=column, **kwargs)

    def get_queryset(self) -> QuerySet | None:
        """Return the rows that may be named: asked for when needed, in the districts in scope."""
        return self.rows() if self.rows else super().get_queryset()

    def to_internal_value(self, data: Any) -> Model:
        """Return the row."""
        if isinstance(data, str) and "\x00" in data:  # PostgreSQL refuses to look for it
            self.fail("does_not_exist", slug_name=self.slug_field, value=data)
        return super().to_internal_value(data)
