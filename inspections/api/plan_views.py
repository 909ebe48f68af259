"""The plan, element data, and the agency's settings."""

from __future__ import annotations

from django.db.models import QuerySet
from django.shortcuts import get_object_or_404
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import status
from rest_framework.decorators import action
from rest_framework.exceptions import ValidationError
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from inspections.api import desk_write_shapes as sent
from inspections.api import plan_filters as filters
from inspections.api import plan_shapes as shapes
from inspections.api.access import SEE_BRIDGE
from inspections.api.base import Asked, ListOnly, Resource
from inspections.api.visit_shapes import InspectionShape
from inspections.api.write_shapes import EmptyShape
from inspections.api.writing import answered_once, checked
from inspections.desk.plan.visit_views import PLAN
from inspections.element_rows import ElementRow
from inspections.field.access import OPEN_VISIT, VIEW
from inspections.models import AgencySettings, Interval, PlannedVisit
from inspections.selectors import api, plan, thresholds
from inspections.selectors.element_data import element_data
from inspections.services import intervals, plan_visits
from inspections.services.thresholds import present_version
from inventory.models import Bridge

LONGEST_CODE = 80


class Intervals(Resource):
    """How often bridges and elements are inspected, where it is not the agency's setting."""

    needs = (VIEW,)
    rows = staticmethod(api.intervals)
    serializer_class = shapes.IntervalShape
    filterset_class = filters.IntervalFilters
    ordering_fields = {"bridge": "bridge__code", "months": "months"}
    needs_also = {"create": (PLAN,), "end": (PLAN,)}

    @extend_schema(request=sent.NewIntervalShape, responses={201: shapes.IntervalShape})
    def create(self, request: Request) -> Response:
        """Set an interval, in place of what was set before."""
        body = checked(sent.NewIntervalShape, request)
        return answered_once(
            request,
            lambda: self.shown(intervals.set_interval(**body, user=request.user)),
        )

    @extend_schema(request=sent.WhyShape, responses={200: EmptyShape})
    @action(detail=True, methods=["post"])
    def end(self, request: Request, pk: str) -> Response:
        """Let the agency's setting stand again."""
        interval = get_object_or_404(Interval, pk=pk)
        reason = checked(sent.WhyShape, request)["reason"]

        def write() -> EmptyShape:
            intervals.end_interval(interval=interval, reason=reason, user=request.user)
            return EmptyShape({})

        return answered_once(request, write, status.HTTP_200_OK)


class PlannedVisits(Resource):
    """Visits on the calendar."""

    needs = (VIEW,)
    rows = staticmethod(plan.planned)
    serializer_class = shapes.PlannedVisitShape
    filterset_class = filters.PlannedVisitFilters
    ordering_fields = {"planned_on": "planned_on", "bridge": "bridge__code"}
    needs_also = {
        "create": (PLAN,), "change": (PLAN,), "cancel": (PLAN,), "open": (OPEN_VISIT,),
    }  # fmt: skip

    @extend_schema(request=sent.NewVisitShape, responses={201: shapes.PlannedVisitShape})
    def create(self, request: Request) -> Response:
        """Put a visit on the calendar."""
        body = checked(sent.NewVisitShape, request)
        return answered_once(
            request, lambda: self.shown(plan_visits.plan_visit(**body, user=request.user))
        )

    @extend_schema(request=sent.VisitShape, responses={200: shapes.PlannedVisitShape})
    @action(detail=True, methods=["post"])
    def change(self, request: Request, pk: str) -> Response:
        """Say anew when a visit is made, by whom and for what."""
        visit, body = self._visit(pk), checked(sent.VisitShape, request)
        return answered_once(
            request,
            lambda: self.shown(plan_visits.change_visit(visit=visit, **body, user=request.user)),
            status.HTTP_200_OK,
        )

    @extend_schema(request=EmptyShape, responses={200: shapes.PlannedVisitShape})
    @action(detail=True, methods=["post"])
    def cancel(self, request: Request, pk: str) -> Response:
        """Take a visit off the calendar; it stays on record."""
        visit = self._visit(pk)
        checked(EmptyShape, request)
        return answered_once(
            request,
            lambda: self.shown(plan_visits.cancel_visit(visit=visit, user=request.user)),
            status.HTTP_200_OK,
        )

    @extend_schema(request=sent.OpeningShape, responses={201: InspectionShape})
    @action(detail=True, methods=["post"])
    def open(self, request: Request, pk: str) -> Response:
        """Open the inspection that was planned."""
        visit, body = self._visit(pk), checked(sent.OpeningShape, request)

        def write() -> InspectionShape:
            made = plan_visits.open_visit(visit=visit, **body, user=request.user)
            row = api.inspections().get(pk=made.pk)
            return InspectionShape(row, context=self.get_serializer_context())

        return answered_once(request, write)

    def _visit(self, pk: str) -> PlannedVisit:
        return get_object_or_404(plan.planned(), pk=pk)


@extend_schema(
    parameters=[
        OpenApiParameter("bridge", str, description="Code of the bridge; all there is without.")
    ]
)
class ElementData(ListOnly):
    """National bridge element data: joints and bearings from the ledger, others as given."""

    needs = (SEE_BRIDGE, VIEW)
    serializer_class = shapes.ElementDataShape
    rows = staticmethod(Bridge.objects.all)
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
