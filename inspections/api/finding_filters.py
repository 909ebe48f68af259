"""Parameters that narrow the lists of histories, diagnoses and capacity checks."""

from __future__ import annotations

import django_filters
from django.db.models import F, QuerySet
from drf_spectacular.utils import extend_schema_field

from inspections.api.filters import CodeWordFilter, place, row, word, yes_or_no
from inspections.assessment_codes import OUTCOME_CODES, RESPONSE_CODES
from inspections.models import CapacityCheck, ElementHistory, UnitDiagnosis
from inspections.models.choices import CheckFamily, CheckMoment, ReadingQuantity
from inspections.selectors.findings import diagnoses_naming
from inventory.models import Element


class HistoryFilters(django_filters.FilterSet):
    bridge = place("element__bridge__code", "Code of the bridge")
    element = row("element", "Id of the element")
    quantity = word(ReadingQuantity.choices, "quantity", "Quantity")
    response = CodeWordFilter(RESPONSE_CODES, field_name="response", label="Response")
    current = yes_or_no(method="of_device", label="True: of the device that stands there now")

    class Meta:
        model = ElementHistory
        fields = ["bridge", "element", "quantity", "response"]

    @extend_schema_field({"type": "string", "enum": ["true", "false"]})
    def of_device(self, rows: QuerySet, _name: str, current: bool) -> QuerySet:
        """Keep what tells of the present device, or of those before."""
        now = {"installation": F("element__current_installation")}
        return rows.filter(**now) if current else rows.exclude(**now)


class DiagnosisFilters(django_filters.FilterSet):
    bridge = place("unit__bridge__code", "Code of the bridge")
    unit = row("unit", "Id of the unit")
    element = django_filters.NumberFilter(
        method="naming", label="Id of an element that a leading explanation names or touches",
        min_value=1, max_value=2**63 - 1, decimal_places=0,
    )  # fmt: skip
    outcome = CodeWordFilter(OUTCOME_CODES, field_name="outcome", label="What can be said")

    class Meta:
        model = UnitDiagnosis
        fields = ["bridge", "unit", "outcome"]

    @extend_schema_field({"type": "integer", "minimum": 1})
    def naming(self, rows: QuerySet, _name: str, element: int) -> QuerySet:
        """Keep the diagnoses that the page of an element shows."""
        found = Element.objects.filter(pk=int(element)).first()
        named = diagnoses_naming(found) if found else []
        return rows.filter(pk__in=[each.pk for each in named])


class BestTimeFilters(django_filters.FilterSet):
    bridge = place("element__bridge__code", "Code of the bridge")
    element = row("element", "Id of the element")

    class Meta:
        model = ElementHistory
        fields = ["bridge", "element"]


class CapacityCheckFilters(django_filters.FilterSet):
    bridge = place("element__bridge__code", "Code of the bridge")
    element = row("element", "Id of the element")
    family = word(CheckFamily.choices, "family", "Family of rules")
    when = word(CheckMoment.choices, "when", "Now, or carried to a design extreme")

    class Meta:
        model = CapacityCheck
        fields = ["bridge", "element", "family", "when"]
