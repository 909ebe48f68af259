"""The engineer's desk: flags, what is due, work, events, option studies."""

from __future__ import annotations

from django.shortcuts import get_object_or_404
from drf_spectacular.utils import extend_schema
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from inspections.api import desk_shapes as shapes
from inspections.api import filters, write_shapes
from inspections.api.access import SEE_ELEMENT
from inspections.api.base import Resource
from inspections.api.plan_shapes import EventBridgeShape
from inspections.api.writing import answered_once
from inspections.desk.queue.access import DECIDE
from inspections.field.access import VIEW
from inspections.selectors import api, events, flags, plan
from inspections.services.decisions import decide


class Flags(Resource):
    """Causes followed from the first sighting to the end, with every decision on them."""

    needs = (SEE_ELEMENT,)
    queryset = api.flags_with_decisions()
    serializer_class = shapes.FlagShape
    filterset_class = filters.FlagFilters
    ordering_fields = {
        "bridge": "element__bridge__code", "severity": "severity",
        "opened_at": "opened_at", "last_seen_at": "last_seen_at",
    }  # fmt: skip
    needs_also = {"decisions": (DECIDE,)}

    @extend_schema(request=write_shapes.NewDecisionShape, responses={201: shapes.DecisionShape})
    @action(detail=True, methods=["post"])
    def decisions(self, request: Request, pk: str) -> Response:
        """Sign a decision on a flag."""
        flag = get_object_or_404(flags.flags(), pk=pk)
        sent = write_shapes.NewDecisionShape(data=request.data)
        sent.is_valid(raise_exception=True)
        return answered_once(
            request,
            lambda: shapes.DecisionShape(
                decide(flag=flag, user=request.user, **sent.validated_data),
                context=self.get_serializer_context(),
            ),
        )


class DueList(Resource):
    """Visits that are due, and why."""

    needs = (VIEW,)
    queryset = plan.due()
    serializer_class = shapes.DueShape
    filterset_class = filters.DueFilters
    ordering_fields = {"due_on": "due_on", "bridge": "bridge__code"}


class WorkOrders(Resource):
    """Work on elements, from its order to its proving measurement."""

    needs = (VIEW,)
    queryset = api.orders_with_items()
    serializer_class = shapes.WorkOrderShape
    filterset_class = filters.WorkOrderFilters
    ordering_fields = {
        "ordered_on": "ordered_on", "planned_on": "planned_on", "bridge": "bridge__code",
    }  # fmt: skip


class Events(Resource):
    """What happened to bridges and asks for visits."""

    needs = (VIEW,)
    queryset = events.events()
    serializer_class = shapes.EventShape
    filterset_class = filters.EventFilters
    ordering_fields = {"occurred_at": "occurred_at"}
    paged_actions = ("bridges",)

    @extend_schema(responses=EventBridgeShape(many=True), filters=False)
    @action(detail=True)
    def bridges(self, _request: Request, pk: str) -> Response:
        """Return the bridges of an event, the worst step first, with what moved there."""
        page = self.paginate_queryset(events.bridges_after(self.get_object()))
        shown = {each.row.pk: each for each in events.before_and_after(page)}
        context = self.get_serializer_context() | {"shown": shown}
        return self.get_paginated_response(EventBridgeShape(page, many=True, context=context).data)


class OptionStudies(Resource):
    """Ways to mend a defect held side by side."""

    needs = (VIEW,)
    queryset = api.studies_with_options()
    serializer_class = shapes.OptionStudyShape
    filterset_class = filters.OptionStudyFilters
    ordering_fields = {"opened_at": "opened_at", "bridge": "bridge__code"}
