"""Shapes of the plan, of an event's bridges, of element data, and of the agency's settings."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from inspections.api.shapes import Code, Shape
from inspections.api.units import in_named_unit
from inspections.element_rows import ElementRow
from inspections.models import AgencySettings, Interval, PlannedVisit
from inspections.models.agency import AGENCY_QUANTITIES
from inventory.units import System


class IntervalShape(Shape):
    """How often a bridge or element is inspected; the agency's setting stands else."""

    bridge = Code()
    element_code = serializers.CharField(
        source="element.code", read_only=True, allow_null=True, default=None
    )

    class Meta:
        model = Interval
        fields = ["id", "bridge", "element", "element_code", "kind", "months", "reason"]
        read_only_fields = fields


class PlannedVisitShape(Shape):
    """A visit on the calendar; `inspection` is what it has become."""

    bridge = Code()
    lead = Code("username", allow_null=True)
    crew = Code("username", many=True)
    created_by = Code("username", allow_null=True)

    class Meta:
        model = PlannedVisit
        fields = [
            "id", "bridge", "kind", "planned_on", "lead", "crew", "event", "note", "inspection",
            "cancelled_at", "created_by",
        ]  # fmt: skip
        read_only_fields = fields


class ElementDataShape(serializers.Serializer):
    """A row of national bridge element data, as the export writes it: joints in feet."""

    state_code = serializers.CharField()
    structure_number = serializers.CharField()
    element_number = serializers.IntegerField()
    parent_number = serializers.IntegerField(allow_null=True)
    total = serializers.IntegerField()
    cs1 = serializers.IntegerField()
    cs2 = serializers.IntegerField()
    cs3 = serializers.IntegerField()
    cs4 = serializers.IntegerField()

    def to_representation(self, instance: ElementRow) -> dict[str, Any]:
        """Return the row with each condition state by its name."""
        places = (instance.state, instance.number, instance.element, instance.parent)
        return dict(zip(self.fields, (*places, instance.total, *instance.states), strict=True))


class FigureShape(serializers.Serializer):
    """One figure of the agency's settings, in `unit`, with what it may be."""

    name = serializers.CharField()
    label = serializers.CharField()
    unit = serializers.CharField()
    value = serializers.FloatField()
    lowest = serializers.FloatField()
    highest = serializers.FloatField()


class ThresholdsShape(serializers.Serializer):
    """Thresholds and standing uncertainties of the agency; `version` names their present state."""

    version = serializers.IntegerField()
    currency = serializers.CharField()
    figures = FigureShape(many=True)


class ChangedFigureShape(serializers.Serializer):
    """A figure that was changed, in its unit in SI; of the currency, its letters."""

    name = serializers.CharField()
    before = serializers.CharField()
    after = serializers.CharField()


class ChangeShape(serializers.Serializer):
    """One saving of the settings."""

    at = serializers.DateTimeField()
    by = serializers.CharField()
    reason = serializers.CharField()
    figures = ChangedFigureShape(many=True)


def figures_of(agency: AgencySettings, system: System) -> list[dict[str, Any]]:
    """Return the figures of the settings with their limits, in a system of units."""
    found = []
    for name, quantity in AGENCY_QUANTITIES.items():
        numbers = [getattr(agency, name), quantity.low, quantity.high]
        told, unit = in_named_unit(numbers, quantity.unit, system)
        row = dict(zip(("value", "lowest", "highest"), told, strict=True))
        found.append({"name": name, "label": f"{quantity.label}", "unit": unit} | row)
    return found
