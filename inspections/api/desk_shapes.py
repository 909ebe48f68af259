"""Shapes of the engineer's desk: flags, decisions, what is due, work."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from inspections.api.shapes import Code, Shape, Word
from inspections.assessment_codes import VERDICT_CODES
from inspections.desk.queue.shown import parts_of
from inspections.models import Decision, Due, Flag, WorkItem, WorkOrder
from inspections.wording_flags import evidence_words


class DecisionShape(Shape):
    """A signed decision; ``digest`` is the SHA-256 of all that was signed.

    Those on several flags at once share what stands under ``together``.
    """

    severity = Word(VERDICT_CODES)
    order = Code(allow_null=True)
    decided_by = Code("username")

    class Meta:
        model = Decision
        fields = [
            "id", "flag", "kind", "reason", "as_of", "until", "interval_months", "order",
            "severity", "state_before", "decided_by", "signed_as", "decided_at", "model_version",
            "together", "digest",
        ]  # fmt: skip
        read_only_fields = fields


class DecisionsShape(serializers.Serializer):
    """One decision that was signed on several flags."""

    decisions = DecisionShape(many=True)


class SharesShape(serializers.Serializer):
    """The four weighted shares of a flag's place in the queue, in points."""

    severity = serializers.FloatField()
    consequence = serializers.FloatField()
    nearness = serializers.FloatField()
    age = serializers.FloatField()


class FlagShape(Shape):
    """A flag with its decisions, oldest first, and its place in the queue.

    `shares` sum to `score`, of 100; `evidence` is what showed it last. `lapsed`: the day of its
    decision has passed.
    """

    bridge = Code(source="element.bridge")
    element_code = serializers.CharField(source="element.code", read_only=True)
    severity = Word(VERDICT_CODES)
    score = serializers.SerializerMethodField()
    shares = serializers.SerializerMethodField()
    lapsed = serializers.BooleanField(read_only=True)
    needs_decision = serializers.BooleanField(read_only=True)
    evidence = serializers.SerializerMethodField()
    decisions = DecisionShape(many=True, read_only=True)

    class Meta:
        model = Flag
        fields = [
            "id", "bridge", "element", "element_code", "cause", "state", "severity", "score",
            "shares", "lapsed", "needs_decision", "evidence",
            "first_seen_at", "last_seen_at", "times_seen", "opened_at", "times_reopened",
            "back_since", "until", "evidence_changed", "limit_in_years", "decisions",
        ]  # fmt: skip
        read_only_fields = fields

    def get_score(self, row: Any) -> float:
        """Return its points as the queue shows them."""
        return round(row.score, 1)

    @extend_schema_field(SharesShape)
    def get_shares(self, row: Any) -> dict[str, float]:
        """Return the points of each part."""
        return {part.key: part.points for part in parts_of(row)}

    @extend_schema_field(serializers.ListField(child=serializers.CharField()))
    def get_evidence(self, row: Flag) -> list[str]:
        """Return what its last sighting rests on, in words."""
        seen = self.context["seen"].get(row.pk)
        return [] if seen is None else evidence_words(seen.evidence, self.context["system"])


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
