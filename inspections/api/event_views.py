"""Events: what happened, the bridges it may have touched, their visits, and what moved there."""

from __future__ import annotations

from django.shortcuts import get_object_or_404
from drf_spectacular.utils import extend_schema
from rest_framework import status
from rest_framework.decorators import action
from rest_framework.exceptions import ValidationError
from rest_framework.request import Request
from rest_framework.response import Response

from inspections.api import event_shapes as shapes
from inspections.api import event_write_shapes as sent
from inspections.api import filters
from inspections.api.base import Resource
from inspections.api.writing import answered_once, checked
from inspections.desk.events.views import PLAN
from inspections.event_checklists import CAUTION, checklist_of
from inspections.field.access import OPEN_VISIT, VIEW
from inspections.models import AgencySettings, Event, EventBridge
from inspections.selectors import api
from inspections.selectors import events as selectors
from inspections.services import events as services
from movement.event_step import chance_beyond


class Events(Resource):
    """What happened to bridges and asks for visits."""

    needs = (VIEW,)
    rows = staticmethod(selectors.events)
    serializer_class = shapes.EventShape
    filterset_class = filters.EventFilters
    ordering_fields = {"occurred_at": "occurred_at"}
    paged_actions = ("bridges", "in_reach")
    parameters_of = {"in_reach": tuple(sent.WhereShape().fields)}
    needs_also = {
        "create": (PLAN,), "in_reach": (PLAN,), "add_bridges": (PLAN,), "remove_bridge": (PLAN,),
        "inspections": (PLAN, OPEN_VISIT),
    }  # fmt: skip

    @extend_schema(request=sent.NewEventShape, responses={201: shapes.EventShape})
    def create(self, request: Request) -> Response:
        """Record an event with the bridges that it may have touched."""
        body = checked(sent.NewEventShape, request)
        chosen = selectors.with_district(body.pop("bridges"), body.pop("district"))
        return answered_once(
            request,
            lambda: self.shown(services.record_event(**body, bridges=chosen, user=request.user)),
        )

    @extend_schema(
        parameters=[sent.WhereShape], responses=shapes.InReachShape(many=True), filters=False
    )
    @action(detail=False, url_path="in-reach")
    def in_reach(self, request: Request) -> Response:
        """Return the bridges that an event at a place may have touched, before it is recorded."""
        asked = {name: request.query_params[name] for name in self.parameters_of["in_reach"]
                 if name in request.query_params}  # fmt: skip
        where = sent.WhereShape(data=asked)
        where.is_valid(raise_exception=True)
        near, unknown = selectors.in_reach(**where.validated_data)
        found = [*near, *(selectors.InReach(each, None) for each in unknown)]
        page = self.paginate_queryset(found)
        context = self.get_serializer_context()
        return self.get_paginated_response(
            shapes.InReachShape(page, many=True, context=context).data
        )

    @extend_schema(responses=shapes.EventBridgeShape(many=True), filters=False)
    @action(detail=True)
    def bridges(self, _request: Request, pk: str) -> Response:
        """Return the bridges of an event, the worst step first, with what moved there."""
        page = self.paginate_queryset(selectors.bridges_after(self.get_object()))
        shown = {each.row.pk: each for each in selectors.before_and_after(page)}
        context = self.get_serializer_context() | {"shown": shown}
        return self.get_paginated_response(
            shapes.EventBridgeShape(page, many=True, context=context).data
        )

    @extend_schema(request=sent.BridgesShape, responses={200: shapes.EventShape})
    @bridges.mapping.post
    def add_bridges(self, request: Request, pk: str) -> Response:
        """Add bridges to an event; those that it names already stay as they are."""
        event, body = self._event(pk), checked(sent.BridgesShape, request)
        chosen = selectors.with_district(**body)

        def write() -> shapes.EventShape:
            services.add_bridges(event=event, bridges=chosen)
            return self.shown(event)

        return answered_once(request, write, status.HTTP_200_OK)

    @extend_schema(request=sent.LessShape, responses={200: shapes.EventShape})
    @action(detail=True, methods=["post"], url_path="bridges/remove")
    def remove_bridge(self, request: Request, pk: str) -> Response:
        """Take a bridge off an event, unless it has been visited for it."""
        event, bridge = self._event(pk), checked(sent.LessShape, request)["bridge"]

        def write() -> shapes.EventShape:
            row = EventBridge.objects.select_related("bridge").filter(event=event, bridge=bridge)
            if (found := row.first()) is None:
                raise ValidationError(
                    {"bridge": f"{bridge.code} is not among the bridges of this event. Look at"
                               " them again."}
                )  # fmt: skip
            services.remove_bridge(row=found)
            return self.shown(event)

        return answered_once(request, write, status.HTTP_200_OK)

    @extend_schema(request=sent.EventInspectionsShape, responses={201: shapes.OpenedShape})
    @action(detail=True, methods=["post"])
    def inspections(self, request: Request, pk: str) -> Response:
        """Open an inspection at each of some bridges of an event, or at none."""
        event, body = self._event(pk), checked(sent.EventInspectionsShape, request)

        def write() -> shapes.OpenedShape:
            made = services.open_inspections(event=event, **body, user=request.user)
            rows = api.inspections().filter(pk__in=[each.pk for each in made])
            context = self.get_serializer_context()
            return shapes.OpenedShape({"inspections": rows}, context=context)

        return answered_once(request, write)

    @extend_schema(responses=shapes.EventSummaryShape, filters=False)
    @action(detail=True)
    def summary(self, _request: Request, pk: str) -> Response:
        """Return what was found over all bridges of an event, and what to look at first."""
        event, agency = self.get_object(), AgencySettings.current()
        counts = selectors.summary_of(selectors.bridges_after(event))
        told = {
            "stepped": counts.stepped,
            "stood_still": counts.stood_still,
            "to_watch": counts.to_watch,
            "overdue": counts.overdue,
            "chance_stepped": chance_beyond(agency.out_k),
            "chance_watch": chance_beyond(agency.watch_k),
            "caution": CAUTION,
            "checklist": [
                {"kind": kind, "look_at": look_at} for kind, look_at in checklist_of(event.kind)
            ],
        }
        return Response(shapes.EventSummaryShape(told).data)

    def _event(self, pk: str) -> Event:
        return get_object_or_404(selectors.events(), pk=pk)
