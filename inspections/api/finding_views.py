"""What many readings say together: histories, diagnoses of units, capacity checks."""

from __future__ import annotations

from inspections.api import finding_filters as filters
from inspections.api import finding_shapes as shapes
from inspections.api.access import SEE_ELEMENT, SEE_VERDICT
from inspections.api.base import Resource
from inspections.selectors import api_findings as api

PLACE = {"bridge": "element__bridge__code", "element": "element__code"}


class Histories(Resource):
    """Each channel of each device over the years: how it follows the temperature, drift, steps."""

    needs = (SEE_ELEMENT, SEE_VERDICT)
    rows = staticmethod(api.histories)
    serializer_class = shapes.HistoryShape
    filterset_class = filters.HistoryFilters
    ordering_fields = PLACE | {"limit_in_years": "limit_in_years"}


class Diagnoses(Resource):
    """Each unit as a whole: what explains the readings of all its elements together."""

    needs = (SEE_ELEMENT, SEE_VERDICT)
    rows = staticmethod(api.diagnoses)
    serializer_class = shapes.DiagnosisShape
    filterset_class = filters.DiagnosisFilters
    ordering_fields = {"bridge": "unit__bridge__code", "outcome": "outcome"}


class CapacityChecks(Resource):
    """Demand against capacity of each device as last found, by clause of a standard."""

    needs = (SEE_ELEMENT, SEE_VERDICT)
    rows = staticmethod(api.capacity_checks)
    serializer_class = shapes.CapacityCheckShape
    filterset_class = filters.CapacityCheckFilters
    ordering_fields = PLACE | {"use": "use"}
