"""What is sent to hold options side by side."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from inspections.api.desk_write_shapes import Id, a_cost
from inspections.api.shapes import Code
from inspections.api.write_shapes import Strict
from inspections.models import Criterion, Flag, Option
from inspections.models.desk_choices import CriterionKind
from inspections.services.options import LONGEST_DAYS, NewCriterion, NewJudgement
from inventory.models import Bridge, Element

MOST_CRITERIA = 100
LONGEST_TEXT = 4000
LONGEST_REASON = 2000


def a_weight(**kwargs: Any) -> serializers.FloatField:
    """Return a field for the weight of a criterion."""
    told = "Only the proportions count; with 0 it is shown and not counted."
    return serializers.FloatField(min_value=0, max_value=100, help_text=told, **kwargs)


class NewCriterionShape(Strict):
    """What the options are held against; each of the list once in a study."""

    kind = serializers.ChoiceField(CriterionKind.choices)
    name = serializers.CharField(
        allow_blank=True, default="", max_length=80, help_text="Needed with `own`, of no other."
    )
    weight = a_weight(default=1.0)


class NewStudyShape(Strict):
    """A defect at a bridge, at one of its elements, or told by a flag, and what counts there."""

    bridge = Code(queryset=Bridge.objects)
    element = Id(Element.objects, "bridge", allow_null=True, default=None)
    flag = Id(Flag.objects, "element__bridge", allow_null=True, default=None)
    title = serializers.CharField(max_length=160)
    question = serializers.CharField(
        max_length=LONGEST_TEXT, help_text="The defect, and what the work must achieve."
    )
    criteria = NewCriterionShape(many=True, default=list, max_length=MOST_CRITERIA)

    def validate_criteria(self, rows: list[dict[str, Any]]) -> list[NewCriterion]:
        """Return the criteria as the service takes them."""
        return [NewCriterion(**row) for row in rows]


class OptionSentShape(Strict):
    """One way to mend the defect as it is to stand; what is left out is emptied."""

    name = serializers.CharField(max_length=120)
    description = serializers.CharField(
        allow_blank=True, default="", max_length=LONGEST_TEXT, help_text="How it would be done."
    )
    cost = a_cost()
    duration_days = serializers.IntegerField(
        min_value=0, max_value=LONGEST_DAYS, allow_null=True, default=None
    )


class WeightShape(Strict):
    """The weight of one criterion."""

    criterion = Id(Criterion.objects)
    weight = a_weight()


class WeightsShape(Strict):
    """Weights of criteria of the study; one that is not named keeps its own."""

    weights = WeightShape(many=True, allow_empty=False, max_length=MOST_CRITERIA)

    def validate_weights(self, rows: list[dict[str, Any]]) -> list[tuple[Criterion, float]]:
        """Return each criterion with its weight."""
        _refuse_twice(rows)
        return [(row["criterion"], row["weight"]) for row in rows]


class NewJudgementShape(Strict):
    """How the option does by a criterion, from 1 poor to 5 good."""

    criterion = Id(Criterion.objects)
    score = serializers.IntegerField(min_value=1, max_value=5)
    words = serializers.CharField(allow_blank=True, default="", max_length=400)


class JudgementsShape(Strict):
    """Judgements of one option; at least one must differ from what stands."""

    judgements = NewJudgementShape(many=True, allow_empty=False, max_length=MOST_CRITERIA)

    def validate_judgements(self, rows: list[dict[str, Any]]) -> list[NewJudgement]:
        """Return the judgements as the service takes them."""
        _refuse_twice(rows)
        return [NewJudgement(**row) for row in rows]


class ReasonShape(Strict):
    """Why an option is dropped or taken up again; it stays on record."""

    reason = serializers.CharField(max_length=LONGEST_REASON)


class ChoiceShape(Strict):
    """The option that is chosen, and why this one."""

    option = Id(Option.objects)
    reason = serializers.CharField(max_length=LONGEST_TEXT)


def _refuse_twice(rows: list[dict[str, Any]]) -> None:
    """Refuse a criterion that comes twice: nobody can tell which of the two is meant."""
    named = [row["criterion"].pk for row in rows]
    for number, pk in enumerate(named):
        if pk in named[:number]:
            raise serializers.ValidationError({number: {"criterion": "It comes twice. Send one."}})
