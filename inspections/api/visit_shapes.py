"""Shapes of visits, of what was read, and of what the model said of it."""

from __future__ import annotations

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from inspections.api.shapes import Code, Shape, Word
from inspections.assessment_codes import REASON_CODES, VERDICT_CODES, WAY_CODES, codes_of
from inspections.models import Inspection, Reading, TemperatureReading, Verdict


class InspectionShape(Shape):
    """A visit; ``reading_count`` counts the readings that stand."""

    bridge = Code()
    lead = Code("username", allow_null=True)
    reading_count = serializers.IntegerField(read_only=True)

    class Meta:
        model = Inspection
        fields = [
            "id", "bridge", "kind", "date", "team", "weather", "state", "lead", "event",
            "remarks", "submitted_at", "reviewed_at", "review_note", "reading_count",
        ]  # fmt: skip
        read_only_fields = fields


class ReadingShape(Shape):
    """A reading; its value stands under its quantity and unit, such as ``gap_mm``.

    ``corrected_by`` names the reading that stands in its place.
    """

    by_quantity = ("value", "accuracy")

    bridge = Code(source="inspection.bridge")
    element_code = serializers.CharField(source="element.code", read_only=True)
    instrument = Code(allow_null=True)
    corrected_by = serializers.PrimaryKeyRelatedField(read_only=True, allow_null=True, default=None)

    class Meta:
        model = Reading
        fields = [
            "id", "bridge", "inspection", "element", "element_code", "installation", "quantity",
            "point", "axis", "repeat", "typed", "taken_at", "instrument", "remark", "corrects",
            "corrected_by", "created_at",
        ]  # fmt: skip
        read_only_fields = fields


class TemperatureShape(Shape):
    """A temperature of a visit; ``unit`` is null where it stands for the whole bridge."""

    bridge = Code(source="inspection.bridge")
    unit = Code(allow_null=True)
    instrument = Code(allow_null=True)
    corrected_by = serializers.PrimaryKeyRelatedField(read_only=True, allow_null=True, default=None)

    class Meta:
        model = TemperatureReading
        fields = [
            "id", "bridge", "inspection", "unit", "place", "sunlit", "temperature_c", "typed",
            "taken_at", "instrument", "remark", "corrects", "corrected_by", "created_at",
        ]  # fmt: skip
        read_only_fields = fields


class VerdictShape(Shape):
    """What the model says of a reading; ``use_*`` are shares of the nearer limit."""

    by_quantity = (
        "value", "u_reading", "setting_value", "expected", "u_residual", "residual",
        "limit_lower", "limit_upper", "carried_to_min", "carried_to_max", "shortening",
        "u_shortening",
    )  # fmt: skip

    bridge = Code(source="element.bridge")
    element_code = serializers.CharField(source="element.code", read_only=True)
    verdict = Word(VERDICT_CODES)
    temperature_way = Word(WAY_CODES)
    reasons = serializers.SerializerMethodField()

    class Meta:
        model = Verdict
        fields = [
            "id", "bridge", "inspection", "element", "element_code", "installation", "reading",
            "quantity", "point", "axis", "taken_at", "repeats", "verdict", "reasons", "stands",
            "problem", "temperature_c", "u_temperature_k", "temperature_way",
            "setting_temperature_c", "setting_from", "residual_in_u", "use_now", "use_at_min",
            "use_at_max", "lower_at_c", "upper_at_c", "design_min_c", "design_max_c",
            "racking_mm", "model_version", "judged_at",
        ]  # fmt: skip
        read_only_fields = fields

    @extend_schema_field(
        serializers.ListField(child=serializers.ChoiceField([*REASON_CODES.values()]))
    )
    def get_reasons(self, row: Verdict) -> list[str]:
        """Return the code words of the reasons, the weightiest first."""
        return codes_of(row.reasons, REASON_CODES)
