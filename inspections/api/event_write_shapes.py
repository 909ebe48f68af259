"""What is sent to record an event, to change its bridges, and to open their inspections."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.models import User
from rest_framework import serializers

from inspections.api.shapes import Code
from inspections.api.write_shapes import Moment, Strict
from inspections.lookups.field import bridges_to_inspect
from inspections.models.desk_choices import EventKind
from inspections.models.planning import EVENT_QUANTITIES
from inspections.selectors.people import who_inspects
from inventory.models import Bridge, District

MOST_BRIDGES = 1000
LONGEST_TEXT = 20_000


def _placed(name: str, **kwargs: Any) -> serializers.FloatField:
    quantity = EVENT_QUANTITIES[name]
    return serializers.FloatField(min_value=quantity.low, max_value=quantity.high, **kwargs)


class WhereShape(Strict):
    """A place with a radius around it."""

    latitude_deg = _placed("latitude_deg")
    longitude_deg = _placed("longitude_deg")
    radius_km = _placed("radius_km")


class BridgesShape(Strict):
    """Bridges by code, and all of a district."""

    bridges = Code(queryset=Bridge.objects, rows=bridges_to_inspect, many=True, default=list)
    district = Code(
        queryset=District.objects, allow_null=True, default=None,
        help_text="All its bridges that hold elements, beside those by code.",
    )  # fmt: skip

    def validate_bridges(self, bridges: list[Bridge]) -> list[Bridge]:
        """Refuse more than one event can hold."""
        if len(bridges) > MOST_BRIDGES:
            raise serializers.ValidationError(
                f"{len(bridges)} bridges are more than {MOST_BRIDGES}. Send them in parts."
            )
        return bridges


class NewEventShape(BridgesShape):
    """What happened, where and when, and the bridges that it may have touched."""

    kind = serializers.ChoiceField(EventKind.choices)
    name = serializers.CharField(max_length=120)
    occurred_at = Moment()
    description = serializers.CharField(allow_blank=True, default="", max_length=LONGEST_TEXT)
    latitude_deg = _placed("latitude_deg", allow_null=True, default=None)
    longitude_deg = _placed("longitude_deg", allow_null=True, default=None)
    radius_km = _placed("radius_km", allow_null=True, default=None)
    within_days = serializers.IntegerField(
        min_value=0, max_value=365, allow_null=True, default=None,
        help_text="Days within which each bridge is to be seen; the agency's where none is given.",
    )  # fmt: skip


class LessShape(Strict):
    """A bridge that is taken off an event."""

    bridge = Code(queryset=Bridge.objects)


class EventInspectionsShape(Strict):
    """Inspections to be opened for an event: at each of some of its bridges, or at none."""

    bridges = Code(queryset=Bridge.objects, many=True)
    date = serializers.DateField()
    team = serializers.CharField(max_length=160, help_text="By role, such as lead and two.")
    lead = Code("username", queryset=User.objects, rows=who_inspects, allow_null=True, default=None)
    crew = Code("username", queryset=User.objects, rows=who_inspects, many=True, default=list)
