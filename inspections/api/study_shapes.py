"""Shapes of option studies: the list, and one study side by side with what its numbers say."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from inspections.api.shapes import Code, Shape, Word
from inspections.lookups.options import SCORE_WORDS, Mean, matrix_of, story_of
from inspections.models import Option, OptionJudgement, OptionStudy
from inspections.models.desk_choices import CriterionKind


class OptionShape(Shape):
    """One way to mend the defect; its cost is in the agency's currency."""

    dropped_by = Code("username", allow_null=True)

    class Meta:
        model = Option
        fields = [
            "id", "name", "description", "cost", "duration_days", "dropped_at", "dropped_by",
            "dropped_why",
        ]  # fmt: skip
        read_only_fields = fields


class OptionStudyShape(Shape):
    """A defect, the options to mend it, and the one that was chosen."""

    bridge = Code()
    element_code = serializers.CharField(
        source="element.code", read_only=True, allow_null=True, default=None
    )
    options = OptionShape(many=True, read_only=True)
    opened_by = Code("username", allow_null=True)
    chosen_by = Code("username", allow_null=True)

    class Meta:
        model = OptionStudy
        fields = [
            "id", "bridge", "element", "element_code", "flag", "title", "question", "opened_by",
            "opened_at", "options", "chosen", "chosen_why", "chosen_by", "chosen_at",
        ]  # fmt: skip
        read_only_fields = fields


class JudgementShape(Shape):
    """How somebody judged an option by a criterion, from 1 poor to 5 good."""

    word = Word(SCORE_WORDS, source="score")
    judged_by = Code("username", allow_null=True)

    class Meta:
        model = OptionJudgement
        fields = ["score", "word", "words", "judged_by", "judged_at"]
        read_only_fields = fields


class CellShape(serializers.Serializer):
    """An option by a criterion: `last` counts, null where nobody has judged it yet; the earlier
    judgements stay, the newest first."""

    option = serializers.IntegerField(source="option.pk")
    last = JudgementShape(allow_null=True)
    earlier = JudgementShape(many=True)


class CriterionShape(serializers.Serializer):
    """What the options are held against; only the proportions of the weights count."""

    id = serializers.IntegerField(source="criterion.pk")
    kind = serializers.ChoiceField(CriterionKind.choices, source="criterion.kind")
    name = serializers.CharField(source="criterion")
    weight = serializers.FloatField(source="criterion.weight")
    judgements = CellShape(source="cells", many=True)


class MeanShape(serializers.Serializer):
    """The weighted mean of an option over what was judged, an aid to thought and no decision.

    `missing` names criteria that weigh something and that it is not judged by; with any it is not
    `complete` and takes no place. `first`: no complete one has a greater mean.
    """

    option = serializers.IntegerField(source="option.pk")
    mean = serializers.SerializerMethodField()
    complete = serializers.BooleanField()
    first = serializers.BooleanField()
    missing = serializers.SerializerMethodField()

    def get_mean(self, row: Mean) -> float | None:
        """Return the mean, null where nothing was judged."""
        return None if row.mean is None else float(row.mean)

    def get_missing(self, row: Mean) -> list[int]:
        """Return the ids of the criteria that it is not judged by."""
        return [each.pk for each in row.missing]


class StoryShape(serializers.Serializer):
    """A choice, drop or taking up; of an import nobody is told."""

    at = serializers.DateTimeField()
    who = serializers.CharField(allow_null=True)
    what = serializers.CharField()
    why = serializers.CharField()


class StudyShape(OptionStudyShape):
    """A study side by side: criteria with a judgement for each option that is not dropped, the
    weighted means, what they say in words, the work ordered, and its story, the newest first."""

    criteria = CriterionShape(source="matrix.rows", many=True, read_only=True)
    means = MeanShape(source="matrix.means", many=True, read_only=True)
    findings = serializers.ListField(
        child=serializers.CharField(), source="matrix.findings", read_only=True
    )
    orders = Code(source="work_orders", many=True)
    story = StoryShape(many=True, read_only=True)

    class Meta(OptionStudyShape.Meta):
        fields = [
            *OptionStudyShape.Meta.fields,
            "criteria", "means", "findings", "orders", "story",
        ]  # fmt: skip
        read_only_fields = fields

    def to_representation(self, instance: OptionStudy) -> dict[str, Any]:
        """Return the study with what is made of its judgements."""
        instance.matrix, instance.story = matrix_of(instance), story_of(instance)
        return super().to_representation(instance)
