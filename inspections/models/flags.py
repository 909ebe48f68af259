"""What is flagged, where it was seen, and every decision on it."""

from __future__ import annotations

import uuid

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import Q

from inspections.models.choices import VerdictWord
from inspections.models.desk_choices import DecisionKind, FlagCause, FlagState
from inspections.models.visits import Inspection
from inventory.models import Element
from inventory.models.of_district import OfDistrict
from inventory.scoping import of_district

NEEDS_A_DAY = (DecisionKind.ACCEPT, DecisionKind.WATCH, DecisionKind.MEASURE_AGAIN)
"""Decisions that hold until a day."""


class Sighting(OfDistrict):
    """What one visit showed of one cause at one element.  Derived: may be computed again.

    ``shown`` is False where the visit could have shown the cause and did not; a visit that
    could not tell leaves no row.  ``evidence`` lists what showed it, numbers in SI units: see
    :mod:`inspections.services.sightings`.
    """

    element = models.ForeignKey(Element, models.CASCADE, related_name="sightings")
    inspection = models.ForeignKey(Inspection, models.CASCADE, related_name="sightings")
    cause = models.CharField(max_length=10, choices=FlagCause)
    seen_at = models.DateTimeField()
    shown = models.BooleanField()
    severity = models.PositiveSmallIntegerField(choices=VerdictWord, default=VerdictWord.IN_RANGE)
    evidence = models.JSONField(default=list)
    objects = of_district("element__bridge__district")

    class Meta:
        ordering = ["element", "cause", "seen_at"]
        constraints = [
            models.UniqueConstraint(
                fields=["element", "cause", "inspection"], name="sighting_once_a_visit"
            ),
            models.CheckConstraint(
                condition=Q(cause__in=FlagCause.values), name="sighting_cause_known"
            ),
        ]

    def __str__(self) -> str:
        word = "shown" if self.shown else "not shown"
        return f"{self.element.code} {self.get_cause_display()}: {word} {self.seen_at:%Y-%m-%d}"


class VisitSeen(OfDistrict):
    """That the sightings of a visit rest on just these inputs: see ``digest``."""

    inspection = models.OneToOneField(Inspection, models.CASCADE, related_name="seen")
    digest = models.CharField(max_length=64)

    def __str__(self) -> str:
        return f"{self.inspection}: {self.digest[:8]}"


class Flag(OfDistrict):
    """One cause at one element, followed until it is closed.

    All but element and cause follows from the sightings and decisions, whatever the order in
    which they became known: :func:`inspections.flag_life.life_of`.  ``until`` ends what the
    standing decision grants.  ``evidence_changed``: what the last decision rested on reads
    otherwise now, as when a late visit was handed in.
    """

    element = models.ForeignKey(Element, models.PROTECT, related_name="flags")
    cause = models.CharField("Cause", max_length=10, choices=FlagCause)
    state = models.CharField("State", max_length=10, choices=FlagState, default=FlagState.OPEN)
    severity = models.PositiveSmallIntegerField(
        "As last seen", choices=VerdictWord, default=VerdictWord.WATCH
    )
    first_seen_at = models.DateTimeField("First seen", null=True)
    last_seen_at = models.DateTimeField("Last seen", null=True)
    times_seen = models.PositiveIntegerField("Visits that showed it", default=0)
    opened_at = models.DateTimeField("Opened", null=True)
    times_reopened = models.PositiveIntegerField("Returned", default=0)
    back_since = models.DateTimeField("Back in range since", null=True)
    until = models.DateField("Until", null=True)
    evidence_changed = models.BooleanField("Evidence has changed since", default=False)
    consequence = models.FloatField("What rests on it, share", default=0.0)
    nearness = models.FloatField("How near a limit, share", default=0.0)
    limit_in_years = models.FloatField("Years until the limit", null=True)
    objects = of_district("element__bridge__district")

    class Meta:
        ordering = ["element", "cause"]
        constraints = [
            models.UniqueConstraint(fields=["element", "cause"], name="flag_once_a_cause"),
            models.CheckConstraint(
                condition=Q(cause__in=FlagCause.values), name="flag_cause_known"
            ),
            models.CheckConstraint(
                condition=Q(state__in=FlagState.values), name="flag_state_known"
            ),
        ]
        indexes = [models.Index(fields=["state", "-severity"])]
        permissions = [("decide_flag", "Can decide on flags")]

    def __str__(self) -> str:
        return f"{self.element}: {self.get_cause_display()}"


