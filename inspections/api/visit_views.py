"""Visits, what was read in them, and the verdicts."""

from __future__ import annotations

from collections.abc import Callable

from django.core.exceptions import PermissionDenied
from django.shortcuts import get_object_or_404
from drf_spectacular.utils import extend_schema
from rest_framework import status
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from inspections.api import filters, review_shapes, write_shapes
from inspections.api import visit_shapes as shapes
from inspections.api.access import SEE_VERDICT
from inspections.api.base import Resource
from inspections.api.field_shapes import RatingShape, SetAsideShape
from inspections.api.writing import answered_once
from inspections.field.access import (
    ENTER,
    OPEN_VISIT,
    REVIEW,
    VIEW,
    inspection_for,
    may_correct,
    reading_to_correct,
    temperature_to_correct,
)
from inspections.form_spec import FIELDS
from inspections.models import Inspection
from inspections.models.choices import ReadingQuantity
from inspections.selectors import api, api_field
from inspections.services import ratings, readings, sign_off, visits
from inventory.units import Dimension

TAKEN = {"taken_at": "taken_at", "id": "pk"}


class Inspections(Resource):
    """Visits to bridges."""

    needs = (VIEW,)
    rows = staticmethod(api.inspections)
    serializer_class = shapes.InspectionShape
    filterset_class = filters.InspectionFilters
    ordering_fields = {"date": "date", "bridge": "bridge__code", "id": "pk"}
    needs_also = {
        "create": (OPEN_VISIT,), "records": (ENTER,), "hand_in": (ENTER,),
        "accept": (REVIEW,), "return_to_team": (REVIEW,), "rate": (ENTER,),
    }  # fmt: skip

    @extend_schema(request=write_shapes.NewInspectionShape, responses={201: shapes.InspectionShape})
    def create(self, request: Request) -> Response:
        """Open an inspection."""
        sent = write_shapes.NewInspectionShape(data=request.data)
        sent.is_valid(raise_exception=True)
        return answered_once(
            request,
            lambda: self.shown(visits.open_inspection(**sent.validated_data, user=request.user)),
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
            lambda: self.shown(visits.submit(inspection=inspection)),
            status.HTTP_200_OK,
        )

    @extend_schema(request=review_shapes.ReviewNoteShape, responses={200: shapes.InspectionShape})
    @action(detail=True, methods=["post"])
    def accept(self, request: Request, pk: str) -> Response:
        """Accept a handed-in inspection: its first readings may now serve as baselines."""
        return self._reviewed(request, pk, visits.accept)

    @extend_schema(request=review_shapes.ReviewNoteShape, responses={200: shapes.InspectionShape})
    @action(detail=True, methods=["post"], url_path="return")
    def return_to_team(self, request: Request, pk: str) -> Response:
        """Give a handed-in inspection back to the team, with a note."""
        return self._reviewed(request, pk, visits.return_to_team)

    @extend_schema(request=review_shapes.NewRatingShape, responses={201: RatingShape})
    @action(detail=True, methods=["post"], url_path="ratings")
    def rate(self, request: Request, pk: str) -> Response:
        """Rate the bearings or joints of the bridge as this inspection found them."""
        inspection = inspection_for(request.user, int(pk), ENTER)
        if not may_correct(request.user, inspection):
            raise PermissionDenied
        sent = review_shapes.NewRatingShape(data=request.data)
        sent.is_valid(raise_exception=True)

        def write() -> RatingShape:
            made = ratings.rate(inspection=inspection, user=request.user, **sent.validated_data)
            row = api_field.ratings().get(pk=made.pk)
            return RatingShape(row, context=self.get_serializer_context())

        return answered_once(request, write)

    def _reviewed(self, request: Request, pk: str, review: Callable[..., Inspection]) -> Response:
        inspection = inspection_for(request.user, int(pk), REVIEW)
        sent = review_shapes.ReviewNoteShape(data=request.data)
        sent.is_valid(raise_exception=True)
        return answered_once(
            request,
            lambda: self.shown(
                review(inspection=inspection, user=request.user, **sent.validated_data)
            ),
            status.HTTP_200_OK,
        )


