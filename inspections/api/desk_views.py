"""The engineer's desk: flags, what is due, work."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from django.db.models import QuerySet
from django.shortcuts import get_object_or_404
from drf_spectacular.utils import extend_schema
from rest_framework import status
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from inspections.api import desk_shapes as shapes
from inspections.api import desk_write_shapes as sent
from inspections.api import filters, write_shapes
from inspections.api.access import SEE_ELEMENT
from inspections.api.base import Resource
from inspections.api.finishing import FinishShape, finish
from inspections.api.write_shapes import Strict
from inspections.api.writing import answered_once, checked
from inspections.desk.options.access import WORK
from inspections.desk.queue.access import DECIDE
from inspections.desk.work.access import order_for
from inspections.field.access import VIEW
from inspections.models import AgencySettings, Flag, WorkOrder
from inspections.selectors import api, flags, plan
from inspections.services import work
from inspections.services.decisions import decide, decide_all


class Flags(Resource):
    """Causes followed from the first sighting to the end, with every decision on them."""

    needs = (SEE_ELEMENT,)
    rows = staticmethod(api.flags_with_decisions)
    serializer_class = shapes.FlagShape
    filterset_class = filters.FlagFilters
    ordering_fields = {
        "score": "score", "bridge": "element__bridge__code", "severity": "severity",
        "opened_at": "opened_at", "last_seen_at": "last_seen_at",
    }  # fmt: skip
    needs_also = {"decisions": (DECIDE,), "decide_several": (DECIDE,)}

    def get_queryset(self) -> QuerySet[Flag]:
        """Return flags in their order, which rests on the agency's weights."""
        if getattr(self, "swagger_fake_view", False):
            # Whoever describes the API may have no database yet.
            return api.flags_with_decisions(AgencySettings())
        return super().get_queryset()

    def beside(self, rows: list[Flag]) -> dict[str, Any]:
        """Return the sightings that showed some flags last."""
        return {"seen": flags.last_seen(rows)}

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

    @extend_schema(
        operation_id="flags_decide_several",
        request=sent.SeveralFlagsShape,
        responses={201: shapes.DecisionsShape},
    )
    @action(detail=False, methods=["post"], url_path="decisions")
    def decide_several(self, request: Request) -> Response:
        """Sign one decision on several flags, on all of them or on none."""
        body = checked(sent.SeveralFlagsShape, request)
        return answered_once(
            request,
            lambda: shapes.DecisionsShape(
                {"decisions": decide_all(**body, user=request.user)},
                context=self.get_serializer_context(),
            ),
        )


class DueList(Resource):
    """Visits that are due, and why."""

    needs = (VIEW,)
    rows = staticmethod(plan.due)
    serializer_class = shapes.DueShape
    filterset_class = filters.DueFilters
    ordering_fields = {"due_on": "due_on", "bridge": "bridge__code"}


class WorkOrders(Resource):
    """Work on elements, from its order to its proving measurement."""

    needs = (VIEW,)
    rows = staticmethod(api.orders_with_items)
    serializer_class = shapes.WorkOrderShape
    filterset_class = filters.WorkOrderFilters
    ordering_fields = {
        "ordered_on": "ordered_on", "planned_on": "planned_on", "bridge": "bridge__code",
    }  # fmt: skip
    needs_also = dict.fromkeys(("create", "change", "begin", "cancel", "finish"), (WORK,))

    @extend_schema(request=sent.NewOrderShape, responses={201: shapes.WorkOrderShape})
    def create(self, request: Request) -> Response:
        """Order work at one bridge; on flags that is a signed decision."""
        body = checked(sent.NewOrderShape, request)
        return answered_once(
            request, lambda: self.shown(work.order_work(**body, user=request.user))
        )

    @extend_schema(request=sent.OrderChangeShape, responses={200: shapes.WorkOrderShape})
    @action(detail=True, methods=["post"])
    def change(self, request: Request, pk: str) -> Response:
        """Say anew what is to be done, by whom, when and at what cost."""
        return self._written(request, pk, sent.OrderChangeShape, work.change_order)

    @extend_schema(request=sent.BeginShape, responses={200: shapes.WorkOrderShape})
    @action(detail=True, methods=["post"])
    def begin(self, request: Request, pk: str) -> Response:
        """Note that the work has begun."""
        return self._written(request, pk, sent.BeginShape, work.begin_order)

    @extend_schema(request=FinishShape, responses={200: shapes.WorkOrderShape})
    @action(detail=True, methods=["post"])
    def finish(self, request: Request, pk: str) -> Response:
        """Finish an order: the register, its flags and what is due follow in one step."""
        return self._written(request, pk, FinishShape, partial(finish, user=request.user))

    @extend_schema(request=sent.WhyShape, responses={200: shapes.WorkOrderShape})
    @action(detail=True, methods=["post"])
    def cancel(self, request: Request, pk: str) -> Response:
        """Cancel an order that has not been finished; its flags ask for a decision again."""

        def write(order: WorkOrder, reason: str) -> WorkOrder:
            return work.cancel_order(order=order, why=reason, user=request.user)

        return self._written(request, pk, sent.WhyShape, write)

    def _written(
        self, request: Request, pk: str, shape: type[Strict], write: Callable[..., WorkOrder]
    ) -> Response:
        order = order_for(request.user, int(pk), WORK)
        body = checked(shape, request)
        return answered_once(
            request, lambda: self.shown(write(order=order, **body)), status.HTTP_200_OK
        )
