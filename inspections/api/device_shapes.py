"""Shapes of what is asked of a device, and of those that stood at a place before."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from rest_framework import serializers

from inspections.api.register_shapes import InstallationShape
from inspections.api.units import in_named_unit
from inspections.selectors.design_demand import DesignDemand
from inventory.units import Dimension, System


class DesignDemandShape(serializers.Serializer):
    """One way of one movement from the setting to a design extreme, in `unit`.

    `movement` is thermal alone, `demand` with the factor or allowance of `rule`; `available` is
    null where no limit is recorded. It sizes the device and enters no verdict.
    """

    name = serializers.CharField()
    rule = serializers.CharField()
    unit = serializers.CharField()
    movement = serializers.FloatField()
    demand = serializers.FloatField()
    available = serializers.FloatField(allow_null=True)
    extreme = serializers.FloatField()
    extreme_unit = serializers.CharField()
    use = serializers.FloatField(allow_null=True)


class EarlierDeviceShape(InstallationShape):
    """A device that stood there, with how many of its readings are judged."""

    verdict_count = serializers.IntegerField(read_only=True)

    class Meta(InstallationShape.Meta):
        fields = [*InstallationShape.Meta.fields, "verdict_count"]
        read_only_fields = fields


def demands_told(demands: Iterable[DesignDemand], system: System) -> list[dict[str, Any]]:
    """Return demands as they are shown in a system of units."""
    told = []
    for each in demands:
        numbers = [each.movement, each.demand, each.available]
        (movement, demand, available), unit = in_named_unit(numbers, each.dimension, system)
        (extreme,), of_extreme = in_named_unit([each.extreme_c], Dimension.TEMPERATURE, system)
        told.append({
            "name": each.name, "rule": each.rule, "unit": unit, "movement": movement,
            "demand": demand, "available": available, "extreme": extreme,
            "extreme_unit": of_extreme, "use": each.use,
        })  # fmt: skip
    return told
