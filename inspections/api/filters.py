"""Parameters that narrow each list."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

import django_filters
from django.core.exceptions import ValidationError
from django.db.models import QuerySet
from django_filters.fields import IsoDateTimeField
from drf_spectacular.utils import extend_schema_field

from inspections.assessment_codes import VERDICT_CODES
from inspections.models import (
    Due,
    Event,
    Flag,
    Inspection,
    OptionStudy,
    Reading,
    TemperatureReading,
    Verdict,
    WorkOrder,
)
from inspections.models.choices import (
    InspectionKind,
    InspectionState,
    ReadingQuantity,
    TemperaturePlace,
)
from inspections.models.desk_choices import (
    DueReason,
    EventKind,
    FlagCause,
    FlagState,
    WorkKind,
    WorkState,
)
from inspections.selectors import flags
from inventory.models import Bridge, District, Element, Support, Unit
from inventory.models.choices import DeckType, DeviceType, ElementKind, SupportKind

FIRST_YEAR, LAST_YEAR = 1900, 2200
"""Times beyond them cannot be meant, and the outermost fit no other time zone."""


def place(column: str, label: str, **kwargs: object) -> django_filters.CharFilter:
    """Return a filter by the code of a place."""
    return django_filters.CharFilter(field_name=column, label=label, max_length=80, **kwargs)


def row(column: str, label: str) -> django_filters.NumberFilter:
    """Return a filter by the id of another row."""
    whole = {"min_value": 1, "max_value": 2**63 - 1, "decimal_places": 0}
    return django_filters.NumberFilter(field_name=column, label=label, **whole)


def word(choices: object, column: str, label: str) -> django_filters.ChoiceFilter:
    """Return a filter by one of several words."""
    return django_filters.ChoiceFilter(field_name=column, choices=choices, label=label)


class _Moment(IsoDateTimeField):
    def to_python(self, value: object) -> dt.datetime | None:
        """Return the time."""
        told = super().to_python(value)
        if told is not None and not FIRST_YEAR <= told.year <= LAST_YEAR:
            raise ValidationError(f"The year {told.year} cannot be meant. Correct the time.")
        return told


class MomentFilter(django_filters.IsoDateTimeFilter):
    """A filter by a time; without an offset it is in the time zone of the site."""

    field_class = _Moment


def time(column: str, lookup: str, label: str) -> MomentFilter:
    """Return a filter by a time with its offset."""
    return MomentFilter(field_name=column, lookup_expr=lookup, label=label)


def day(column: str, lookup: str, label: str) -> django_filters.DateFilter:
    """Return a filter by a day."""
    return django_filters.DateFilter(field_name=column, lookup_expr=lookup, label=label)


def yes_or_no(**kwargs: object) -> django_filters.TypedChoiceFilter:
    """Return a filter by true or false; any other word is refused."""
    words = [("true", "true"), ("false", "false")]
    return django_filters.TypedChoiceFilter(choices=words, coerce=_is_true, **kwargs)


def _is_true(text: str) -> bool:
    return text == "true"


class CodeWordFilter(django_filters.ChoiceFilter):
    """A filter by the code word of a number that means a word."""

    def __init__(self, codes: Mapping[int, str], **kwargs: object) -> None:
        self.numbers = {code: number for number, code in codes.items()}
        super().__init__(choices=[(code, code) for code in self.numbers], **kwargs)

    def filter(self, qs: QuerySet, value: str) -> QuerySet:
        """Keep the rows of this word."""
        return qs.filter(**{self.field_name: self.numbers[value]}) if value else qs


class VerdictFilter(CodeWordFilter):
    """A filter by the code word of a verdict."""

    def __init__(self, **kwargs: object) -> None:
        super().__init__(VERDICT_CODES, **kwargs)


class DistrictFilters(django_filters.FilterSet):
    class Meta:
        model = District
        fields: list[str] = []


class BridgeFilters(django_filters.FilterSet):
    district = place("district__code", "Code of the district")
    name = django_filters.CharFilter(lookup_expr="icontains", label="Part of its name")

    class Meta:
        model = Bridge
        fields = ["district", "name"]


class UnitFilters(django_filters.FilterSet):
    bridge = place("bridge__code", "Code of the bridge")
    deck_type = word(DeckType.choices, "deck_type", "Deck type")

    class Meta:
        model = Unit
        fields = ["bridge", "deck_type"]


class SupportFilters(django_filters.FilterSet):
    bridge = place("bridge__code", "Code of the bridge")
    kind = word(SupportKind.choices, "kind", "Kind")

    class Meta:
        model = Support
        fields = ["bridge", "kind"]


class ElementFilters(django_filters.FilterSet):
    district = place("bridge__district__code", "Code of the district")
    bridge = place("bridge__code", "Code of the bridge")
    support = place("support__code", "Code of the support")
    kind = word(ElementKind.choices, "kind", "Kind")
    device_type = word(
        DeviceType.choices, "current_installation__device_type", "Type of the device there now"
    )
    verdict = VerdictFilter(field_name="status__verdict", label="Verdict as last seen")

    class Meta:
        model = Element
        fields = ["district", "bridge", "support", "kind", "device_type", "verdict"]


class InspectionFilters(django_filters.FilterSet):
    bridge = place("bridge__code", "Code of the bridge")
    state = word(InspectionState.choices, "state", "State")
    kind = word(InspectionKind.choices, "kind", "Kind")
    event = row("event", "Id of the event")
    date_from = day("date", "gte", "First day")
    date_until = day("date", "lte", "Last day")

    class Meta:
        model = Inspection
        fields = ["bridge", "state", "kind", "event", "date_from", "date_until"]


class ReadingFilters(django_filters.FilterSet):
    bridge = place("inspection__bridge__code", "Code of the bridge")
    inspection = row("inspection", "Id of the inspection")
    element = row("element", "Id of the element")
    quantity = word(ReadingQuantity.choices, "quantity", "Quantity")
    taken_from = time("taken_at", "gte", "Taken at this time or later")
    taken_until = time("taken_at", "lte", "Taken at this time or earlier")
    standing = yes_or_no(
        field_name="corrected_by",
        lookup_expr="isnull",
        label="True: only what was not corrected; false: only what was",
    )

    class Meta:
        model = Reading
        fields = ["bridge", "inspection", "element", "quantity", "standing"]


class TemperatureFilters(django_filters.FilterSet):
    bridge = place("inspection__bridge__code", "Code of the bridge")
    inspection = row("inspection", "Id of the inspection")
    place = word(TemperaturePlace.choices, "place", "Where it was taken")

    class Meta:
        model = TemperatureReading
        fields = ["bridge", "inspection", "place"]


class VerdictFilters(django_filters.FilterSet):
    bridge = place("element__bridge__code", "Code of the bridge")
    inspection = row("inspection", "Id of the inspection")
    element = row("element", "Id of the element")
    quantity = word(ReadingQuantity.choices, "quantity", "Quantity")
    verdict = VerdictFilter(label="Verdict")
    taken_from = time("taken_at", "gte", "Taken at this time or later")
    taken_until = time("taken_at", "lte", "Taken at this time or earlier")

    class Meta:
        model = Verdict
        fields = ["bridge", "inspection", "element", "quantity", "verdict"]


class FlagFilters(django_filters.FilterSet):
    district = place("element__bridge__district__code", "Code of the district")
    bridge = place("element__bridge__code", "Code of the bridge")
    element = row("element", "Id of the element")
    cause = word(FlagCause.choices, "cause", "Cause")
    state = word(FlagState.choices, "state", "State")
    severity = VerdictFilter(label="As last seen")
    needs_decision = yes_or_no(
        field_name="needs_decision", label="True: waits for an engineer's word"
    )
    ended = yes_or_no(method="of_end", label="True: closed or withdrawn")

    class Meta:
        model = Flag
        fields = ["district", "bridge", "element", "cause", "state", "severity"]

    @extend_schema_field({"type": "string", "enum": ["true", "false"]})
    def of_end(self, rows: QuerySet[Flag], _name: str, ended: bool) -> QuerySet[Flag]:
        """Keep the flags that are at their end, or those that are not."""
        return rows.exclude(flags.open_flags()) if ended else rows.filter(flags.open_flags())


class DueFilters(django_filters.FilterSet):
    district = place("bridge__district__code", "Code of the district")
    bridge = place("bridge__code", "Code of the bridge")
    reason = word(DueReason.choices, "reason", "Reason")
    due_until = day("due_on", "lte", "Due on this day or earlier")

    class Meta:
        model = Due
        fields = ["district", "bridge", "reason", "due_until"]


class WorkOrderFilters(django_filters.FilterSet):
    bridge = place("bridge__code", "Code of the bridge")
    state = word(WorkState.choices, "state", "State")
    kind = word(WorkKind.choices, "kind", "Kind")

    class Meta:
        model = WorkOrder
        fields = ["bridge", "state", "kind"]


class EventFilters(django_filters.FilterSet):
    kind = word(EventKind.choices, "kind", "Kind")

    class Meta:
        model = Event
        fields = ["kind"]


class OptionStudyFilters(django_filters.FilterSet):
    bridge = place("bridge__code", "Code of the bridge")
    chosen = yes_or_no(
        field_name="chosen", lookup_expr="isnull", exclude=True, label="True: a choice was made"
    )

    class Meta:
        model = OptionStudy
        fields = ["bridge", "chosen"]
