"""What the model said of each reading.  Derived: may be computed again at any time."""

from django.db import models

from inspections.models.choices import (
    ReadingQuantity,
    SettingFrom,
    TemperatureWay,
    VerdictWord,
)
from inspections.models.readings import Reading
from inspections.models.visits import Inspection
from inventory.models import Element, Installation


def _number() -> models.FloatField:
    return models.FloatField(null=True)


class Verdict(models.Model):
    """Verdict of one point in one visit (the mean of its repeats) with its numbers.

    Numbers are in the SI unit of the quantity; null where they could not be had.
    ``use_*`` are shares of the nearer limit; ``a`` to ``c2`` are the five numbers that
    give expected value and band at any effective temperature.
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
    u_reading = _number()
    temperature_c = _number()
    u_temperature_k = _number()
    temperature_way = models.PositiveSmallIntegerField(
        choices=TemperatureWay, default=TemperatureWay.NONE
    )
    setting_value = _number()
    setting_temperature_c = _number()
    setting_from = models.CharField(max_length=9, choices=SettingFrom, blank=True)
    expected = _number()
    u_residual = _number()
    residual = _number()
    residual_in_u = _number()
    limit_lower = _number()
    limit_upper = _number()
    use_now = _number()
    use_at_min = _number()
    use_at_max = _number()
    carried_to_min = _number()
    carried_to_max = _number()
    lower_at_c = _number()
    upper_at_c = _number()
    design_min_c = _number()
    design_max_c = _number()
    racking_mm = _number()
    a = _number()
    b = _number()
    c0 = _number()
    c1 = _number()
    c2 = _number()
    verdict = models.PositiveSmallIntegerField(
        choices=VerdictWord, default=VerdictWord.CANNOT_JUDGE
    )
    reasons = models.PositiveIntegerField(default=0)
    stands = models.BooleanField(
        default=False,
        help_text="A later reading is in range, but could not have shown what this one found.",
    )
    problem = models.CharField(max_length=240, blank=True)
    model_version = models.CharField(max_length=12)
    judged_at = models.DateTimeField()

    class Meta:
        ordering = ["element", "taken_at"]
        indexes = [models.Index(fields=["element", "taken_at"])]

    def __str__(self) -> str:
        return f"{self.element.code} {self.taken_at:%Y-%m-%d} {self.get_verdict_display()}"


class ElementStatus(models.Model):
    """Verdict of an element as last seen, and the reading that decides it."""

    element = models.OneToOneField(Element, models.CASCADE, related_name="status")
    verdict = models.PositiveSmallIntegerField(
        choices=VerdictWord, default=VerdictWord.CANNOT_JUDGE
    )
    deciding = models.ForeignKey(Verdict, models.CASCADE, related_name="+", null=True)
    last_seen_on = models.DateField(null=True)
    greatest_use = _number()
    greatest_residual_in_u = _number()

    class Meta:
        ordering = ["-verdict", "element"]
        indexes = [models.Index(fields=["-verdict", "element"])]

    def __str__(self) -> str:
        return f"{self.element}: {self.get_verdict_display()}"
