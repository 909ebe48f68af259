"""What is sent with a write.  Shape alone is checked here; the services check the rest."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.contrib.auth.models import User
from rest_framework import serializers

from inspections.api.filters import FIRST_YEAR, LAST_YEAR
from inspections.api.shapes import Code
from inspections.form_spec import FIELDS
from inspections.lookups.field import bridges_to_inspect
from inspections.models import Instrument
from inspections.models.choices import (
    InspectionKind,
    ReadingQuantity,
    TemperaturePlace,
    Weather,
)
from inspections.models.desk_choices import DecisionKind
from inspections.selectors.people import who_inspects
from inspections.services.readings import NewReading, NewTemperature
from inventory.models import Bridge, Element, Unit
from inventory.models.choices import GapAxis
from inventory.units import Dimension, Typed, parse
from movement.errors import InputError

MOST_ROWS = 500
LONGEST_TYPED = 50
AS_TYPED = (
    "The value with its unit, as it was written down: `55.5 mm`, `2 3/16 in`, `68 F`, `4 mrad`."
)


class Strict(serializers.Serializer):
    """Refuses a field that it does not know: misspelt, it would be left out unseen."""

    def to_internal_value(self, data: Any) -> dict[str, Any]:
        """Return the checked values."""
        if isinstance(data, dict):
            wrong = sorted(f"{name}" for name in {*data} - {*self.fields})
            if wrong:
                use = f"There is no such field. Use {', '.join(self.fields)}."
                raise serializers.ValidationError(dict.fromkeys(wrong, use))
        return super().to_internal_value(data)


class Moment(serializers.DateTimeField):
    """A time with its offset: without one it would be taken for the server's own time."""

    def to_internal_value(self, value: Any) -> dt.datetime:
        """Return the time."""
        try:
            told = dt.datetime.fromisoformat(value) if isinstance(value, str) else None
        except ValueError:
            told = None
        if told is None or told.tzinfo is None:
            raise serializers.ValidationError(
                "Give a time with its offset, such as 2024-06-01T08:30:00+02:00."
            )
        if not FIRST_YEAR <= told.year <= LAST_YEAR:
            raise serializers.ValidationError(
                f"The year {told.year} cannot be meant. Correct the time."
            )
        return super().to_internal_value(value)


class NewInspectionShape(Strict):
    """An inspection to be opened; one of a kind a day."""

    bridge = Code(queryset=Bridge.objects, rows=bridges_to_inspect)
    date = serializers.DateField()
    kind = serializers.ChoiceField(InspectionKind.choices, default=InspectionKind.ROUTINE)
    team = serializers.CharField(max_length=160, help_text="By role, such as lead and two.")
    weather = serializers.ChoiceField(Weather.choices, default=Weather.UNKNOWN)
    remarks = serializers.CharField(allow_blank=True, default="", max_length=20_000)
    lead = Code("username", queryset=User.objects, rows=who_inspects, allow_null=True, default=None)


class NewReadingShape(Strict):
    """A reading."""

    element = serializers.IntegerField(min_value=1, max_value=2**63 - 1)
    quantity = serializers.ChoiceField(ReadingQuantity.choices)
    typed = serializers.CharField(max_length=LONGEST_TYPED, help_text=AS_TYPED)
    taken_at = Moment()
    point = serializers.CharField(allow_blank=True, default="", max_length=12)
    axis = serializers.ChoiceField(
        [("", "No joint gap"), *GapAxis.choices], default="", help_text="For a joint gap."
    )
    repeat = serializers.IntegerField(min_value=1, max_value=1000, default=1)
    instrument = Code(queryset=Instrument.objects.all(), allow_null=True, default=None)
    remark = serializers.CharField(allow_blank=True, default="", max_length=240)


class NewTemperatureShape(Strict):
    """A temperature; without a unit it stands for the whole bridge."""

    place = serializers.ChoiceField(TemperaturePlace.choices)
    typed = serializers.CharField(max_length=LONGEST_TYPED, help_text=AS_TYPED)
    taken_at = Moment()
    unit = serializers.IntegerField(min_value=1, max_value=2**63 - 1, allow_null=True, default=None)
    sunlit = serializers.BooleanField(default=False)
    instrument = Code(queryset=Instrument.objects.all(), allow_null=True, default=None)


