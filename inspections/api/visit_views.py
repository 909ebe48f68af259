"""Visits, what was read in them, and the verdicts."""

from __future__ import annotations

from django.shortcuts import get_object_or_404
from drf_spectacular.utils import extend_schema
from rest_framework import status
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from inspections.api import filters, write_shapes
from inspections.api import visit_shapes as shapes
from inspections.api.access import SEE_VERDICT
from inspections.api.base import Resource
from inspections.api.writing import answered_once
from inspections.field.access import ENTER, OPEN_VISIT, VIEW
from inspections.models import Inspection
from inspections.selectors import api
from inspections.services import readings, visits

TAKEN = {"taken_at": "taken_at", "id": "pk"}


class Inspections(Resource):
    """Visits to bridges."""

    needs = (VIEW,)
    queryset = api.inspections()
    serializer_class = shapes.InspectionShape
    filterset_class = filters.InspectionFilters
    ordering_fields = {"date": "date", "bridge": "bridge__code", "id": "pk"}
    needs_also = {"create": (OPEN_VISIT,), "records": (ENTER,), "hand_in": (ENTER,)}

    @extend_schema(request=write_shapes.NewInspectionShape, responses={201: shapes.InspectionShape})
    def create(self, request: Request) -> Response:
        """Open an inspection."""
        sent = write_shapes.NewInspectionShape(data=request.data)
        sent.is_valid(raise_exception=True)
        return answered_once(
            request,
            lambda: self._shown(visits.open_inspection(**sent.validated_data, user=request.user)),
        )

    @extend_schema(request=write_shapes.NewRowsShape, responses={201: write_shapes.RecordedShape})
    @action(detail=True, methods=["post"])
    def records(self, request: Request, pk: str) -> Response:
        """Add readings and temperatures to an open inspection: all of them, or none."""
        inspection = get_object_or_404(Inspection, pk=pk)
        sent = write_shapes.NewRowsShape(data=request.data)
        sent.is_valid(raise_exception=True)
        new_readings, new_temperatures = sent.rows()

        def write() -> write_shapes.RecordedShape:
            done = readings.record(
                inspection=inspection,
                readings=new_readings,
                temperatures=new_temperatures,
                user=request.user,
            )
            return write_shapes.RecordedShape(
                {
                    "inspection": inspection.pk,
                    "added": done.added,
                    "already_there": done.already_there,
                }
            )

        return answered_once(request, write)

    @extend_schema(request=write_shapes.EmptyShape, responses={200: shapes.InspectionShape})
    @action(detail=True, methods=["post"], url_path="hand-in")
    def hand_in(self, request: Request, pk: str) -> Response:
        """Hand an inspection in for review."""
        inspection = get_object_or_404(Inspection, pk=pk)
        write_shapes.EmptyShape(data=request.data).is_valid(raise_exception=True)
        return answered_once(
            request,
            lambda: self._shown(visits.submit(inspection=inspection)),
            status.HTTP_200_OK,
        )

    def _shown(self, inspection: Inspection) -> shapes.InspectionShape:
        row = self.get_queryset().get(pk=inspection.pk)
        return shapes.InspectionShape(row, context=self.get_serializer_context())


class Readings(Resource):
    """What was read; each value stands under its quantity and unit, such as `gap_mm`."""

    needs = (VIEW,)
    queryset = api.readings()
    serializer_class = shapes.ReadingShape
    filterset_class = filters.ReadingFilters
    ordering_fields = TAKEN


class Temperatures(Resource):
    """Temperatures taken during visits."""

    needs = (VIEW,)
    queryset = api.temperatures()
    serializer_class = shapes.TemperatureShape
    filterset_class = filters.TemperatureFilters
    ordering_fields = TAKEN


class Verdicts(Resource):
    """What the model says of each reading; values stand in the unit of its quantity."""

    needs = (SEE_VERDICT,)
    queryset = api.verdicts()
    serializer_class = shapes.VerdictShape
    filterset_class = filters.VerdictFilters
    ordering_fields = TAKEN | {"verdict": "verdict", "residual_in_u": "residual_in_u"}
