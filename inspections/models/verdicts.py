"""What the model said of each reading.  Derived: may be computed again at any time."""

from django.db import models
from django.utils.translation import gettext_noop as mark

from inspections.models.choices import (
    RaisedBy,
    ReadingQuantity,
    SettingFrom,
    TemperatureWay,
    VerdictWord,
)
from inspections.models.readings import Reading
from inspections.models.visits import Inspection
from inventory.models import Bridge, DeviceType, Element, Installation
from inventory.models.of_district import OfDistrict
from inventory.scoping import of_district


def number() -> models.FloatField:
    """Return a field of a number that may not be had."""
    return models.FloatField(null=True)


class Verdict(OfDistrict):
    """Verdict of one point in one visit (the mean of its repeats) with its numbers.

    Numbers are in the SI unit of the quantity; null where they could not be had.
    ``shortening`` is the part of ``expected`` that creep and shrinkage since the setting call
    for, its standard uncertainty beside it; positions are carried to the extremes with that
    of the day.  ``use_*`` are shares of the nearer limit; ``a``
    to ``c2`` are the five numbers that give expected value and band at any effective
    temperature.
    """

    reading = models.OneToOneField(Reading, models.CASCADE, related_name="verdict")
    element = models.ForeignKey(Element, models.CASCADE, related_name="verdicts")
    installation = models.ForeignKey(Installation, models.CASCADE, related_name="verdicts")
    inspection = models.ForeignKey(Inspection, models.CASCADE, related_name="verdicts")
    quantity = models.CharField(max_length=14, choices=ReadingQuantity)
    point = models.CharField(max_length=12, blank=True)
    axis = models.CharField(max_length=6, blank=True)
    taken_at = models.DateTimeField()
    repeats = models.PositiveSmallIntegerField(default=1)
    value = models.FloatField()
    u_reading = number()
    temperature_c = number()
    u_temperature_k = number()
    temperature_way = models.PositiveSmallIntegerField(
        choices=TemperatureWay, default=TemperatureWay.NONE
    )
    setting_value = number()
    setting_temperature_c = number()
    setting_from = models.CharField(max_length=9, choices=SettingFrom, blank=True)
    expected = number()
    u_residual = number()
    residual = number()
    residual_in_u = number()
    limit_lower = number()
    limit_upper = number()
    use_now = number()
    use_at_min = number()
    use_at_max = number()
    carried_to_min = number()
    carried_to_max = number()
    shortening = number()
    u_shortening = number()
    shortening_notes = models.PositiveIntegerField(default=0)
    lower_at_c = number()
    upper_at_c = number()
    design_min_c = number()
    design_max_c = number()
    racking_mm = number()
    a = number()
    b = number()
    c0 = number()
    c1 = number()
    c2 = number()
    verdict = models.PositiveSmallIntegerField(
        choices=VerdictWord, default=VerdictWord.CANNOT_JUDGE
    )
    reasons = models.PositiveIntegerField(default=0)
    stands = models.BooleanField(
        default=False,
        help_text=mark(
            "A later reading is in range, but could not have shown what this one found."
        ),
    )
    problem = models.CharField(max_length=240, blank=True)
    model_version = models.CharField(max_length=12)
    judged_at = models.DateTimeField()
    objects = of_district("element__bridge__district")

    class Meta:
        ordering = ["element", "taken_at"]
        indexes = [
            models.Index(fields=["element", "taken_at"]),
            # What lists of all verdicts are ordered by.
            models.Index(fields=["taken_at", "id"]),
            models.Index(fields=["verdict", "id"]),
            models.Index(fields=["residual_in_u", "id"]),
        ]

    def __str__(self) -> str:
        return f"{self.element.code} {self.taken_at:%Y-%m-%d} {self.get_verdict_display()}"


class ElementStatus(OfDistrict):
    """Verdict of an element as last seen, and the reading that decides it.

    ``raised_by`` says whether its history or its whole unit makes the verdict worse than the
    deciding reading does; ``history`` or ``explanation`` is then what says so.  ``bridge`` is that
    of the element, which is for good: it spares those who count by bridge all elements.
    ``device_type`` is that of the device at its place: it spares a list of one type the others.
    """

    element = models.OneToOneField(Element, models.CASCADE, related_name="status")
    # Found by the index below, which leads with it.
    bridge = models.ForeignKey(Bridge, models.CASCADE, related_name="statuses", db_index=False)
    device_type = models.CharField(max_length=24, choices=DeviceType)
    verdict = models.PositiveSmallIntegerField(
        choices=VerdictWord, default=VerdictWord.CANNOT_JUDGE
    )
    deciding = models.ForeignKey(Verdict, models.CASCADE, related_name="+", null=True)
    last_seen_on = models.DateField(null=True)
    greatest_use = number()
    greatest_residual_in_u = number()
    raised_by = models.CharField(max_length=8, choices=RaisedBy, blank=True)
    history = models.ForeignKey("ElementHistory", models.SET_NULL, null=True, related_name="+")
    explanation = models.ForeignKey("Explanation", models.SET_NULL, null=True, related_name="+")
    objects = of_district("bridge__district")

    class Meta:
        ordering = ["-verdict", "element"]
        # On PostgreSQL the first migration adds ``status_worst_first``, which SQLite cannot have.
        indexes = [
            models.Index(fields=["-verdict", "element"]),
            models.Index(fields=["bridge", "verdict"]),
            models.Index(fields=["greatest_use", "element"]),
        ]

    def __str__(self) -> str:
        return f"{self.element}: {self.get_verdict_display()}"
