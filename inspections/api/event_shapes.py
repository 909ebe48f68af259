"""Shapes of events: what happened, which bridges it may have touched, and what moved there."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from inspections.api.shapes import Shape, Told
from inspections.api.units import in_named_unit
from inspections.api.visit_shapes import InspectionShape
from inspections.models import Event
from inspections.wording import name_of
from inventory.units import System


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


class InReachShape(Told):
    """A bridge in reach of a place, the nearest first; then those without coordinates on record.

    `distance_km` is null where there are none: such a bridge is not sought by distance.
    """

    bridge = serializers.CharField(source="bridge.code")
    bridge_name = serializers.CharField(source="bridge.name")
    distance_km = serializers.FloatField(source="km", allow_null=True)
    element_count = serializers.IntegerField(source="bridge.element_count")
    restraint_count = serializers.IntegerField(source="bridge.restraint_count")
    lasting_count = serializers.IntegerField(
        source="bridge.lasting_count", help_text="Elements that cannot be replaced."
    )


class StepShape(Told):
    """A channel before and after an event; its numbers are in `unit`, `in_u` in its uncertainty."""

    element = serializers.IntegerField(source="after.element_id")
    element_code = serializers.CharField(source="after.element.code")
    quantity = serializers.CharField(source="after.quantity")
    point = serializers.CharField(source="after.point")
    axis = serializers.CharField(source="after.axis")
    channel = serializers.SerializerMethodField()
    word = serializers.SerializerMethodField()
    unit = serializers.CharField(source="dimension")
    taken_at_before = serializers.DateTimeField(source="before.taken_at")
    taken_at_after = serializers.DateTimeField(source="after.taken_at")
    temperature_before_c = serializers.FloatField(source="before.temperature_c", allow_null=True)
    temperature_after_c = serializers.FloatField(source="after.temperature_c", allow_null=True)
    value_before = serializers.FloatField()
    value_after = serializers.FloatField()
    size = serializers.FloatField(allow_null=True)
    u = serializers.FloatField(allow_null=True)
    in_u = serializers.FloatField(allow_null=True)
    use = serializers.FloatField(allow_null=True)
    why_not = serializers.CharField()
    stood_still = serializers.BooleanField(
        help_text="It reads as before though the temperature called for it to move: it does not"
        " follow, and the event need not have moved it."
    )

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


class EventBridgeShape(Told):
    """A bridge of an event, the worst step first; steps compare the last reading before with the
    first after."""

    bridge = serializers.CharField(source="row.bridge.code")
    distance_km = serializers.FloatField(source="row.distance_km", allow_null=True)
    inspection = serializers.IntegerField(source="inspection.pk", allow_null=True, default=None)
    due_on = serializers.DateField()
    overdue = serializers.BooleanField()
    compared = serializers.SerializerMethodField()
    stepped = serializers.IntegerField()
    stood_still = serializers.IntegerField(
        help_text="Channels that do not follow the temperature; in no other count."
    )
    to_watch = serializers.IntegerField()
    not_told = serializers.IntegerField()
    steps = serializers.SerializerMethodField()
    not_read = serializers.SerializerMethodField()
    new = serializers.SerializerMethodField()

    def get_compared(self, row: Any) -> int:
        """Return how many channels were compared."""
        return len(row.channels.compared)

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


class ToLookAtShape(serializers.Serializer):
    """What to look at first on a kind of device."""

    kind = serializers.CharField()
    look_at = serializers.CharField()


class EventSummaryShape(serializers.Serializer):
    """An event over all its bridges, and what its crews are told.

    `chance_stepped` and `chance_watch` are the greatest chances of any false word at one bridge.
    """

    stepped = serializers.IntegerField(help_text="Bridges with a step.")
    stood_still = serializers.IntegerField(
        help_text="Further bridges where something does not follow the temperature."
    )
    to_watch = serializers.IntegerField(help_text="Further bridges with a change to watch.")
    overdue = serializers.IntegerField(help_text="Bridges not seen in time.")
    chance_stepped = serializers.FloatField()
    chance_watch = serializers.FloatField()
    caution = serializers.CharField()
    checklist = ToLookAtShape(many=True)


class OpenedShape(serializers.Serializer):
    """The inspections that were opened."""

    inspections = InspectionShape(many=True)
