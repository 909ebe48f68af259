"""The plan, element data, and the agency's settings."""

from __future__ import annotations

from django.db.models import QuerySet
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.exceptions import ValidationError
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from inspections.api import plan_filters as filters
from inspections.api import plan_shapes as shapes
from inspections.api.access import SEE_BRIDGE
from inspections.api.base import Asked, ListOnly, Resource
from inspections.element_rows import ElementRow
from inspections.field.access import VIEW
from inspections.models import AgencySettings
from inspections.selectors import api, plan, thresholds
from inspections.selectors.element_data import element_data
from inspections.services.thresholds import present_version
from inventory.models import Bridge

LONGEST_CODE = 80


class Intervals(Resource):
    """How often bridges and elements are inspected, where it is not the agency's setting."""

    needs = (VIEW,)
    queryset = api.intervals()
    serializer_class = shapes.IntervalShape
    filterset_class = filters.IntervalFilters
    ordering_fields = {"bridge": "bridge__code", "months": "months"}


class PlannedVisits(Resource):
    """Visits on the calendar."""

    needs = (VIEW,)
    queryset = plan.planned()
    serializer_class = shapes.PlannedVisitShape
    filterset_class = filters.PlannedVisitFilters
    ordering_fields = {"planned_on": "planned_on", "bridge": "bridge__code"}


@extend_schema(
    parameters=[
        OpenApiParameter("bridge", str, description="Code of the bridge; all there is without.")
    ]
)
class ElementData(ListOnly):
    """National bridge element data: joints and bearings from the ledger, others as given."""

    needs = (SEE_BRIDGE, VIEW)
    serializer_class = shapes.ElementDataShape
    queryset = Bridge.objects.all()
    parameters = ("bridge",)

    def filter_queryset(self, queryset: QuerySet[Bridge]) -> list[ElementRow]:
        """Return the rows of a bridge, or all."""
        code = self.request.query_params.get("bridge")
        if code is None:
            return element_data().rows
        if not code or len(code) > LONGEST_CODE or "\x00" in code:
            raise ValidationError({"bridge": "This is no code of a bridge. Give its code."})
        return element_data(queryset.filter(code=code)).rows


class Thresholds(Asked, APIView):
    """The agency's thresholds and standing uncertainties."""

    needs = (VIEW,)

    @extend_schema(responses=shapes.ThresholdsShape)
    def get(self, _request: Request) -> Response:
        """Return every figure with its unit and limits."""
        agency = AgencySettings.current()
        told = {
            "version": present_version(),
            "currency": agency.currency,
            "figures": shapes.figures_of(agency, self.system),
        }
        return Response(shapes.ThresholdsShape(told).data)


class ThresholdChanges(Asked, APIView):
    """How the agency's settings came to be."""

    needs = (VIEW,)

    @extend_schema(responses=shapes.ChangeShape(many=True))
    def get(self, _request: Request) -> Response:
        """Return every change of the settings, newest first."""
        told = [
            {
                "at": each.at,
                "by": each.by,
                "reason": each.reason,
                "figures": [
                    {"name": name, "before": before, "after": after}
                    for name, before, after in each.figures
                ],
            }
            for each in thresholds.history_of_settings()
        ]
        return Response(shapes.ChangeShape(told, many=True).data)
