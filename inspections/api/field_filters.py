"""Parameters that narrow the lists of what crews brought home and of air records."""

from __future__ import annotations

import django_filters

from inspections.api.filters import day, place, row, time, word, yes_or_no
from inspections.models import (
    AirDay,
    AirTemperature,
    ComponentRating,
    Condition,
    CriticalFinding,
    FieldNote,
    LeftOut,
    Photo,
    SetAside,
    SignOff,
)
from inspections.models.choices import DefectCode, LeftOutReason
from inspections.models.ratings import RatedItem

OF_VISIT = ["bridge", "inspection"]
OF_ELEMENT = [*OF_VISIT, "element"]


class _OfVisit(django_filters.FilterSet):
    bridge = place("inspection__bridge__code", "Code of the bridge")
    inspection = row("inspection", "Id of the inspection")


class _OfElement(_OfVisit):
    element = row("element", "Id of the element")


def _counting() -> django_filters.TypedChoiceFilter:
    label = "True: only what no later row replaces; false: only what one does"
    return yes_or_no(field_name="counts", label=label)


class ConditionFilters(_OfElement):
    defect = word(DefectCode.choices, "defect", "Number of the defect")
    counts = _counting()

    class Meta:
        model = Condition
        fields = [*OF_ELEMENT, "defect"]


class NoteFilters(_OfElement):
    class Meta:
        model = FieldNote
        fields = OF_ELEMENT


class CriticalFindingFilters(_OfElement):
    seen = yes_or_no(
        field_name="seen_at",
        lookup_expr="isnull",
        exclude=True,
        label="True: seen by an engineer",
    )

    class Meta:
        model = CriticalFinding
        fields = OF_ELEMENT


class LeftOutFilters(_OfElement):
    reason = word(LeftOutReason.choices, "reason", "Reason")

    class Meta:
        model = LeftOut
        fields = [*OF_ELEMENT, "reason"]


class PhotoFilters(_OfElement):
    taken_from = time("taken_at", "gte", "Taken at this time or later")
    taken_until = time("taken_at", "lte", "Taken at this time or earlier")

    class Meta:
        model = Photo
        fields = OF_ELEMENT


class SetAsideFilters(django_filters.FilterSet):
    bridge = place("reading__inspection__bridge__code", "Code of the bridge")
    inspection = row("reading__inspection", "Id of the inspection")
    element = row("reading__element", "Id of the element")

    class Meta:
        model = SetAside
        fields = OF_ELEMENT


class SignOffFilters(_OfVisit):
    class Meta:
        model = SignOff
        fields = OF_VISIT


class RatingFilters(_OfVisit):
    item = word(RatedItem.choices, "item", "Item of the national inventory")
    counts = _counting()

    class Meta:
        model = ComponentRating
        fields = [*OF_VISIT, "item"]


class AirHourFilters(django_filters.FilterSet):
    station = place("station", "Name of the station")
    time_from = time("time_utc", "gte", "This hour or later")
    time_until = time("time_utc", "lte", "This hour or earlier")

    class Meta:
        model = AirTemperature
        fields = ["station"]


class AirDayFilters(django_filters.FilterSet):
    station = place("station", "Name of the station")
    day_from = day("day", "gte", "First day")
    day_until = day("day", "lte", "Last day")

    class Meta:
        model = AirDay
        fields = ["station"]
