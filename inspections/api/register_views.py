"""The register: districts, bridges, units, supports, elements."""

from __future__ import annotations

from typing import Any

from django.shortcuts import get_object_or_404
from drf_spectacular.utils import extend_schema
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from inspections.api import filters
from inspections.api import register_shapes as shapes
from inspections.api.access import SEE_BRIDGE, SEE_ELEMENT, SEE_VERDICT
from inspections.api.base import Resource
from inspections.api.device_shapes import DesignDemandShape, EarlierDeviceShape, demands_told
from inspections.api.told_shapes import BridgeExplainedShape
from inspections.desk.bridge.page import explained
from inspections.desk.findings import checks_in_short, with_findings_in_short
from inspections.selectors import api, desk
from inspections.selectors.design_demand import design_demands
from inspections.selectors.desk import bridges_to_show
from inventory.models import Element

BY_CODE = "[A-Za-z0-9 ._-]{1,40}"


class Districts(Resource):
    """Parts of the agency."""

    needs = (SEE_BRIDGE,)
    rows = staticmethod(api.districts)
    serializer_class = shapes.DistrictShape
    filterset_class = filters.DistrictFilters
    ordering_fields = {"code": "code", "name": "name"}
    lookup_field, lookup_value_regex = "code", BY_CODE


class Bridges(Resource):
    """Bridges, by their code."""

    needs = (SEE_BRIDGE,)
    rows = staticmethod(api.bridges)
    serializer_class = shapes.BridgeShape
    filterset_class = filters.BridgeFilters
    ordering_fields = {"code": "code", "name": "name", "year_built": "year_built"}
    lookup_field, lookup_value_regex = "code", BY_CODE
    needs_also = {"explanations": (SEE_ELEMENT, SEE_VERDICT)}

    @extend_schema(responses=BridgeExplainedShape)
    @action(detail=True)
    def explanations(self, _request: Request, code: str) -> Response:
        """Return what explains the readings of each unit, and what to measure next, in words."""
        units, climate = explained(get_object_or_404(bridges_to_show(), code=code), self.system)
        told = {"units": units, "usual_temperatures": climate.source if climate else ""}
        return Response(BridgeExplainedShape(told).data)


class Units(Resource):
    """Continuous lengths of superstructure with one thermal fixed point."""

    needs = (SEE_BRIDGE,)
    rows = staticmethod(api.units)
    serializer_class = shapes.UnitShape
    filterset_class = filters.UnitFilters
    ordering_fields = {
        "bridge": "bridge__code", "code": "code", "start_station_m": "start_station_m",
    }  # fmt: skip


class Supports(Resource):
    """Abutments, piers and hinges."""

    needs = (SEE_BRIDGE,)
    rows = staticmethod(api.supports)
    serializer_class = shapes.SupportShape
    filterset_class = filters.SupportFilters
    ordering_fields = {"bridge": "bridge__code", "code": "code", "station_m": "station_m"}


class Elements(Resource):
    """Bearings, joints and restraints, with their status and the device that stands there now."""

    needs = (SEE_ELEMENT,)
    rows = staticmethod(api.elements)
    serializer_class = shapes.ElementShape
    filterset_class = filters.ElementFilters
    ordering_fields = {
        "bridge": "bridge__code", "code": "code", "station_m": "station_m",
        "verdict": ("status__verdict", "-pk"), "greatest_use": "status__greatest_use",
    }  # fmt: skip

    def beside(self, rows: list[Element]) -> dict[str, Any]:
        """Return what histories, units and checks say of some elements in short."""
        statuses = [row.status for row in rows if hasattr(row, "status")]
        findings = {row.element_id: row.finding for row in with_findings_in_short(statuses)}
        return {"findings": findings, "checks": checks_in_short(rows)}

    @extend_schema(responses=DesignDemandShape(many=True), filters=False)
    @action(detail=True, url_path="design-demands", pagination_class=None)
    def design_demands(self, _request: Request, pk: str) -> Response:
        """Return the movement that the design temperatures ask of the device that stands there."""
        device = self.get_object().current_installation
        told = demands_told(design_demands(device) if device else [], self.system)
        return Response(DesignDemandShape(told, many=True).data)

    @extend_schema(responses=EarlierDeviceShape(many=True), filters=False)
    @action(detail=True, url_path="earlier-devices", pagination_class=None)
    def earlier_devices(self, _request: Request, pk: str) -> Response:
        """Return the devices that stood there before, the newest first."""
        rows = desk.earlier_installations(self.get_object())
        context = self.get_serializer_context()
        return Response(EarlierDeviceShape(rows, many=True, context=context).data)
