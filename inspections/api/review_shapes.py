"""What is sent to review a visit: accepting, returning, correcting, setting aside, rating."""

from __future__ import annotations

from rest_framework import serializers

from inspections.api.write_shapes import AS_TYPED, LONGEST_TYPED, Strict, read_typed
from inspections.models.ratings import RatedItem, RatingCode
from inventory.units import Dimension, Typed

LONGEST_REASON = 240


class ReviewNoteShape(Strict):
    """A note to the team; needed where the inspection is returned."""

    note = serializers.CharField(allow_blank=True, default="", max_length=4000)


class ReasonShape(Strict):
    """Why a reading counts no longer."""

    reason = serializers.CharField(max_length=LONGEST_REASON)


class NewRatingShape(Strict):
    """A national condition rating; one of 4 or less says why."""

    item = serializers.ChoiceField(RatedItem.choices)
    code = serializers.ChoiceField(RatingCode.choices)
    reason = serializers.CharField(allow_blank=True, default="", max_length=LONGEST_REASON)


class CorrectionShape(Strict):
    """The value that should have been written, and why the other was wrong."""

    typed = serializers.CharField(max_length=LONGEST_TYPED, help_text=AS_TYPED)
    reason = serializers.CharField(max_length=LONGEST_REASON)

    def value(self, dimension: Dimension) -> Typed:
        """Return the value; refuse what cannot be read or names no unit."""
        told = read_typed(self.validated_data["typed"], dimension)
        if isinstance(told, str):
            raise serializers.ValidationError({"typed": told})
        return told


class TemperatureCorrectionShape(CorrectionShape):
    """The temperature that should have been written, and whether the place lay in the sun."""

    sunlit = serializers.BooleanField()
