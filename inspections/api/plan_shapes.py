"""Shapes of the plan and of element data."""

from __future__ import annotations

from typing import Any, ClassVar

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from inspections.api.shapes import Code, Shape
from inspections.element_rows import ElementRow
from inspections.models import Interval, PlannedVisit
from inspections.models.choices import InspectionKind

INTERVAL_KINDS = [
    (each.value, each.label) for each in (InspectionKind.ROUTINE, InspectionKind.IN_DEPTH)
]


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


class InForceShape(serializers.Serializer):
    """How often a bridge, or one of its elements, is inspected; `interval` is null where it is
    the agency's setting."""

    bridge = serializers.CharField(source="bridge.code")
    element = serializers.IntegerField(source="own.element_id", allow_null=True, default=None)
    element_code = serializers.CharField(source="own.element.code", allow_null=True, default=None)
    kind = serializers.ChoiceField(INTERVAL_KINDS)
    months = serializers.IntegerField()
    interval = serializers.IntegerField(source="own.pk", allow_null=True, default=None)
    reason = serializers.CharField(source="own.reason", default="")


class IntervalChangeShape(serializers.Serializer):
    """An interval that was set, changed or ended, and why."""

    WHAT: ClassVar = {"+": "set", "~": "changed", "-": "ended"}

    at = serializers.DateTimeField(source="history_date")
    by = serializers.CharField(source="history_user.username", allow_null=True, default=None)
    bridge = serializers.CharField(source="bridge.code")
    element = serializers.IntegerField(source="element_id", allow_null=True)
    element_code = serializers.CharField(source="element.code", allow_null=True, default=None)
    kind = serializers.ChoiceField(INTERVAL_KINDS)
    months = serializers.IntegerField()
    what = serializers.SerializerMethodField()
    reason = serializers.SerializerMethodField()

    @extend_schema_field(serializers.ChoiceField([*WHAT.values()]))
    def get_what(self, row: Any) -> str:
        """Return what was done."""
        return self.WHAT[row.history_type]

    def get_reason(self, row: Any) -> str:
        """Return why: of one that was ended, why it was."""
        ended = row.history_type == "-"
        return (row.history_change_reason or "") if ended else row.reason


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


class NotToldShape(serializers.Serializer):
    """What the ledger cannot tell of a bridge: nothing at all where `element_number` is null.

    `elements` are the codes of those without condition states as a whole.
    """

    bridge = serializers.CharField()
    element_number = serializers.IntegerField(source="number", allow_null=True)
    elements = serializers.ListField(child=serializers.CharField())
    why = serializers.CharField(source="__str__")
