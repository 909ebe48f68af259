"""What is sent to plan visits, set intervals, decide on flags and order work."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.models import User
from django.db.models import Manager, QuerySet
from rest_framework import serializers

from inspections.api.shapes import Code
from inspections.api.write_shapes import NewDecisionShape, Strict
from inspections.lookups.field import bridges_to_inspect
from inspections.models import Event, Flag, OptionStudy
from inspections.models.choices import InspectionKind, Weather
from inspections.models.desk_choices import WorkKind
from inspections.selectors.people import who_inspects
from inventory.models import Bridge, Element

LARGEST_ID = 2**63 - 1
MOST_FLAGS = 200
LONGEST_TEXT = 20_000


class Id(serializers.PrimaryKeyRelatedField):
    """Another row by its id, and what is fetched with it."""

    def __init__(self, queryset: Manager, *fetched: str, **kwargs: Any) -> None:
        number = serializers.IntegerField(min_value=1, max_value=LARGEST_ID)
        self.fetched = fetched
        super().__init__(queryset=queryset, pk_field=number, **kwargs)

    def get_queryset(self) -> QuerySet:
        """Return the rows that may be named, in the districts in scope."""
        rows = super().get_queryset()
        return rows.select_related(*self.fetched) if self.fetched else rows


def a_cost() -> serializers.DecimalField:
    """Return a field for money in the agency's currency."""
    return serializers.DecimalField(
        max_digits=14, decimal_places=2, min_value=0, allow_null=True, default=None
    )


class VisitShape(Strict):
    """When a planned visit is made, by whom and for what."""

    kind = serializers.ChoiceField(InspectionKind.choices)
    planned_on = serializers.DateField()
    lead = Code("username", queryset=User.objects, rows=who_inspects, allow_null=True, default=None)
    crew = Code("username", queryset=User.objects, rows=who_inspects, many=True, default=list)
    event = Id(Event.objects, allow_null=True, default=None)
    note = serializers.CharField(allow_blank=True, default="", max_length=240)


class NewVisitShape(VisitShape):
    """A visit for the calendar; one of a kind a day at a bridge."""

    bridge = Code(queryset=Bridge.objects, rows=bridges_to_inspect)


class OpeningShape(Strict):
    """When a planned visit becomes an inspection, and who is there."""

    date = serializers.DateField()
    team = serializers.CharField(max_length=160, help_text="By role, such as lead and two.")
    weather = serializers.ChoiceField(Weather.choices, default=Weather.UNKNOWN)


class NewIntervalShape(Strict):
    """How often a bridge, or one of its elements, is inspected; in place of what was set."""

    bridge = Code(queryset=Bridge.objects)
    element = Id(Element.objects, allow_null=True, default=None)
    kind = serializers.ChoiceField(InspectionKind.choices)
    months = serializers.IntegerField(min_value=1, max_value=1200)
    reason = serializers.CharField(max_length=1000)


class WhyShape(Strict):
    """Why something ends."""

    reason = serializers.CharField(max_length=1000)


class SeveralFlagsShape(NewDecisionShape):
    """One decision on several flags: it is signed on all of them, or on none."""

    flags = Id(Flag.objects, "element__bridge", many=True)

    def validate_flags(self, flags: list[Flag]) -> list[Flag]:
        """Refuse more than one decision can hold; each counts once."""
        return _no_more(list(dict.fromkeys(flags)), MOST_FLAGS, "flags")


class OrderShape(Strict):
    """What is to be done, by whom and when."""

    title = serializers.CharField(max_length=160)
    description = serializers.CharField(allow_blank=True, default="", max_length=LONGEST_TEXT)
    by_whom = serializers.CharField(allow_blank=True, default="", max_length=160)
    planned_on = serializers.DateField(allow_null=True, default=None)
    cost_estimate = a_cost()


class NewOrderShape(OrderShape):
    """Work on flags, or on elements without any; ordering it is a signed decision on the flags."""

    bridge = Code(queryset=Bridge.objects)
    kind = serializers.ChoiceField(WorkKind.choices)
    ordered_on = serializers.DateField()
    flags = Id(Flag.objects, "element__bridge", many=True, default=list)
    elements = Id(Element.objects, "bridge", many=True, default=list)
    reason = serializers.CharField(
        allow_blank=True, default="", max_length=2000, help_text="Needed with flags."
    )
    study = Id(OptionStudy.objects, allow_null=True, default=None)

    def validate_flags(self, flags: list[Flag]) -> list[Flag]:
        """Refuse more than one order can hold."""
        return _no_more(flags, MOST_FLAGS, "flags")

    def validate_elements(self, elements: list[Element]) -> list[Element]:
        """Refuse more than one order can hold."""
        return _no_more(elements, MOST_FLAGS, "elements")


class OrderChangeShape(OrderShape):
    """An order as it is to be; what is left out is emptied."""

    cost = a_cost()


class BeginShape(Strict):
    """On which day work began."""

    begun_on = serializers.DateField()


def _no_more(rows: list[Any], most: int, name: str) -> list[Any]:
    if len(rows) > most:
        raise serializers.ValidationError(
            f"{len(rows)} {name} are more than {most}. Send them in parts."
        )
    return rows