class Decision(OfDistrict):
    """What an engineer decided on a flag: signed, timed, never changed.

    ``as_of`` is the hour from which it holds.  ``relied_on`` lists what had been seen by then
    as ``[inspection, shown, severity]``; ``evidence`` and ``thresholds`` are what the page
    showed.  ``digest`` is the SHA-256 of the row's own content.
    """

    flag = models.ForeignKey(Flag, models.PROTECT, related_name="decisions")
    kind = models.CharField("Decision", max_length=13, choices=DecisionKind)
    reason = models.TextField("Reason", max_length=2000)
    as_of = models.DateTimeField("Holds from")
    until = models.DateField("Until", null=True, blank=True)
    interval_months = models.PositiveSmallIntegerField("Every, months", null=True, blank=True)
    order = models.ForeignKey(
        "inspections.WorkOrder", models.PROTECT, related_name="decisions", null=True, blank=True
    )
    severity = models.PositiveSmallIntegerField(choices=VerdictWord)
    state_before = models.CharField(max_length=10, choices=FlagState)
    relied_on = models.JSONField(default=list, blank=True)
    evidence = models.JSONField(default=list, blank=True)
    thresholds = models.JSONField(default=dict, blank=True)
    model_version = models.CharField(max_length=12)
    together = models.UUIDField("Decided together", null=True, blank=True)
    decided_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    signed_as = models.CharField("Signed as", max_length=120)
    decided_at = models.DateTimeField("Signed at")
    digest = models.CharField("Digest", max_length=64)
    objects = of_district("flag__element__bridge__district")

    class Meta:
        ordering = ["flag", "as_of", "decided_at", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(kind__in=DecisionKind.values), name="decision_kind_known"
            ),
            models.CheckConstraint(
                condition=~Q(reason=""),
                name="decision_has_a_reason",
                violation_error_message="Give the reason.",
            ),
            models.CheckConstraint(
                condition=Q(until__isnull=False) | ~Q(kind__in=NEEDS_A_DAY),
                name="decision_has_its_day",
                violation_error_message="Give the day until which it holds.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.flag}: {self.get_kind_display()} {self.decided_at:%Y-%m-%d}"

    def clean(self) -> None:
        if self.kind in NEEDS_A_DAY and self.until is None:
            raise ValidationError({"until": "Give the day until which this holds."})


class SavedFilter(models.Model):
    """A list as a user narrowed it, under a name."""

    user = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE, related_name="saved_filters")
    page = models.CharField("Page", max_length=20)
    name = models.CharField("Name", max_length=60)
    query = models.CharField("As in its address", max_length=600, blank=True)

    class Meta:
        ordering = ["page", "name"]
        constraints = [
            models.UniqueConstraint(
                fields=["user", "page", "name"],
                name="saved_filter_name_once",
                violation_error_message="You have a saved list of this name. Choose another name.",
            )
        ]

    def __str__(self) -> str:
        return self.name


class CalendarKey(models.Model):
    """What lets a calendar program read a user's plan without signing in.

    The key itself is shown once; only its SHA-256 is kept.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    user = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE, related_name="calendar_keys")
    digest = models.CharField(max_length=64, unique=True)
    only_own = models.BooleanField("Only visits assigned to me", default=True)
    created_at = models.DateTimeField(auto_now_add=True)
    ended_at = models.DateTimeField("Ended", null=True, blank=True)

    class Meta:
        ordering = ["-created_at"]

    def __str__(self) -> str:
        return f"Calendar of {self.user}, {self.created_at:%Y-%m-%d}"