class Readings(Resource):
    """What was read; each value stands under its quantity and unit, such as `gap_mm`."""

    needs = (VIEW,)
    rows = staticmethod(api.readings)
    serializer_class = shapes.ReadingShape
    filterset_class = filters.ReadingFilters
    ordering_fields = TAKEN
    needs_also = {"correct": (ENTER,), "set_aside": (ENTER,)}

    @extend_schema(request=review_shapes.CorrectionShape, responses={201: shapes.ReadingShape})
    @action(detail=True, methods=["post"])
    def correct(self, request: Request, pk: str) -> Response:
        """Append a correction, which names this reading in `corrects`; the old row stays."""
        reading = reading_to_correct(request.user, int(pk))
        sent = review_shapes.CorrectionShape(data=request.data)
        sent.is_valid(raise_exception=True)
        told = sent.value(FIELDS[ReadingQuantity(reading.quantity)].dimension)

        def write() -> shapes.ReadingShape:
            made = readings.correct_reading(
                reading=reading,
                value=told.value,
                typed=told.typed,
                reason=sent.validated_data["reason"],
                user=request.user,
            )
            row = self.get_queryset().get(pk=made.pk)
            return shapes.ReadingShape(row, context=self.get_serializer_context())

        return answered_once(request, write)

    @extend_schema(request=review_shapes.ReasonShape, responses={201: SetAsideShape})
    @action(detail=True, methods=["post"], url_path="set-aside")
    def set_aside(self, request: Request, pk: str) -> Response:
        """Let one of two values of a point count no longer; it stays on record."""
        reading = reading_to_correct(request.user, int(pk))
        sent = review_shapes.ReasonShape(data=request.data)
        sent.is_valid(raise_exception=True)

        def write() -> SetAsideShape:
            made = sign_off.set_aside(reading=reading, user=request.user, **sent.validated_data)
            row = api_field.set_aside().get(pk=made.pk)
            return SetAsideShape(row, context=self.get_serializer_context())

        return answered_once(request, write)


class Temperatures(Resource):
    """Temperatures taken during visits."""

    needs = (VIEW,)
    rows = staticmethod(api.temperatures)
    serializer_class = shapes.TemperatureShape
    filterset_class = filters.TemperatureFilters
    ordering_fields = TAKEN
    needs_also = {"correct": (ENTER,)}

    @extend_schema(
        request=review_shapes.TemperatureCorrectionShape,
        responses={201: shapes.TemperatureShape},
    )
    @action(detail=True, methods=["post"])
    def correct(self, request: Request, pk: str) -> Response:
        """Append a correction, which names this temperature in `corrects`; the old row stays."""
        temperature = temperature_to_correct(request.user, int(pk))
        sent = review_shapes.TemperatureCorrectionShape(data=request.data)
        sent.is_valid(raise_exception=True)
        told = sent.value(Dimension.TEMPERATURE)

        def write() -> shapes.TemperatureShape:
            made = readings.correct_temperature(
                temperature=temperature,
                temperature_c=told.value,
                sunlit=sent.validated_data["sunlit"],
                typed=told.typed,
                reason=sent.validated_data["reason"],
                user=request.user,
            )
            row = self.get_queryset().get(pk=made.pk)
            return shapes.TemperatureShape(row, context=self.get_serializer_context())

        return answered_once(request, write)


class Verdicts(Resource):
    """What the model says of each reading; values stand in the unit of its quantity."""

    needs = (SEE_VERDICT,)
    rows = staticmethod(api.verdicts)
    serializer_class = shapes.VerdictShape
    filterset_class = filters.VerdictFilters
    ordering_fields = TAKEN | {"verdict": "verdict", "residual_in_u": "residual_in_u"}
