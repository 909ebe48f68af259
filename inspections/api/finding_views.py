"""What many readings say together: histories, diagnoses of units, capacity checks."""

from __future__ import annotations

from typing import Any

from rest_framework.serializers import BaseSerializer

from inspections.api import finding_filters as filters
from inspections.api import finding_shapes as shapes
from inspections.api.access import SEE_ELEMENT, SEE_VERDICT
from inspections.api.base import Resource
from inspections.api.told_shapes import BestTimeShape
from inspections.desk.plan.shown import channels_shown
from inspections.field.access import VIEW
from inspections.models import AgencySettings, CapacityCheck
from inspections.selectors import api_findings as api
from inspections.selectors.plan_best_time import not_enough, times_of_channels

# Elements of many bridges have the same code: rows of one element are put in order, not of all.
PLACE = {"bridge": "element__bridge__code", "element": ("element__code", "element_id")}


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

    def beside(self, rows: list[CapacityCheck]) -> dict[str, Any]:
        """Return the share from which a check is near its capacity."""
        return {"near": AgencySettings.current().watch_use}


class BestTimes(Resource):
    """Movements whose readings cannot tell yet how they follow, and when to read them next."""

    needs = (VIEW,)
    rows = staticmethod(not_enough)
    serializer_class = BestTimeShape
    filterset_class = filters.BestTimeFilters
    ordering_fields = PLACE | {"visits": "visits"}

    def get_serializer(self, *args: Any, **kwargs: Any) -> BaseSerializer:
        """Return rows in the words of the page."""
        if args:
            rows = args[0] if kwargs.get("many") else [args[0]]
            told = channels_shown(times_of_channels(rows), self.system)
            args = (told if kwargs.get("many") else told[0],)
        return super().get_serializer(*args, **kwargs)
