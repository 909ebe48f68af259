"""What stands at a place, from its setting to its replacement or reset."""

import uuid

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.utils.translation import gettext_noop as mark
from simple_history.models import HistoricalRecords

from inventory.models.choices import (
    KIND_OF_DEVICE,
    DeviceType,
    EndReason,
    GapAxis,
    SettingSource,
)
from inventory.models.cross_row import refuse_overlapping_device
from inventory.models.element import Element
from inventory.models.of_district import OfDistrict
from inventory.quantities import Quantity, bounds, ordered, refuse_unordered
from inventory.scoping import of_district
from inventory.words import in_sentence

INSTALLATION_QUANTITIES = {
    "setting_temperature_c": Quantity(mark("Effective temperature at setting"), "degC", -50, 70),
    "setting_offset_along_mm": Quantity(
        mark("Offset along at setting"),
        "mm",
        -2000,
        2000,
        help=mark("Positive when the superstructure stands towards increasing station."),
    ),
    "setting_offset_across_mm": Quantity(
        mark("Offset across at setting"), "mm", -2000, 2000, help=mark("Positive to the left.")
    ),
    "setting_tilt_deg": Quantity(mark("Rocker tilt at setting"), "deg", -45, 45),
    "setting_rotation_mrad": Quantity(mark("Rotation at setting"), "mrad", -200, 200),
    "setting_gap_mm": Quantity(mark("Joint gap at setting"), "mm", 0, 3000),
}
SETTING_FIGURES = tuple(INSTALLATION_QUANTITIES)


class Installation(OfDistrict):
    """A device at a place, with its setting; ended by a replacement or a reset."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    element = models.ForeignKey(Element, models.PROTECT, related_name="installations")
    device_type = models.CharField(mark("Device type"), max_length=24, choices=DeviceType)
    installed_on = models.DateField(mark("Installed on"))
    removed_on = models.DateField(mark("Ended on"), null=True, blank=True)
    end_reason = models.CharField(mark("Ended by"), max_length=8, choices=EndReason, blank=True)
    maker = models.CharField(mark("Maker"), max_length=120, blank=True)
    lot = models.CharField(mark("Lot"), max_length=120, blank=True)
    setting_source = models.CharField(
        mark("Setting known from"),
        max_length=9,
        choices=SettingSource,
        default=SettingSource.UNKNOWN,
    )
    setting_temperature_c = INSTALLATION_QUANTITIES["setting_temperature_c"].field()
    setting_offset_along_mm = INSTALLATION_QUANTITIES["setting_offset_along_mm"].field()
    setting_offset_across_mm = INSTALLATION_QUANTITIES["setting_offset_across_mm"].field()
    setting_tilt_deg = INSTALLATION_QUANTITIES["setting_tilt_deg"].field()
    setting_rotation_mrad = INSTALLATION_QUANTITIES["setting_rotation_mrad"].field()
    setting_gap_mm = INSTALLATION_QUANTITIES["setting_gap_mm"].field()
    setting_gap_axis = models.CharField(
        mark("Gap at setting taken"), max_length=6, choices=GapAxis, default=GapAxis.SQUARE
    )
    remarks = models.TextField(mark("Remarks"), blank=True)
    objects = of_district("element__bridge__district")
    history = HistoricalRecords()

    class Meta:
        ordering = ["element", "installed_on"]
        constraints = [
            *bounds("installation", INSTALLATION_QUANTITIES),
            models.UniqueConstraint(
                fields=["element"],
                condition=Q(removed_on__isnull=True),
                name="installation_one_current_a_place",
                violation_error_message=gettext_lazy(
                    "This place already has a current installation."
                    " End it by a replacement or a reset first."
                ),
            ),
            ordered(
                "installation",
                "installed_on",
                "removed_on",
                gettext_lazy("It must end after it was installed."),
            ),
            models.CheckConstraint(
                condition=Q(removed_on__isnull=True, end_reason="")
                | Q(removed_on__isnull=False, end_reason__in=EndReason.values),
                name="installation_end_has_reason",
                violation_error_message=gettext_lazy(
                    "An ended installation needs the day and the reason."
                ),
            ),
            models.CheckConstraint(
                condition=Q(device_type__in=DeviceType.values), name="installation_device_known"
            ),
            models.CheckConstraint(
                condition=Q(setting_source=SettingSource.UNKNOWN)
                | Q(setting_temperature_c__isnull=False),
                name="installation_setting_has_temperature",
                violation_error_message=gettext_lazy("A known setting needs its temperature."),
            ),
        ]

    def __str__(self) -> str:
        told = (
            _("%(device)s, from %(first)s to %(last)s")
            if self.removed_on
            else _("%(device)s, from %(first)s")
        )
        return told % {
            "device": self.get_device_type_display(),
            "first": self.installed_on,
            "last": self.removed_on,
        }

    @property
    def is_current(self) -> bool:
        """True while the device stands at its place."""
        return self.removed_on is None

    @property
    def has_unused_setting(self) -> bool:
        """True where figures of the setting are given and it is said that it is not known."""
        return self.setting_source == SettingSource.UNKNOWN and any(
            getattr(self, name) is not None for name in SETTING_FIGURES
        )

    def clean(self) -> None:
        self.clean_row()
        refuse_overlapping_device(self)

    def clean_row(self) -> None:
        """Check what this row and its place can tell."""
        wrong: dict[str, str] = {}
        kind = KIND_OF_DEVICE.get(self.device_type)
        # The place may be new as well, and not have a key yet.
        element = getattr(self, "element", None)
        if kind and element and element.kind and kind != element.kind:
            wrong["device_type"] = _(
                "%(device)s is no %(kind)s. Choose a device of the element's kind."
            ) % {
                "device": self.get_device_type_display(),
                "kind": in_sentence(element.get_kind_display()),
            }
        if self.setting_source != SettingSource.UNKNOWN and self.setting_temperature_c is None:
            wrong["setting_temperature_c"] = _(
                "A known setting needs its temperature. Fill it in, or say that the setting is"
                " not known."
            )
        if bool(self.removed_on) != bool(self.end_reason):
            wrong["end_reason"] = _("Give the day and the reason of the end together, or neither.")
        if wrong:
            raise ValidationError(wrong)
        refuse_unordered(self, ("installed_on", "removed_on"))
