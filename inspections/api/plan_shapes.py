"""Shapes of the plan, of an event's bridges, of element data, and of the agency's settings."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from inspections.api.shapes import Code, Shape
from inspections.api.units import in_named_unit
from inspections.element_rows import ElementRow
from inspections.models import AgencySettings, Interval, PlannedVisit
from inspections.models.agency import AGENCY_QUANTITIES
from inspections.wording import name_of
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


class StepShape(serializers.Serializer):
    """A channel before and after an event; its numbers are in `unit`, `in_u` in its uncertainty."""

    element = serializers.IntegerField(source="after.element_id")
    element_code = serializers.CharField(source="after.element.code")
    quantity = serializers.CharField(source="after.quantity")
    point = serializers.CharField(source="after.point")
    axis = serializers.CharField(source="after.axis")
    channel = serializers.SerializerMethodField()
    word = serializers.SerializerMethodField()
    unit = serializers.CharField(source="dimension")
    value_before = serializers.FloatField()
    value_after = serializers.FloatField()
    size = serializers.FloatField(allow_null=True)
    u = serializers.FloatField(allow_null=True)
    in_u = serializers.FloatField(allow_null=True)
    use = serializers.FloatField(allow_null=True)
    why_not = serializers.CharField()

    def get_channel(self, row: Any) -> str:
        """Return what was read where, in words."""
        return name_of(row.after)

    def get_word(self, row: Any) -> str:
        """Return the code word of what was found."""
        return row.word.name.lower()

    def to_representation(self, instance: Any) -> dict[str, Any]:
        """Return its numbers in the units asked for."""
        shown = super().to_representation(instance)
        names = ("value_before", "value_after", "size", "u")
        values, shown["unit"] = in_named_unit(
            [shown[name] for name in names],
            shown["unit"],
            self.context.get("system", System.SI),
        )
        return shown | dict(zip(names, values, strict=True))


class EventBridgeShape(serializers.Serializer):
    """A bridge of an event, the worst step first; steps compare the last reading before with the
    first after."""

    bridge = serializers.CharField(source="row.bridge.code")
    distance_km = serializers.FloatField(source="row.distance_km", allow_null=True)
    inspection = serializers.IntegerField(source="inspection.pk", allow_null=True, default=None)
    due_on = serializers.DateField()
    overdue = serializers.BooleanField()
    stepped = serializers.IntegerField()
    to_watch = serializers.IntegerField()
    not_told = serializers.IntegerField()
    steps = serializers.SerializerMethodField()
    not_read = serializers.SerializerMethodField()
    new = serializers.SerializerMethodField()

    def get_steps(self, row: Any) -> StepShape(many=True):  # type: ignore[valid-type]
        """Return what moved."""
        found = self.context["shown"].get(row.row.pk)
        return StepShape(found.steps if found else [], many=True, context=self.context).data

    def get_not_read(self, row: Any) -> list[str]:
        """Return what was read before and not after."""
        found = self.context["shown"].get(row.row.pk)
        return found.not_read if found else []

    def get_new(self, row: Any) -> list[str]:
        """Return the elements that were read after and not before."""
        return row.channels.new


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


class NotToldShape(serializers.Serializer):
    """What the ledger cannot tell of a bridge: nothing at all where `element_number` is null.

    `elements` are the codes of those without condition states as a whole.
    """

    bridge = serializers.CharField()
    element_number = serializers.IntegerField(source="number", allow_null=True)
    elements = serializers.ListField(child=serializers.CharField())
    why = serializers.CharField(source="__str__")


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