class NewRowsShape(Strict):
    """Readings and temperatures of one visit: all are taken, or none."""

    readings = NewReadingShape(many=True, default=list, max_length=MOST_ROWS)
    temperatures = NewTemperatureShape(many=True, default=list, max_length=MOST_ROWS)

    def rows(self) -> tuple[list[NewReading], list[NewTemperature]]:
        """Return what the service takes; refuse by field what cannot be read."""
        sent = self.validated_data
        wrong: dict[str, dict[int, dict[str, str]]] = {}
        pks = {each["element"] for each in sent["readings"]}
        elements = Element.objects.select_related("bridge").in_bulk(pks)
        units = Unit.objects.in_bulk({each["unit"] for each in sent["temperatures"]} - {None})
        readings, temperatures = [], []
        for index, each in enumerate(sent["readings"]):
            dimension = FIELDS[ReadingQuantity(each["quantity"])].dimension
            typed = read_typed(each["typed"], dimension)
            element = elements.get(each["element"])
            if isinstance(typed, str):
                wrong.setdefault("readings", {})[index] = {"typed": typed}
            elif element is None:
                wrong.setdefault("readings", {})[index] = {"element": _unknown(each["element"])}
            else:
                own = {"element": element, "value": typed.value, "typed": typed.typed}
                readings.append(NewReading(**each | own))
        for index, each in enumerate(sent["temperatures"]):
            typed = read_typed(each["typed"], Dimension.TEMPERATURE)
            if isinstance(typed, str):
                wrong.setdefault("temperatures", {})[index] = {"typed": typed}
            elif each["unit"] is not None and each["unit"] not in units:
                wrong.setdefault("temperatures", {})[index] = {"unit": _unknown(each["unit"])}
            else:
                own = {
                    "unit": units.get(each["unit"]),
                    "temperature_c": typed.value,
                    "typed": typed.typed,
                }
                temperatures.append(NewTemperature(**each | own))
        if wrong:
            raise serializers.ValidationError(wrong)
        return readings, temperatures


class RecordedShape(serializers.Serializer):
    """How many rows were added, and how many stood there already, the same."""

    inspection = serializers.IntegerField()
    added = serializers.IntegerField()
    already_there = serializers.IntegerField()


class EmptyShape(Strict):
    """Nothing is sent."""


class NewDecisionShape(Strict):
    """A decision on a flag; it is signed by the account that sends it."""

    kind = serializers.ChoiceField(DecisionKind.choices)
    reason = serializers.CharField(max_length=2000)
    until = serializers.DateField(
        allow_null=True,
        default=None,
        help_text="Needed to accept, to watch and to have it measured again.",
    )
    interval_months = serializers.IntegerField(
        allow_null=True, default=None, min_value=1, max_value=120
    )
    as_of = Moment(
        allow_null=True,
        default=None,
        help_text="Hour from which it holds; now where none is given.",
    )


def read_typed(text: str, dimension: Dimension) -> Typed | str:
    """Return a value, or why it is none.  A bare number would be in a unit that nobody wrote."""
    try:
        typed = parse("typed", text, dimension)
        if dimension is not Dimension.COUNT and not _names_a_unit(text, dimension):
            return f"«{text}» has no unit. Write it with its unit, such as {_example(dimension)}."
    except InputError as error:
        return f"{error.message}. {error.remedy}"
    return typed


def _names_a_unit(text: str, dimension: Dimension) -> bool:
    """Return whether a value says its unit: a bare one follows the unit that is meant."""
    other = {Dimension.LENGTH: "in", Dimension.TEMPERATURE: "F", Dimension.FORCE: "kip"}
    meant = other.get(dimension, "rad")
    return parse("typed", text, dimension, meant).value == parse("typed", text, dimension).value


def _example(dimension: Dimension) -> str:
    return {
        Dimension.LENGTH: "55.5 mm or 2 3/16 in",
        Dimension.TEMPERATURE: "20 °C or 68 F",
        Dimension.FORCE: "120 kN or 27 kip",
        Dimension.ROTATION: "4 mrad",
    }.get(dimension, "1.5 deg")


def _unknown(pk: int) -> str:
    return f"{pk} is not known. Ask for its id anew."
