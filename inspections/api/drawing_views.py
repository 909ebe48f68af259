"""Drawings of bridges and elements."""

from __future__ import annotations

import django_filters
from django.http import FileResponse
from django.shortcuts import get_object_or_404
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework import status
from rest_framework.decorators import action
from rest_framework.parsers import MultiPartParser
from rest_framework.renderers import JSONRenderer
from rest_framework.request import Request
from rest_framework.response import Response

from inspections.api import drawing_shapes as shapes
from inspections.api.access import SEE_BRIDGE
from inspections.api.base import Resource
from inspections.api.filters import place, row, yes_or_no
from inspections.api.parsing import StrictJSONParser
from inspections.api.writing import answered_once, checked
from inspections.desk.drawings.views import ADD, CHANGE, CONTENT_TYPES, file_of
from inspections.selectors.drawings import drawings
from inventory.models import Drawing
from inventory.services.drawing_files import LARGEST_BYTES
from inventory.services.drawings import add_drawing, change_drawing, withdraw_drawing

JSON = "application/json"


class DrawingFilters(django_filters.FilterSet):
    district = place("bridge__district__code", "Code of the district")
    bridge = place("bridge__code", "Code of the bridge")
    element = row("element", "Id of the element")
    number = django_filters.CharFilter(label="Sheet number", max_length=60)
    withdrawn = yes_or_no(
        field_name="withdrawn_at", lookup_expr="isnull", exclude=True, label="True: withdrawn ones"
    )

    class Meta:
        model = Drawing
        fields = ["district", "bridge", "element", "number", "withdrawn"]


class AnyKind(JSONRenderer):
    """Lets a file be asked for by its type; a refusal is a problem document all the same."""

    media_type, format = "*/*", "file"


class Drawings(Resource):
    """Drawings of bridges and elements."""

    needs = (SEE_BRIDGE,)
    needs_also = {"create": (ADD,), "change": (CHANGE,), "withdraw": (CHANGE,)}
    rows = staticmethod(drawings)
    serializer_class = shapes.DrawingShape
    filterset_class = DrawingFilters
    ordering_fields = {"bridge": "bridge__code", "number": "number", "dated": "dated"}
    parser_classes = (StrictJSONParser, MultiPartParser)

    @extend_schema(
        request={"multipart/form-data": shapes.NewDrawingShape},
        responses={201: shapes.DrawingShape},
    )
    def create(self, request: Request) -> Response:
        """Add a drawing, sent as a form with its file."""
        body = checked(shapes.NewDrawingShape, request)
        sent = body.pop("file").read(LARGEST_BYTES + 1)
        return answered_once(
            request, lambda: self.shown(add_drawing(**body, sent=sent, user=request.user))
        )

    @extend_schema(request={JSON: shapes.DrawingSaidShape}, responses={200: shapes.DrawingShape})
    @action(detail=True, methods=["post"])
    def change(self, request: Request, pk: str) -> Response:
        """Say anew what a drawing is; its file stays as it is."""
        drawing, body = self._drawing(pk), checked(shapes.DrawingSaidShape, request)
        return answered_once(
            request,
            lambda: self.shown(change_drawing(drawing=drawing, **body, user=request.user)),
            status.HTTP_200_OK,
        )

    @extend_schema(request={JSON: shapes.WithdrawnShape}, responses={200: shapes.DrawingShape})
    @action(detail=True, methods=["post"])
    def withdraw(self, request: Request, pk: str) -> Response:
        """Mark a drawing as one that holds no longer; it stays on record."""
        drawing, body = self._drawing(pk), checked(shapes.WithdrawnShape, request)
        return answered_once(
            request,
            lambda: self.shown(withdraw_drawing(drawing=drawing, **body, user=request.user)),
            status.HTTP_200_OK,
        )

    @extend_schema(responses={(200, kind): OpenApiTypes.BINARY for kind in CONTENT_TYPES.values()})
    @action(detail=True, renderer_classes=(JSONRenderer, AnyKind))
    def file(self, _request: Request, pk: str) -> FileResponse:
        """Return what is drawn, as it was encoded when it came in."""
        return file_of(self.get_object())

    def _drawing(self, pk: str) -> Drawing:
        return get_object_or_404(drawings(), pk=pk)
