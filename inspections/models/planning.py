"""When to visit which bridge, who goes, and what an event asks for."""

from __future__ import annotations

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import Exists, OuterRef, Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.utils.translation import gettext_noop as mark
from simple_history.models import HistoricalRecords

from inspections.models.choices import InspectionKind
from inspections.models.desk_choices import DueReason, EventKind
from inspections.models.flags import Flag
from inspections.models.visits import Inspection
from inventory.models import Bridge, Element
from inventory.models.of_district import OfDistrict
from inventory.quantities import Quantity, bounds
from inventory.scoping import of_district, of_districts

INTERVAL_QUANTITIES = {"months": Quantity(mark("Every, months"), "months", 1, 240, required=True)}
EVENT_QUANTITIES = {
    "latitude_deg": Quantity(mark("Latitude, north positive"), "deg", -90, 90),
    "longitude_deg": Quantity(mark("Longitude, east positive"), "deg", -180, 180),
    "radius_km": Quantity(mark("Radius"), "km", 0.1, 2000),
    "within_days": Quantity(mark("To be inspected within, days"), "days", 0, 365, required=True),
}


class Interval(OfDistrict):
    """How often a bridge, or one element of it, is inspected; the agency's setting stands else."""

    bridge = models.ForeignKey(Bridge, models.PROTECT, related_name="intervals")
    element = models.ForeignKey(
        Element, models.PROTECT, related_name="intervals", null=True, blank=True
    )
    kind = models.CharField(
        gettext_lazy("Kind"),
        max_length=10,
        choices=[
            each
            for each in InspectionKind.choices
            if each[0] in (InspectionKind.ROUTINE, InspectionKind.IN_DEPTH)
        ],
    )
    months = INTERVAL_QUANTITIES["months"].whole_field()
    reason = models.CharField(gettext_lazy("Why"), max_length=240, blank=True)
    objects = of_district("bridge__district")
    history = HistoricalRecords()

    class Meta:
        ordering = ["bridge", "element", "kind"]
        constraints = [
            *bounds("interval", INTERVAL_QUANTITIES),
            models.UniqueConstraint(
                fields=["bridge", "kind"],
                condition=Q(element__isnull=True),
                name="interval_once_a_bridge",
                violation_error_message=gettext_lazy(
                    "This bridge has an interval of this kind. Change it."
                ),
            ),
            models.UniqueConstraint(
                fields=["element", "kind"],
                name="interval_once_an_element",
                violation_error_message=gettext_lazy(
                    "This element has an interval of this kind. Change it."
                ),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.element or self.bridge.code}: {self.get_kind_display()}, {self.months} mo."

    def clean(self) -> None:
        if self.element_id and self.element.bridge_id != self.bridge_id:
            raise ValidationError(
                {"element": _("%(element)s belongs to another bridge.") % {"element": self.element}}
            )


def _touching(events: models.QuerySet[Event], districts: list[int]) -> models.QuerySet[Event]:
    """Return the events that touch a bridge of these districts, or none yet anywhere."""
    touched = EventBridge._base_manager.filter(event=OuterRef("pk"))
    return events.filter(Exists(touched.filter(bridge__district__in=districts)) | ~Exists(touched))


class Event(models.Model):
    """Something that happened to bridges and asks for a visit."""

    kind = models.CharField(gettext_lazy("Kind"), max_length=14, choices=EventKind)
    name = models.CharField(gettext_lazy("Name"), max_length=120)
    occurred_at = models.DateTimeField(gettext_lazy("When"))
    description = models.TextField(gettext_lazy("What is known"), max_length=4000, blank=True)
    latitude_deg = EVENT_QUANTITIES["latitude_deg"].field()
    longitude_deg = EVENT_QUANTITIES["longitude_deg"].field()
    radius_km = EVENT_QUANTITIES["radius_km"].field()
    within_days = EVENT_QUANTITIES["within_days"].whole_field()
    created_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", null=True, blank=True
    )
    created_at = models.DateTimeField(auto_now_add=True)
    objects = of_districts(_touching)
    history = HistoricalRecords()

    class Meta:
        ordering = ["-occurred_at"]
        constraints = [
            *bounds("event", EVENT_QUANTITIES),
            models.CheckConstraint(condition=Q(kind__in=EventKind.values), name="event_kind_known"),
        ]

    def __str__(self) -> str:
        return f"{self.name} ({self.get_kind_display()}, {self.occurred_at:%Y-%m-%d})"


