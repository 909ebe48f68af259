"""A visit to a bridge, and the instruments it was made with."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy
from django.utils.translation import gettext_noop as mark
from simple_history.models import HistoricalRecords

from inspections.models.choices import InspectionKind, InspectionState, Weather
from inventory.models import Bridge
from inventory.models.of_district import OfDistrict
from inventory.quantities import Quantity, bounds
from inventory.scoping import of_district
from inventory.units import Dimension

ACCURACY = Quantity(
    mark("Accuracy, plus or minus"),
    "",
    0,
    1000,
    help=mark("In mm, degC, mrad, deg or kN, as what it reads."),
)


class Instrument(models.Model):
    """A tape, vernier, inclinometer or thermometer with its stated accuracy."""

    code = models.CharField(mark("Code"), max_length=30, unique=True)
    name = models.CharField(mark("Name"), max_length=120)
    dimension = models.CharField(
        mark("Reads"),
        max_length=6,
        choices=[
            (Dimension.LENGTH.value, gettext_lazy("Length [mm]")),
            (Dimension.TEMPERATURE.value, gettext_lazy("Temperature [degC]")),
            (Dimension.ROTATION.value, gettext_lazy("Rotation [mrad]")),
            (Dimension.TILT.value, gettext_lazy("Tilt [deg]")),
            (Dimension.FORCE.value, gettext_lazy("Force [kN]")),
        ],
    )
    accuracy = ACCURACY.field()
    calibrated_on = models.DateField(mark("Calibrated on"), null=True, blank=True)
    history = HistoricalRecords()

    class Meta:
        ordering = ["code"]
        constraints = bounds("instrument", {"accuracy": ACCURACY})

    def __str__(self) -> str:
        return f"{self.code} {self.name}"


class Inspection(OfDistrict):
    """One visit to one bridge."""

    bridge = models.ForeignKey(Bridge, models.PROTECT, related_name="inspections")
    kind = models.CharField(
        mark("Kind"), max_length=10, choices=InspectionKind, default=InspectionKind.ROUTINE
    )
    date = models.DateField(mark("Date"))
    team = models.CharField(
        mark("Team"), max_length=160, help_text=mark("By role, such as lead and two.")
    )
    weather = models.CharField(
        mark("Weather"), max_length=10, choices=Weather, default=Weather.UNKNOWN
    )
    state = models.CharField(
        mark("State"), max_length=10, choices=InspectionState, default=InspectionState.OPEN
    )
    remarks = models.TextField(mark("Remarks"), blank=True)
    created_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", null=True, blank=True
    )
    lead = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        models.PROTECT,
        related_name="inspections_led",
        null=True,
        blank=True,
        verbose_name=mark("Lead, who signs"),
    )
    crew = models.ManyToManyField(
        settings.AUTH_USER_MODEL, related_name="inspections_assigned", blank=True
    )
    event = models.ForeignKey(
        "inspections.Event",
        models.PROTECT,
        related_name="inspections",
        null=True,
        blank=True,
        verbose_name=mark("After which event"),
    )
    submitted_at = models.DateTimeField(mark("Handed in at"), null=True, blank=True)
    reviewed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", null=True, blank=True
    )
    reviewed_at = models.DateTimeField(mark("Reviewed at"), null=True, blank=True)
    review_note = models.TextField(mark("Reviewer's note"), blank=True)
    objects = of_district("bridge__district")
    history = HistoricalRecords(m2m_fields=[crew])

    class Meta:
        ordering = ["-date", "bridge"]
        indexes = [
            models.Index(fields=["date", "id"]),
            models.Index(
                fields=["-date"], condition=models.Q(state="open"), name="inspection_still_open"
            ),
        ]
        constraints = [
            models.UniqueConstraint(
                fields=["bridge", "date", "kind"],
                name="inspection_once_a_day_and_kind",
                violation_error_message=gettext_lazy(
                    "An inspection of this kind on this day exists. Open it."
                ),
            ),
            models.CheckConstraint(
                condition=Q(state__in=InspectionState.values), name="inspection_state_known"
            ),
            models.CheckConstraint(
                condition=Q(kind__in=InspectionKind.values), name="inspection_kind_known"
            ),
        ]
        permissions = [
            ("review_inspection", "Can accept or return an inspection"),
            ("print_report", "Can print reports"),
            ("import_files", "Can import files"),
        ]

    def __str__(self) -> str:
        return f"{self.bridge.code} {self.date} {self.get_kind_display()}"
