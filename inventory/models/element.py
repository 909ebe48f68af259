"""A place for one device.  Places are permanent; what is installed there changes."""

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.utils.translation import gettext_noop as mark
from simple_history.models import HistoricalRecords

from inventory.decimal_mark import with_mark
from inventory.models.choices import Access, ElementKind, Replaceable
from inventory.models.of_district import OfDistrict
from inventory.models.places import CODE, STATION, Bridge, Support, Unit
from inventory.quantities import Quantity, bounds
from inventory.scoping import of_district

ELEMENT_QUANTITIES = {
    "station_m": STATION,
    "skew_deg": Quantity(
        mark("Skew"),
        "deg",
        -80,
        80,
        help=mark("Angle between the joint's normal and the alignment, positive to the left."),
    ),
    "axis_angle_deg": Quantity(
        mark("Measured axis"),
        "deg",
        -90,
        90,
        help=mark(
            "Angle between the axis along which offsets are read and the alignment,"
            " positive to the left. Empty: along the alignment."
        ),
    ),
}


class Element(OfDistrict):
    """A place for one bearing, deck joint or restraint.

    ``unit`` is the unit whose movement a bearing or restraint sees; at a joint it is the
    unit behind it, towards the start of the bridge, and ``unit_ahead`` the one ahead.  At
    an abutment one of the two is the backwall and stays empty.  A restraint that ties two
    units, across a hinge or a joint, names both in the same way; it sees how they move
    against each other.
    """

    bridge = models.ForeignKey(Bridge, models.PROTECT, related_name="elements")
    support = models.ForeignKey(Support, models.PROTECT, related_name="elements")
    kind = models.CharField(mark("Kind"), max_length=10, choices=ElementKind)
    code = models.CharField(mark("Code"), max_length=30, validators=[CODE])
    name = models.CharField(mark("Name"), max_length=120, blank=True)
    line = models.CharField(
        mark("Line"), max_length=30, blank=True, help_text=mark("Girder, web or lane, such as G2.")
    )
    unit = models.ForeignKey(Unit, models.PROTECT, related_name="elements", null=True, blank=True)
    unit_ahead = models.ForeignKey(
        Unit, models.PROTECT, related_name="joints_behind", null=True, blank=True
    )
    station_m = ELEMENT_QUANTITIES["station_m"].field()
    skew_deg = ELEMENT_QUANTITIES["skew_deg"].field()
    axis_angle_deg = ELEMENT_QUANTITIES["axis_angle_deg"].field()
    access = models.CharField(
        mark("How it is reached"), max_length=12, choices=Access, default=Access.UNKNOWN
    )
    replaceable = models.CharField(
        mark("Replaceable"), max_length=8, choices=Replaceable, default=Replaceable.UNKNOWN
    )
    replaceable_why = models.CharField(mark("Why"), max_length=240, blank=True)
    jacking_points = models.CharField(mark("Jacking points"), max_length=240, blank=True)
    current_installation = models.OneToOneField(
        "inventory.Installation",
        models.PROTECT,
        related_name="current_at",
        editable=False,
        help_text=mark("Never empty: every place holds exactly one device."),
    )
    objects = of_district("bridge__district")
    history = HistoricalRecords()

    class Meta:
        ordering = ["bridge", "station_m", "code"]
        constraints = [
            *bounds("element", ELEMENT_QUANTITIES),
            models.UniqueConstraint(fields=["bridge", "code"], name="element_code_once_a_bridge"),
            models.CheckConstraint(
                condition=Q(kind__in=ElementKind.values), name="element_kind_known"
            ),
            models.CheckConstraint(
                condition=Q(kind=ElementKind.JOINT)
                & (Q(unit__isnull=False) | Q(unit_ahead__isnull=False))
                | Q(kind=ElementKind.RESTRAINT, unit__isnull=False)
                | ~Q(kind=ElementKind.JOINT) & Q(unit__isnull=False, unit_ahead__isnull=True),
                name="element_units_fit_kind",
                violation_error_message=gettext_lazy(
                    "A joint needs the unit behind it or the one ahead;"
                    " a bearing or restraint needs the one unit whose movement it sees;"
                    " a restraint may name the one ahead as well, where it ties the two."
                ),
            ),
            models.CheckConstraint(
                condition=Q(unit__isnull=True)
                | Q(unit_ahead__isnull=True)
                | ~Q(unit=F("unit_ahead")),
                name="element_units_differ",
            ),
        ]
        indexes = [
            models.Index(fields=["bridge", "kind"]),
            models.Index(fields=["code", "id"]),
            models.Index(fields=["station_m", "id"]),
        ]

    def __str__(self) -> str:
        return f"{self.bridge.code} {self.code}"

    def clean(self) -> None:
        wrong: dict[str, str] = {}
        if self.kind == ElementKind.JOINT:
            if self.unit is None and self.unit_ahead is None:
                wrong["unit"] = _("A joint needs the unit behind it, the one ahead, or both.")
        elif self.kind and self.unit is None:
            wrong["unit"] = _("Give the unit whose movement it sees.")
        if self.kind == ElementKind.BEARING and self.unit_ahead is not None:
            wrong["unit_ahead"] = _(
                "Only a joint, or a restraint that ties two units, has a unit ahead. Leave it"
                " empty."
            )
        elif self.unit is not None and self.unit == self.unit_ahead:
            wrong["unit_ahead"] = _("The same unit stands on both sides. Correct one.")
        for name in ("support", "unit", "unit_ahead"):
            there = getattr(self, name, None) if getattr(self, f"{name}_id") else None
            if there is not None and there.bridge_id != self.bridge_id:
                wrong[name] = _("%(row)s belongs to another bridge. Choose one of this bridge.") % {
                    "row": there
                }
        for unit in (self.unit, self.unit_ahead):
            if unit is not None and self.station_m is not None and not unit.covers(self.station_m):
                wrong["station_m"] = _(
                    "%(station)s m is outside unit %(code)s, which runs from %(start)s to %(end)s"
                    " m."
                ) % {
                    "code": unit.code,
                    "station": with_mark(f"{self.station_m:g}"),
                    "start": with_mark(f"{unit.start_station_m:g}"),
                    "end": with_mark(f"{unit.end_station_m:g}"),
                }
        if wrong:
            raise ValidationError(wrong)
