"""The plan and element data."""

from __future__ import annotations

from django.db.models import QuerySet
from django.shortcuts import get_object_or_404
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import status
from rest_framework.decorators import action
from rest_framework.exceptions import ValidationError
from rest_framework.request import Request
from rest_framework.response import Response

from inspections.api import desk_write_shapes as sent
from inspections.api import plan_filters as filters
from inspections.api import plan_shapes as shapes
from inspections.api.access import SEE_BRIDGE
from inspections.api.base import ListOnly, Resource
from inspections.api.visit_shapes import InspectionShape
from inspections.api.write_shapes import EmptyShape
from inspections.api.writing import answered_once, checked
from inspections.desk.plan.visit_views import PLAN
from inspections.field.access import OPEN_VISIT, VIEW
from inspections.lookups.field import bridges_to_inspect
from inspections.models import Interval, PlannedVisit
from inspections.selectors import api, plan
from inspections.selectors.element_data import WhatIsNotTold
from inspections.selectors.element_data_rows import ElementRows
from inspections.selectors.intervals import IntervalsInForce, changes_of_intervals
from inspections.services import intervals, plan_visits
from inventory.models import Bridge

LONGEST_CODE = 80
OF_A_BRIDGE = OpenApiParameter(
    "bridge", str, description="Code of the bridge; all there is without."
)


def code_of_bridge(request: Request) -> str | None:
    """Return the code of the bridge that is asked for; None where all are."""
    code = request.query_params.get("bridge")
    if code is not None and (not code or len(code) > LONGEST_CODE or "\x00" in code):
        message = "This is no code of a bridge. Correct it, or leave it out for all."
        raise ValidationError({"bridge": message})
    return code


class Intervals(Resource):
    """How often bridges and elements are inspected, where it is not the agency's setting."""

    needs = (VIEW,)
    rows = staticmethod(api.intervals)
    serializer_class = shapes.IntervalShape
    filterset_class = filters.IntervalFilters
    ordering_fields = {"bridge": "bridge__code", "months": "months"}
    paged_actions = ("in_force", "changes")
    parameters_of = {"in_force": ("bridge",), "changes": ("bridge",)}
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

    @extend_schema(
        parameters=[OF_A_BRIDGE], responses=shapes.InForceShape(many=True), filters=False
    )
    @action(detail=False, url_path="in-force")
    def in_force(self, request: Request) -> Response:
        """Return the intervals that stand, the agency's where a bridge has none of its own."""
        code = code_of_bridge(request)
        wanted = bridges_to_inspect() if code is None else Bridge.objects.filter(code=code)
        page = self.paginate_queryset(IntervalsInForce(wanted))
        return self.get_paginated_response(shapes.InForceShape(page, many=True).data)

    @extend_schema(
        parameters=[OF_A_BRIDGE], responses=shapes.IntervalChangeShape(many=True), filters=False
    )
    @action(detail=False)
    def changes(self, request: Request) -> Response:
        """Return every setting, change and end of an interval, newest first."""
        code = code_of_bridge(request)
        rows = changes_of_intervals()
        page = self.paginate_queryset(rows if code is None else rows.filter(bridge__code=code))
        return self.get_paginated_response(shapes.IntervalChangeShape(page, many=True).data)


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


@extend_schema(parameters=[OF_A_BRIDGE])
class ElementData(ListOnly):
    """National bridge element data: joints and bearings from the ledger, others as given."""

    needs = (SEE_BRIDGE, VIEW)
    serializer_class = shapes.ElementDataShape
    rows = staticmethod(Bridge.objects.all)
    parameters = ("bridge",)

    def filter_queryset(self, _queryset: QuerySet[Bridge]) -> ElementRows:
        """Return the rows of a bridge, or all."""
        return ElementRows(self._bridges())

    @extend_schema(responses=shapes.NotToldShape(many=True))
    @action(detail=False, url_path="not-told")
    def not_told(self, _request: Request) -> Response:
        """Return what the ledger cannot tell, and why."""
        page = self.paginate_queryset(WhatIsNotTold(self._bridges()))
        return self.get_paginated_response(shapes.NotToldShape(page, many=True).data)

    def _bridges(self) -> QuerySet[Bridge] | None:
        """Return the bridge asked for, None where all there is is."""
        code = code_of_bridge(self.request)
        if code is None:
            return None
        found = self.queryset.filter(code=code)
        if not found.exists():
            message = f"No bridge has the code «{code}». Correct it, or leave it out for all."
            raise ValidationError({"bridge": message})
        return found
