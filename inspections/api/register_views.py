"""The register: districts, bridges, units, supports, elements."""

from __future__ import annotations

from inspections.api import filters
from inspections.api import register_shapes as shapes
from inspections.api.access import SEE_BRIDGE, SEE_ELEMENT
from inspections.api.base import Resource
from inspections.selectors import api

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
        "verdict": "status__verdict", "greatest_use": "status__greatest_use",
    }  # fmt: skip
