"""Shapes of the agency's settings: what holds, what a change would do, and what was changed."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.contrib.admin.utils import flatten
from rest_framework import serializers

from inspections.agency_fieldsets import AGENCY_FIELDSETS
from inspections.api.units import in_named_unit
from inspections.api.write_shapes import Strict
from inspections.assessment_codes import VERDICT_CODES
from inspections.models import AgencySettings
from inspections.models.agency import AGENCY_QUANTITIES
from inspections.models.choices import VerdictWord
from inspections.models.desk_choices import FlagCause
from inspections.selectors.reassessment import still_to_judge
from inspections.services.thresholds import LONGEST_REASON, present_version
from inventory.units import System

LARGEST_VERSION = 2**31 - 1
GROUP_OF = {
    name: title for title, options in AGENCY_FIELDSETS for name in flatten(options["fields"])
}


class FigureShape(serializers.Serializer):
    """One figure of the agency's settings, in `unit`, with what it may be.

    A change names it by `name`, which tells its unit in SI.
    """

    name = serializers.CharField()
    label = serializers.CharField()
    group = serializers.CharField()
    unit = serializers.CharField()
    value = serializers.FloatField()
    default = serializers.FloatField()
    lowest = serializers.FloatField()
    highest = serializers.FloatField()
    source = serializers.CharField()


class StillToJudgeShape(serializers.Serializer):
    """How many bridges have verdicts and flags from before a change of the settings."""

    left = serializers.IntegerField()
    told = serializers.CharField(source="words")


class ThresholdsShape(serializers.Serializer):
    """Thresholds and standing uncertainties of the agency; `version` names their present state."""

    version = serializers.IntegerField()
    currency = serializers.CharField()
    figures = FigureShape(many=True)
    still_to_judge = StillToJudgeShape(allow_null=True)


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


class FiguresShape(Strict):
    """Figures as they are proposed, in SI units; those left out stay as they are."""

    for _name, _quantity in AGENCY_QUANTITIES.items():
        locals()[_name] = serializers.FloatField(
            required=False,
            min_value=_quantity.low,
            max_value=_quantity.high,
            label=_quantity.label,
            help_text=f"{_quantity.label}{_quantity.unit and f', {_quantity.unit}'}.",
        )
    del _name, _quantity
    currency = serializers.CharField(
        required=False, max_length=3, help_text="ISO 4217, such as EUR."
    )


class NewFiguresShape(FiguresShape):
    """Figures to be saved, on top of the version that was read, and why."""

    reason = serializers.CharField(max_length=LONGEST_REASON)
    based_on = serializers.IntegerField(
        min_value=0,
        max_value=LARGEST_VERSION,
        help_text="The `version` that was read; refused where it no longer holds.",
    )


class CountsShape(serializers.Serializer):
    """How many elements have each verdict."""

    for _code in VERDICT_CODES.values():
        locals()[_code] = serializers.IntegerField()
    del _code

    def to_representation(self, instance: Mapping[VerdictWord, int]) -> dict[str, int]:
        """Return the counts by code word."""
        return {code: instance[word] for word, code in VERDICT_CODES.items()}


class FlagChangeShape(serializers.Serializer):
    """A flag that would open, go or change; `before` and `after` are its state in words.

    `flag` is null where there is none yet.
    """

    element = serializers.IntegerField(source="element.pk")
    element_code = serializers.CharField(source="element.code")
    cause = serializers.ChoiceField(FlagCause.choices)
    flag = serializers.IntegerField(source="flag_id", allow_null=True)
    what = serializers.ChoiceField(["opens", "goes", "changes"])
    before = serializers.CharField()
    after = serializers.CharField()


class BridgePreviewShape(serializers.Serializer):
    """What proposed figures would do at one bridge: verdicts, flags, and visits due today."""

    bridge = serializers.CharField(source="bridge.code")
    verdicts_before = CountsShape(source="before")
    verdicts_after = CountsShape(source="after")
    flags = FlagChangeShape(source="changes", many=True)
    due_before = serializers.IntegerField()
    due_after = serializers.IntegerField()


class QueueMoveShape(serializers.Serializer):
    """A flag among the first to decide by other weights; `place_now` is null outside the queue."""

    flag = serializers.IntegerField(source="flag.pk")
    bridge = serializers.CharField(source="flag.element.bridge.code")
    element_code = serializers.CharField(source="flag.element.code")
    cause = serializers.ChoiceField(FlagCause.choices, source="flag.cause")
    place = serializers.IntegerField()
    place_now = serializers.IntegerField(allow_null=True)


class PreviewShape(serializers.Serializer):
    """What proposed figures would do; where `by_bridge`, ask for each bridge by its code."""

    figures = ChangedFigureShape(many=True)
    by_bridge = serializers.BooleanField()
    first_of_queue = QueueMoveShape(many=True)


def what_holds(system: System) -> ThresholdsShape:
    """Return the settings as they stand, in a system of units."""
    agency = AgencySettings.current()
    return ThresholdsShape(
        {
            "version": present_version(),
            "currency": agency.currency,
            "figures": [_figure(agency, name, system) for name in AGENCY_QUANTITIES],
            "still_to_judge": still_to_judge(),
        }
    )


def _figure(agency: AgencySettings, name: str, system: System) -> dict[str, Any]:
    quantity = AGENCY_QUANTITIES[name]
    numbers = [getattr(agency, name), quantity.default, quantity.low, quantity.high]
    told, unit = in_named_unit(numbers, quantity.unit, system)
    words = {"name": name, "label": f"{quantity.label}", "group": GROUP_OF[name], "unit": unit,
             "source": f"{quantity.help}"}  # fmt: skip
    return words | dict(zip(("value", "default", "lowest", "highest"), told, strict=True))