class EventBridge(OfDistrict):
    """A bridge that an event may have touched; visited by the inspection that names the event."""

    event = models.ForeignKey(Event, models.CASCADE, related_name="bridges")
    bridge = models.ForeignKey(Bridge, models.PROTECT, related_name="events")
    distance_km = models.FloatField(gettext_lazy("Distance"), null=True)
    objects = of_district("bridge__district")
    history = HistoricalRecords()

    class Meta:
        ordering = ["event", "distance_km", "bridge"]
        constraints = [
            models.UniqueConstraint(fields=["event", "bridge"], name="event_bridge_once")
        ]

    def __str__(self) -> str:
        return f"{self.event}: {self.bridge.code}"


class Due(OfDistrict):
    """A visit that is due, and why.  Derived: :mod:`inspections.services.plan`."""

    bridge = models.ForeignKey(Bridge, models.CASCADE, related_name="due")
    element = models.ForeignKey(Element, models.CASCADE, related_name="due", null=True)
    reason = models.CharField(max_length=13, choices=DueReason)
    due_on = models.DateField()
    last_on = models.DateField(null=True)
    months = models.PositiveSmallIntegerField(null=True)
    flag = models.ForeignKey(Flag, models.CASCADE, related_name="due", null=True)
    event = models.ForeignKey(Event, models.CASCADE, related_name="due", null=True)
    order = models.ForeignKey(
        "inspections.WorkOrder", models.CASCADE, related_name="due", null=True
    )
    objects = of_district("bridge__district")

    class Meta:
        ordering = ["due_on", "bridge", "element"]
        indexes = [models.Index(fields=["due_on", "bridge"])]

    def __str__(self) -> str:
        return f"{self.element or self.bridge.code}: {self.get_reason_display()} {self.due_on}"


class PlannedVisit(OfDistrict):
    """A visit on the calendar: when, of what kind, and who goes."""

    bridge = models.ForeignKey(Bridge, models.PROTECT, related_name="planned_visits")
    kind = models.CharField(
        gettext_lazy("Kind"), max_length=10, choices=InspectionKind, default=InspectionKind.ROUTINE
    )
    planned_on = models.DateField(gettext_lazy("Planned for"))
    lead = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        models.PROTECT,
        related_name="visits_planned_to_lead",
        null=True,
        blank=True,
        verbose_name=gettext_lazy("Lead, who signs"),
    )
    crew = models.ManyToManyField(
        settings.AUTH_USER_MODEL, related_name="visits_planned", blank=True
    )
    event = models.ForeignKey(
        Event, models.PROTECT, related_name="planned_visits", null=True, blank=True
    )
    note = models.CharField(gettext_lazy("Note"), max_length=240, blank=True)
    inspection = models.OneToOneField(
        Inspection, models.PROTECT, related_name="planned_as", null=True, blank=True
    )
    cancelled_at = models.DateTimeField(gettext_lazy("Cancelled"), null=True, blank=True)
    created_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", null=True, blank=True
    )
    objects = of_district("bridge__district")
    history = HistoricalRecords(m2m_fields=[crew])

    class Meta:
        ordering = ["planned_on", "bridge"]
        constraints = [
            models.CheckConstraint(
                condition=Q(kind__in=InspectionKind.values), name="planned_visit_kind_known"
            ),
        ]
        permissions = [("plan_visits", "Can plan visits and record events")]

    def __str__(self) -> str:
        return f"{self.bridge.code} {self.planned_on} {self.get_kind_display()}"
