"""The end of work: what is sent, and what the register refuses, told at its place."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.models import AbstractBaseUser
from django.core.exceptions import ValidationError
from django.forms import Form
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from inspections.api.desk_write_shapes import MOST_FLAGS, Id, a_cost
from inspections.api.write_shapes import Moment, Strict
from inspections.desk.work.place_forms import (
    elements_of,
    place_form,
    refused_at,
    value_names,
)
from inspections.models import WorkOrder
from inspections.models.desk_choices import WorkKind
from inspections.services.work_done import PlaceRefused, finish_order
from inventory.models import Element
from inventory.models.choices import ElementKind
from inventory.units import System

LONGEST_VALUE = 4000


@extend_schema_field(
    {"oneOf": [{"type": "string"}, {"type": "number"}, {"type": "boolean"}], "nullable": True}
)
class Value(serializers.Field):
    """A text, number, truth or nothing, as it would be typed into a field of the page."""

    def to_internal_value(self, data: Any) -> str:
        """Return it as text."""
        if not isinstance(data, (str, int, float)):
            raise serializers.ValidationError("Give a text, a number, true, false or null.")
        if len(text := str(data)) > LONGEST_VALUE:
            raise serializers.ValidationError(f"Give no more than {LONGEST_VALUE} characters.")
        return text


def _names() -> str:
    """Return which values each kind of work takes at each kind of element, in words."""
    told = [
        f"{work.value.capitalize()} of a {kind.value}: {', '.join(value_names(work, kind))}."
        for work in (WorkKind.RESET, WorkKind.REPLACEMENT)
        for kind in ElementKind
    ]
    return " ".join(told)


class PlaceShape(Strict):
    """What stands at an element after the work: a new device or setting; of a repair, whether it
    goes on as before."""

    element = Id(Element.objects)
    values = serializers.DictField(
        child=Value(allow_null=True),
        help_text="As the register keeps them: a number is in the unit that its name ends in"
        " whatever `units` says, a text may bring its own, such as `2 3/16 in`. What is left out is"
        " empty, but the gaps and projection of a restraint stay where none of them is given."
        " Repair: after, which is before or baseline. " + _names(),
    )


class FinishShape(Strict):
    """When work was finished, what was done, and what stands at its elements afterwards."""

    finished_at = Moment(help_text="From this hour on a reading can prove it.")
    outcome = serializers.CharField(max_length=4000, help_text="What was done.")
    cost = a_cost()
    places = PlaceShape(
        many=True, default=list, max_length=MOST_FLAGS,
        help_text="One for each element; after a repair those left out go on as before.",
    )  # fmt: skip


def finish(
    *, order: WorkOrder, places: list[dict[str, Any]], user: AbstractBaseUser, **fields: Any
) -> WorkOrder:
    """Finish an order with places as they were sent.

    Raises
    ------
    ValidationError
        At the place and value that is wrong: ``places[0].values.device_type``.
    """
    forms = _forms(order, places)
    after = {form.element.pk: form.place() for form in forms}
    try:
        return finish_order(
            order=order,
            user=user,
            places={pk: place for pk, place in after.items() if place is not None},
            **fields,
        )
    except PlaceRefused as refusal:
        raise _told(refusal, forms) from refusal


def _forms(order: WorkOrder, places: list[dict[str, Any]]) -> list[Form]:
    """Return a form of the register for each place; refuse all that is wrong at once."""
    elements = {each.pk: each for each in elements_of(order)}
    forms: list[Form] = []
    wrong: dict[str, list[str]] = {}
    for number, sent in enumerate(places):
        at, values = f"places[{number}]", sent["values"]
        element = elements.pop(sent["element"].pk, None)
        if element is None:
            wrong[f"{at}.element"] = ["Give each element of the order once, and no other."]
            continue
        typed = {f"e{element.pk}-{name}": each for name, each in values.items() if each is not None}
        form = place_form(order.kind, element, typed, System.SI)
        forms.append(form)
        for name in sorted(values.keys() - form.fields.keys()):
            wrong[f"{at}.values.{name}"] = [
                f"There is no such value. Use {', '.join(form.fields)}."
            ]
        for name, messages in form.errors.items():
            wrong[_where(at, form, name)] = [*messages]
    if wrong:
        raise ValidationError(wrong)
    return forms


def _told(refusal: PlaceRefused, forms: list[Form]) -> ValidationError:
    """Return what the register refused at its value; the days are that of the order."""
    number, form = next(
        (number, each) for number, each in enumerate(forms) if each.element.pk == refusal.element.pk
    )
    of_day, of_field = refused_at(refusal, form)
    told = {_where(f"places[{number}]", form, name): said for name, said in of_field.items()}
    return ValidationError(told | ({"finished_at": of_day} if of_day else {}))


def _where(at: str, form: Form, name: str | None) -> str:
    return f"{at}.values.{name}" if name in form.fields else at
