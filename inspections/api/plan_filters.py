"""Parameters that narrow the lists of the plan."""

from __future__ import annotations

import django_filters
from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema_field

from inspections.api.filters import day, place, row, word, yes_or_no
from inspections.api.plan_shapes import INTERVAL_KINDS
from inspections.models import Interval, PlannedVisit
from inspections.models.choices import InspectionKind
from inspections.selectors import plan


class IntervalFilters(django_filters.FilterSet):
    bridge = place("bridge__code", "Code of the bridge")
    element = row("element", "Id of the element")
    kind = word(INTERVAL_KINDS, "kind", "Kind")

    class Meta:
        model = Interval
        fields = ["bridge", "element", "kind"]


class PlannedVisitFilters(django_filters.FilterSet):
    district = place("bridge__district__code", "Code of the district")
    bridge = place("bridge__code", "Code of the bridge")
    kind = word(InspectionKind.choices, "kind", "Kind")
    event = row("event", "Id of the event")
    lead = place("lead__username", "Name of the lead's account")
    planned_from = day("planned_on", "gte", "First day")
    planned_until = day("planned_on", "lte", "Last day")
    standing = yes_or_no(method="still_to_make", label="True: neither cancelled nor handed in")

    class Meta:
        model = PlannedVisit
        fields = ["district", "bridge", "kind", "event"]

    @extend_schema_field({"type": "string", "enum": ["true", "false"]})
    def still_to_make(self, rows: QuerySet, _name: str, wanted: bool) -> QuerySet:
        """Keep the visits still to be made, or the others."""
        kept = plan.standing(rows)
        return kept if wanted else rows.exclude(pk__in=kept.order_by().values("pk"))
