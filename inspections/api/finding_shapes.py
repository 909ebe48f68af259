"""Shapes of what many readings say together: histories, diagnoses of units, capacity checks."""

from __future__ import annotations

from typing import Any

from django.utils.functional import cached_property
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from inspections.api.shapes import Code, Shape, Word
from inspections.api.told_shapes import UnitToldShape
from inspections.api.units import in_named_unit
from inspections.assessment_codes import (
    CAUSE_CODES,
    FINDING_CODES,
    HISTORY_MISSING_CODES,
    OUTCOME_CODES,
    RESPONSE_CODES,
    UNIT_MISSING_CODES,
    codes_of,
)
from inspections.assessment_units import SIZE_UNITS
from inspections.models import CapacityCheck, ElementHistory, Explanation, UnitDiagnosis
from inspections.models.choices import CauseWord
from inspections.wording_capacity import STATE_WORDS, CheckTold, check_sentence, tell_check
from inspections.wording_explanation import tell_unit
from inspections.wording_history import history_sentence
from inventory.units import System


def _several(codes: dict[Any, str]) -> serializers.ListField:
    return serializers.ListField(child=serializers.ChoiceField([*codes.values()]))


class HistoryShape(Shape):
    """One channel of one device over the years; `_low` and `_high` end the 95 % interval.

    `response` is how it follows the temperature, `ratio` the slope found over the slope expected.
    """

    by_quantity = (
        "expected_slope_per_c", "slope_per_c", "slope_low_per_c", "slope_high_per_c",
        "level", "level_low", "level_high",
        "drift_per_year", "drift_low_per_year", "drift_high_per_year",
        "step_size", "step_low", "step_high", "blunder_size",
    )  # fmt: skip

    bridge = Code(source="element.bridge")
    element_code = serializers.CharField(source="element.code", read_only=True)
    response = Word(RESPONSE_CODES)
    findings = serializers.SerializerMethodField()
    alternatives = serializers.SerializerMethodField()
    missing = serializers.SerializerMethodField()
    sentence = serializers.SerializerMethodField()

    class Meta:
        model = ElementHistory
        fields = [
            "id", "bridge", "element", "element_code", "installation", "quantity", "point", "axis",
            "sentence", "response", "findings", "alternatives", "missing", "visits", "readings",
            "spread_k", "spread_needed_k", "visits_needed", "ratio", "ratio_low", "ratio_high",
            "mean_temperature_c", "mean_at", "step_after", "step_before", "blunder_reading",
            "limit_in_years", "limit_in_years_low", "limit_in_years_high", "travel_mm_per_year",
            "travelled_m", "model_version", "judged_at",
        ]  # fmt: skip
        read_only_fields = fields

    @extend_schema_field(_several(FINDING_CODES))
    def get_findings(self, row: ElementHistory) -> list[str]:
        """Return the code words of what else it shows."""
        return codes_of(row.findings, FINDING_CODES)

    @extend_schema_field(_several(FINDING_CODES))
    def get_alternatives(self, row: ElementHistory) -> list[str]:
        """Return the code words of findings of which only one need be true."""
        return codes_of(row.alternatives, FINDING_CODES)

    @extend_schema_field(_several(HISTORY_MISSING_CODES))
    def get_missing(self, row: ElementHistory) -> list[str]:
        """Return why there is no word on it."""
        return codes_of(row.missing, HISTORY_MISSING_CODES)

    def get_sentence(self, row: ElementHistory) -> str:
        """Return all that it tells, in words."""
        return history_sentence(row, self.context["system"])


