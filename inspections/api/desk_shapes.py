"""Shapes of the engineer's desk: flags, decisions, what is due, work, events."""

from __future__ import annotations

from rest_framework import serializers

from inspections.api.shapes import Code, Shape, Word
from inspections.assessment_codes import VERDICT_CODES
from inspections.models import Decision, Due, Event, Flag, WorkItem, WorkOrder


class DecisionShape(Shape):
    """A signed decision; ``digest`` is the SHA-256 of all that was signed."""

    severity = Word(VERDICT_CODES)
    order = Code(allow_null=True)
    decided_by = Code("username")

    class Meta:
        model = Decision
        fields = [
            "id", "kind", "reason", "as_of", "until", "interval_months", "order", "severity",
            "state_before", "decided_by", "signed_as", "decided_at", "model_version", "digest",
        ]  # fmt: skip
        read_only_fields = fields


class FlagShape(Shape):
    """A flag with its decisions, oldest first."""

    bridge = Code(source="element.bridge")
    element_code = serializers.CharField(source="element.code", read_only=True)
    severity = Word(VERDICT_CODES)
    decisions = DecisionShape(many=True, read_only=True)

    class Meta:
        model = Flag
        fields = [
            "id", "bridge", "element", "element_code", "cause", "state", "severity",
            "first_seen_at", "last_seen_at", "times_seen", "opened_at", "times_reopened",
            "back_since", "until", "evidence_changed", "limit_in_years", "decisions",
        ]  # fmt: skip
        read_only_fields = fields


class DueShape(Shape):
    """A visit that is due; ``element`` is null where it is the whole bridge."""

    bridge = Code()
    element_code = serializers.CharField(
        source="element.code", read_only=True, allow_null=True, default=None
    )
    order = Code(allow_null=True)

    class Meta:
        model = Due
        fields = [
            "id", "bridge", "element", "element_code", "reason", "due_on", "last_on", "months",
            "flag", "event", "order",
        ]  # fmt: skip
        read_only_fields = fields


class WorkItemShape(Shape):
    element_code = serializers.CharField(source="element.code", read_only=True)

    class Meta:
        model = WorkItem
        fields = ["element", "element_code", "flag", "installation_after", "proved_by"]
        read_only_fields = fields


class WorkOrderShape(Shape):
    """An order with the elements that it works on."""

    bridge = Code()
    items = WorkItemShape(many=True, read_only=True)

    class Meta:
        model = WorkOrder
        fields = [
            "id", "bridge", "code", "kind", "title", "description", "state", "study", "by_whom",
            "ordered_on", "planned_on", "begun_on", "finished_on", "cost_estimate", "cost",
            "outcome", "cancelled_at", "cancelled_why", "items",
        ]  # fmt: skip
        read_only_fields = fields


class EventShape(Shape):
    """An event, with how many bridges it touches and how many of them are seen."""

    bridge_count = serializers.IntegerField(read_only=True)
    seen_count = serializers.IntegerField(read_only=True)

    class Meta:
        model = Event
        fields = [
            "id", "kind", "name", "occurred_at", "description", "latitude_deg", "longitude_deg",
            "radius_km", "within_days", "bridge_count", "seen_count", "created_at",
        ]  # fmt: skip
        read_only_fields = fields
