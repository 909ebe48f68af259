"""Shapes of the register's rows."""

from __future__ import annotations

from rest_framework import serializers

from inspections.api.shapes import Code, Shape, Word
from inspections.assessment_codes import VERDICT_CODES
from inspections.models import ElementStatus
from inspections.wording_status import status_sentence
from inventory.models import (
    BearingDesign,
    Bridge,
    District,
    Element,
    Installation,
    JointDesign,
    RestraintDesign,
    Support,
    Unit,
)


class DistrictShape(Shape):
    class Meta:
        model = District
        fields = ["id", "code", "name"]
        read_only_fields = fields


class BridgeShape(Shape):
    district = Code()

    class Meta:
        model = Bridge
        fields = [
            "id", "code", "name", "district", "carries", "crosses", "main_material",
            "year_built", "latitude_deg", "longitude_deg", "altitude_m", "length_m",
            "largest_span_m", "skew_deg", "time_zone", "air_station", "inventory_state_code",
            "inventory_number", "remarks",
        ]  # fmt: skip
        read_only_fields = fields


class UnitShape(Shape):
    bridge = Code()

    class Meta:
        model = Unit
        fields = [
            "id", "bridge", "code", "name", "deck_type", "start_station_m", "end_station_m",
            "fixed_station_m", "u_fixed_station_m", "expansion_per_c", "u_expansion_per_c",
            "plan_radius_m", "deck_share",
        ]  # fmt: skip
        read_only_fields = fields


class SupportShape(Shape):
    bridge = Code()

    class Meta:
        model = Support
        fields = ["id", "bridge", "code", "name", "kind", "station_m"]
        read_only_fields = fields


class BearingDesignShape(Shape):
    class Meta:
        model = BearingDesign
        exclude = ["id", "installation"]


class JointDesignShape(Shape):
    class Meta:
        model = JointDesign
        exclude = ["id", "installation"]


class RestraintDesignShape(Shape):
    class Meta:
        model = RestraintDesign
        exclude = ["id", "installation"]


class InstallationShape(Shape):
    """A device with its setting and its design capacities, by its kind; null where none are."""

    bearing_design = BearingDesignShape(read_only=True, allow_null=True, default=None)
    joint_design = JointDesignShape(read_only=True, allow_null=True, default=None)
    restraint_design = RestraintDesignShape(read_only=True, allow_null=True, default=None)

    class Meta:
        model = Installation
        fields = [
            "id", "device_type", "installed_on", "removed_on", "end_reason", "maker", "lot",
            "setting_source", "setting_temperature_c", "setting_offset_along_mm",
            "setting_offset_across_mm", "setting_tilt_deg", "setting_rotation_mrad",
            "setting_gap_mm", "setting_gap_axis", "remarks", "bearing_design", "joint_design",
            "restraint_design",
        ]  # fmt: skip
        read_only_fields = fields


class StatusShape(Shape):
    """Verdict of an element as last seen; ``greatest_use`` is a share of the nearer limit.

    `sentence` is its whole reason; `finding` is what history and unit show besides, in short.
    """

    verdict = Word(VERDICT_CODES)
    sentence = serializers.SerializerMethodField()
    finding = serializers.SerializerMethodField()

    class Meta:
        model = ElementStatus
        fields = [
            "verdict", "sentence", "finding", "last_seen_on", "greatest_use",
            "greatest_residual_in_u", "raised_by",
        ]  # fmt: skip
        read_only_fields = fields

    def get_sentence(self, row: ElementStatus) -> str:
        """Return the reason in words."""
        return status_sentence(row, self.context["system"])

    def get_finding(self, row: ElementStatus) -> str:
        """Return what else is known, in words."""
        return self.context["findings"].get(row.element_id, "")


class ElementShape(Shape):
    """A place with the device that stands there now; ``status`` is null until it is read.

    `checks` counts its checks of capacity in words.
    """

    bridge = Code()
    support = Code()
    unit = Code(allow_null=True)
    unit_ahead = Code(allow_null=True)
    status = StatusShape(read_only=True, allow_null=True, default=None)
    current_installation = InstallationShape(read_only=True)
    checks = serializers.SerializerMethodField()

    class Meta:
        model = Element
        fields = [
            "id", "bridge", "support", "unit", "unit_ahead", "kind", "code", "name", "line",
            "station_m", "skew_deg", "axis_angle_deg", "access", "replaceable",
            "replaceable_why", "jacking_points", "status", "checks",
            "current_installation",
        ]  # fmt: skip
        read_only_fields = fields

    def get_checks(self, row: Element) -> str:
        """Return how many checks are exceeded, near, met, and cannot be made."""
        return self.context["checks"][row.pk]