class ExplanationShape(Shape):
    """What may explain the readings of a unit, the likeliest first; `beside`: a second cause.

    `size` and the ends of its 95 % interval are in `size_unit`.
    """

    cause = Word(CAUSE_CODES)
    size_unit = serializers.SerializerMethodField()

    class Meta:
        model = Explanation
        fields = [
            "rank", "beside", "cause", "element", "quantity", "point", "support", "visit",
            "last_before", "odds_log", "log_ratio", "size", "low", "high", "size_unit",
        ]  # fmt: skip
        read_only_fields = fields

    def to_representation(self, instance: Explanation) -> dict[str, Any]:
        """Return the size in the units asked for."""
        shown = super().to_representation(instance)
        names = ("size", "low", "high")
        values, shown["size_unit"] = in_named_unit(
            [shown[name] for name in names],
            self.get_size_unit(instance),
            self.context.get("system", System.SI),
        )
        return shown | dict(zip(names, values, strict=True))

    def get_size_unit(self, row: Explanation) -> str:
        """Return the unit in SI: share, mm, K, m or strain; empty where it has no size."""
        return SIZE_UNITS.get(CauseWord(row.cause), "")


class DiagnosisShape(Shape):
    """What the readings of all elements of a unit say together, with what explains them.

    The first `equal` explanations fit equally well; `told` is the same in words.
    """

    bridge = Code(source="unit.bridge")
    unit_code = serializers.CharField(source="unit.code", read_only=True)
    outcome = Word(OUTCOME_CODES)
    missing = serializers.SerializerMethodField()
    explanations = ExplanationShape(many=True, read_only=True)
    told = serializers.SerializerMethodField()

    class Meta:
        model = UnitDiagnosis
        fields = [
            "id", "bridge", "unit", "unit_code", "outcome", "equal", "missing", "visits",
            "readings", "spread_k", "range_needed_k", "first_seen_on", "last_seen_on",
            "explanations", "told", "model_version", "judged_at",
        ]  # fmt: skip
        read_only_fields = fields

    @extend_schema_field(_several(UNIT_MISSING_CODES))
    def get_missing(self, row: UnitDiagnosis) -> list[str]:
        """Return the code words of what is missing."""
        return codes_of(row.missing, UNIT_MISSING_CODES)

    @extend_schema_field(UnitToldShape)
    def get_told(self, row: UnitDiagnosis) -> dict[str, Any]:
        """Return it in words."""
        return self._in_words.to_representation(tell_unit(row, self.context["system"]))

    @cached_property
    def _in_words(self) -> UnitToldShape:
        """The shape of the words, whose fields are copied once for all rows."""
        return UnitToldShape()


class CapacityCheckShape(Shape):
    """Demand against capacity of a device as last found, by one clause.

    `demand` and `capacity` are in `unit`; `use` is their ratio. `lacking` names what is missing
    where the check cannot be made; a capacity that is null has no limit. `word` is what was
    found, `near` from the agency's share on.
    """

    bridge = Code(source="element.bridge")
    element_code = serializers.CharField(source="element.code", read_only=True)
    word = serializers.SerializerMethodField()
    sentence = serializers.SerializerMethodField()

    class Meta:
        model = CapacityCheck
        fields = [
            "id", "bridge", "element", "element_code", "installation", "inspection", "order",
            "word", "sentence", "family", "name", "clause", "edition", "provenance", "when", "unit",
            "demand", "capacity", "use", "nothing_left", "counts", "lacking", "model_version",
            "judged_at",
        ]  # fmt: skip
        read_only_fields = fields

    def to_representation(self, instance: CapacityCheck) -> dict[str, Any]:
        """Return both numbers in the units asked for."""
        shown = super().to_representation(instance)
        (shown["demand"], shown["capacity"]), shown["unit"] = in_named_unit(
            [instance.demand, instance.capacity],
            instance.unit,
            self.context.get("system", System.SI),
        )
        return shown

    @extend_schema_field(serializers.ChoiceField([*STATE_WORDS.values()]))
    def get_word(self, row: CapacityCheck) -> str:
        """Return what was found."""
        return self._told(row).word

    def get_sentence(self, row: CapacityCheck) -> str:
        """Return the check in words."""
        return check_sentence(self._told(row))

    def _told(self, row: CapacityCheck) -> CheckTold:
        return tell_check(row, self.context["system"], self.context["near"])
