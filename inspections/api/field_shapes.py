"""Shapes of what a crew brings home beside readings, of its ratings, and of air records."""

from __future__ import annotations

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers
from rest_framework.reverse import reverse

from inspections.api.shapes import Code, Shape
from inspections.models import (
    AirDay,
    AirTemperature,
    ComponentRating,
    Condition,
    CriticalFinding,
    FieldNote,
    LeftOut,
    Photo,
    SetAside,
    SignOff,
)
from inventory.models.choices import ElementKind

PLACE = ["id", "bridge", "inspection", "element", "element_code"]
MADE = ["created_by", "created_at"]


class _AtVisit(Shape):
    """What every row of a visit has."""

    bridge = Code(source="inspection.bridge")
    created_by = Code("username", allow_null=True)


class _AtElement(_AtVisit):
    element_code = serializers.CharField(
        source="element.code", read_only=True, allow_null=True, default=None
    )


class ConditionShape(_AtElement):
    """How much of an element is in each condition state, for one defect or overall.

    `defect` is its number in the national element manual, 1000 and more; CS1 to CS4 and the
    total are in `quantity_unit`. Only rows that `counts` tell how the visit left it.
    """

    defect_name = serializers.CharField(source="get_defect_display", read_only=True)
    quantity_unit = serializers.SerializerMethodField()
    counts = serializers.BooleanField(read_only=True)

    class Meta:
        model = Condition
        fields = [
            *PLACE, "defect", "defect_name", "cs1", "cs2", "cs3", "cs4", "total", "quantity_unit",
            "counts", "remark", *MADE,
        ]  # fmt: skip
        read_only_fields = fields

    @extend_schema_field(serializers.ChoiceField(["each", "m"]))
    def get_quantity_unit(self, row: Condition) -> str:
        """Return the unit: a joint is counted by its length."""
        return "m" if row.element.kind == ElementKind.JOINT else "each"


class NoteShape(_AtElement):
    """A note; `element` is null where it is about the bridge."""

    class Meta:
        model = FieldNote
        fields = [*PLACE, "text", *MADE]
        read_only_fields = fields


class CriticalFindingShape(_AtElement):
    """Something that cannot wait; `seen_at` is null until an engineer has seen it."""

    seen_by = Code("username", allow_null=True)

    class Meta:
        model = CriticalFinding
        fields = [*PLACE, "what", "done", "told", "found_at", "seen_by", "seen_at", *MADE]
        read_only_fields = fields


class LeftOutShape(_AtElement):
    """Why an element was not read."""

    class Meta:
        model = LeftOut
        fields = [*PLACE, "reason", "remark", *MADE]
        read_only_fields = fields


class PhotoShape(_AtElement):
    """A photo; `image` and `thumbnail` are its addresses, as JPEG."""

    id = serializers.UUIDField(source="pk", read_only=True)
    image = serializers.SerializerMethodField()
    thumbnail = serializers.SerializerMethodField()

    class Meta:
        model = Photo
        fields = [
            *PLACE, "caption", "taken_at", "width_px", "height_px", "image", "thumbnail",
            "sent_sha256", *MADE,
        ]  # fmt: skip
        read_only_fields = fields

    def get_image(self, row: Photo) -> str:
        """Return where the image is."""
        return reverse("api-photos-image", args=[row.pk])

    def get_thumbnail(self, row: Photo) -> str:
        """Return where the thumbnail is."""
        return reverse("api-photos-thumbnail", args=[row.pk])


class SetAsideShape(Shape):
    """A reading that no longer counts, because another of the same point does."""

    bridge = Code(source="reading.inspection.bridge")
    inspection = serializers.IntegerField(source="reading.inspection_id", read_only=True)
    element = serializers.IntegerField(source="reading.element_id", read_only=True)
    created_by = Code("username", allow_null=True)

    class Meta:
        model = SetAside
        fields = ["id", "bridge", "inspection", "element", "reading", "reason", *MADE]
        read_only_fields = fields


class SignOffShape(_AtVisit):
    """The lead's signature under an inspection; `digest` is the SHA-256 of all its rows."""

    class Meta:
        model = SignOff
        fields = [
            "id", "bridge", "inspection", "role", "statement", "signed_at", "digest", *MADE,
        ]  # fmt: skip
        read_only_fields = fields


class RatingShape(_AtVisit):
    """A national condition rating of a bridge's bearings (B.C.07) or joints (B.C.08)."""

    counts = serializers.BooleanField(read_only=True)

    class Meta:
        model = ComponentRating
        fields = ["id", "bridge", "inspection", "item", "code", "reason", "counts", *MADE]
        read_only_fields = fields


class AirHourShape(Shape):
    """One hour of a station's shade air record."""

    class Meta:
        model = AirTemperature
        fields = ["id", "station", "time_utc", "temperature_c", "sun_w_per_m2", "wind_m_per_s"]
        read_only_fields = fields


class AirDayShape(Shape):
    """One day of a station of which only the extremes are known."""

    class Meta:
        model = AirDay
        fields = ["id", "station", "day", "min_c", "max_c"]
        read_only_fields = fields


class AirStationShape(serializers.Serializer):
    """A station with hours on record."""

    station = serializers.CharField()
    hours = serializers.IntegerField()
    first_at = serializers.DateTimeField()
    last_at = serializers.DateTimeField()
