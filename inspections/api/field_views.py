"""What crews bring home beside readings, their ratings, and air records."""

from __future__ import annotations

from django.http import FileResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework import status
from rest_framework.decorators import action
from rest_framework.renderers import JSONRenderer
from rest_framework.request import Request
from rest_framework.response import Response

from inspections.api import field_filters as filters
from inspections.api import field_shapes as shapes
from inspections.api import write_shapes
from inspections.api.base import ListOnly, Resource
from inspections.api.writing import answered_once
from inspections.field.access import REVIEW, VIEW, critical_to_see
from inspections.field.tablet.taking import picture
from inspections.selectors import api_field as api
from inspections.services.critical import mark_seen

BY_UUID = "[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}"
OF_VISIT = {"bridge": "inspection__bridge__code", "date": "inspection__date", "id": "pk"}
JPEG = {(200, "image/jpeg"): OpenApiTypes.BINARY}


class Jpeg(JSONRenderer):
    """Lets a picture be asked for by its type; a refusal is a problem document all the same."""

    media_type, format = "image/jpeg", "jpeg"


PICTURES = (JSONRenderer, Jpeg)


class Conditions(Resource):
    """Condition states of elements, by defect and overall."""

    needs = (VIEW,)
    rows = staticmethod(api.conditions)
    serializer_class = shapes.ConditionShape
    filterset_class = filters.ConditionFilters
    ordering_fields = OF_VISIT


class Notes(Resource):
    """Notes of crews on elements and bridges."""

    needs = (VIEW,)
    rows = staticmethod(api.notes)
    serializer_class = shapes.NoteShape
    filterset_class = filters.NoteFilters
    ordering_fields = OF_VISIT


class CriticalFindings(Resource):
    """What could not wait, and which engineer has seen it."""

    needs = (VIEW,)
    rows = staticmethod(api.critical_findings)
    serializer_class = shapes.CriticalFindingShape
    filterset_class = filters.CriticalFindingFilters
    ordering_fields = OF_VISIT | {"found_at": "found_at"}
    needs_also = {"seen": (REVIEW,)}

    @extend_schema(request=write_shapes.EmptyShape, responses={200: shapes.CriticalFindingShape})
    @action(detail=True, methods=["post"])
    def seen(self, request: Request, pk: str) -> Response:
        """Note that an engineer has seen it; a second time changes nothing."""
        finding = critical_to_see(request.user, int(pk))
        write_shapes.EmptyShape(data=request.data).is_valid(raise_exception=True)

        def write() -> shapes.CriticalFindingShape:
            mark_seen(finding=finding, user=request.user)
            row = self.get_queryset().get(pk=finding.pk)
            return shapes.CriticalFindingShape(row, context=self.get_serializer_context())

        return answered_once(request, write, status.HTTP_200_OK)


class LeftOutList(Resource):
    """Elements that were not read on a visit, and why."""

    needs = (VIEW,)
    rows = staticmethod(api.left_out)
    serializer_class = shapes.LeftOutShape
    filterset_class = filters.LeftOutFilters
    ordering_fields = OF_VISIT


class Photos(Resource):
    """Photos from visits."""

    needs = (VIEW,)
    rows = staticmethod(api.photos)
    serializer_class = shapes.PhotoShape
    filterset_class = filters.PhotoFilters
    ordering_fields = OF_VISIT | {"taken_at": "taken_at"}
    lookup_value_regex = BY_UUID

    @extend_schema(responses=JPEG)
    @action(detail=True, renderer_classes=PICTURES)
    def image(self, _request: Request, pk: str) -> FileResponse:
        """Return the photo as JPEG, at most 2048 pixels wide and high."""
        return picture(self.get_object().image)

    @extend_schema(responses=JPEG)
    @action(detail=True, renderer_classes=PICTURES)
    def thumbnail(self, _request: Request, pk: str) -> FileResponse:
        """Return the photo as a small JPEG."""
        return picture(self.get_object().thumbnail)


class SetAsideList(Resource):
    """Readings that no longer count, because another of the same point does."""

    needs = (VIEW,)
    rows = staticmethod(api.set_aside)
    serializer_class = shapes.SetAsideShape
    filterset_class = filters.SetAsideFilters
    ordering_fields = {"id": "pk"}


class SignOffs(Resource):
    """Signatures under inspections."""

    needs = (VIEW,)
    rows = staticmethod(api.sign_offs)
    serializer_class = shapes.SignOffShape
    filterset_class = filters.SignOffFilters
    ordering_fields = OF_VISIT | {"signed_at": "signed_at"}


class Ratings(Resource):
    """National condition ratings of bearings (B.C.07) and joints (B.C.08)."""

    needs = (VIEW,)
    rows = staticmethod(api.ratings)
    serializer_class = shapes.RatingShape
    filterset_class = filters.RatingFilters
    ordering_fields = OF_VISIT


class AirHours(Resource):
    """Hours of shade air records."""

    needs = (VIEW,)
    rows = staticmethod(api.air_hours)
    serializer_class = shapes.AirHourShape
    filterset_class = filters.AirHourFilters
    ordering_fields = {"time_utc": "time_utc", "station": "station"}


class AirDays(Resource):
    """Days of shade air records of which only the extremes are known."""

    needs = (VIEW,)
    rows = staticmethod(api.air_days)
    serializer_class = shapes.AirDayShape
    filterset_class = filters.AirDayFilters
    ordering_fields = {"day": "day", "station": "station"}


class AirStations(ListOnly):
    """Stations with hours on record, and from when to when."""

    needs = (VIEW,)
    rows = staticmethod(api.air_stations)
    serializer_class = shapes.AirStationShape
