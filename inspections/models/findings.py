"""What the model makes of many readings together.  Derived: may be computed again at any time."""

from django.db import models
from django.db.models import Q

from inspections.models.choices import (
    CauseWord,
    CheckFamily,
    CheckMoment,
    DiagnosisWord,
    ReadingQuantity,
    ResponseWord,
)
from inspections.models.readings import Reading
from inspections.models.verdicts import number
from inspections.models.visits import Inspection
from inventory.models import Element, Installation, Support, Unit
from inventory.models.of_district import OfDistrict
from inventory.scoping import of_district


class ElementHistory(OfDistrict):
    """What the readings of one channel of one installation show over the years.

    Numbers are in the SI unit of the quantity, per degC or per year where named so; ``_low``
    and ``_high`` end the 95 % interval; null where they could not be had.  ``findings``,
    ``alternatives`` and ``missing`` hold the bits of :mod:`movement.history.findings`.
    """

    element = models.ForeignKey(Element, models.CASCADE, related_name="histories")
    installation = models.ForeignKey(Installation, models.CASCADE, related_name="histories")
    quantity = models.CharField(max_length=14, choices=ReadingQuantity)
    point = models.CharField(max_length=12, blank=True)
    axis = models.CharField(max_length=6, blank=True)
    response = models.PositiveSmallIntegerField(
        choices=ResponseWord, default=ResponseWord.NOT_ENOUGH_INFORMATION
    )
    missing = models.PositiveSmallIntegerField(default=0)
    findings = models.PositiveSmallIntegerField(default=0)
    alternatives = models.PositiveSmallIntegerField(default=0)
    visits = models.PositiveIntegerField(default=0)
    readings = models.PositiveIntegerField(default=0)
    spread_k = number()
    spread_needed_k = number()
    visits_needed = number()
    ratio = number()
    ratio_low = number()
    ratio_high = number()
    expected_slope_per_c = number()
    slope_per_c = number()
    slope_low_per_c = number()
    slope_high_per_c = number()
    level = number()
    level_low = number()
    level_high = number()
    mean_temperature_c = number()
    mean_at = models.DateTimeField(null=True)
    drift_per_year = number()
    drift_low_per_year = number()
    drift_high_per_year = number()
    step_size = number()
    step_low = number()
    step_high = number()
    step_after = models.DateField(null=True)
    step_before = models.DateField(null=True)
    blunder_reading = models.ForeignKey(
        Reading, models.CASCADE, null=True, related_name="blunder_in"
    )
    blunder_size = number()
    limit_in_years = number()
    limit_in_years_low = number()
    limit_in_years_high = number()
    travel_mm_per_year = number()
    travelled_m = number()
    model_version = models.CharField(max_length=12)
    judged_at = models.DateTimeField()
    objects = of_district("element__bridge__district")

    class Meta:
        ordering = ["element", "installation", "quantity", "point", "axis"]
        # What lists of elements are narrowed to, and histories put in order by.
        indexes = [
            models.Index(fields=["response"]),
            models.Index(fields=["limit_in_years", "id"]),
            models.Index(fields=["element"], condition=Q(findings__gt=0), name="history_found"),
        ]
        constraints = [
            models.UniqueConstraint(
                fields=["installation", "quantity", "point", "axis"], name="history_once_a_channel"
            )
        ]

    def __str__(self) -> str:
        return f"{self.element.code} {self.quantity} {self.point}: {self.get_response_display()}"


class UnitDiagnosis(OfDistrict):
    """What the readings of all elements of a unit say together.

    ``equal`` explanations fit as well as the first; ``missing`` holds the bits of
    :class:`movement.whole_bridge.Missing`.
    """

    unit = models.OneToOneField(Unit, models.CASCADE, related_name="diagnosis")
    outcome = models.PositiveSmallIntegerField(
        choices=DiagnosisWord, default=DiagnosisWord.NOT_ENOUGH
    )
    equal = models.PositiveSmallIntegerField(default=0)
    missing = models.PositiveSmallIntegerField(default=0)
    visits = models.PositiveIntegerField(default=0)
    readings = models.PositiveIntegerField(default=0)
    spread_k = number()
    range_needed_k = number()
    first_seen_on = models.DateField(null=True)
    last_seen_on = models.DateField(null=True)
    model_version = models.CharField(max_length=12)
    judged_at = models.DateTimeField()
    objects = of_district("unit__bridge__district")

    class Meta:
        ordering = ["unit"]
        verbose_name_plural = "unit diagnoses"

    def __str__(self) -> str:
        return f"{self.unit}: {self.get_outcome_display()}"


class Explanation(OfDistrict):
    """One explanation of a unit's readings, the best first; ``beside``: a second cause.

    ``size``, ``low`` and ``high`` are in the unit that belongs to the cause: see
    :class:`movement.whole_bridge.results.Explanations`; of a wrong temperature they tell how
    much too high it was written.  ``odds_log`` is the natural log of
    its odds against "healthy", its price paid; ``log_ratio`` that of the likelihoods alone.
    """

    diagnosis = models.ForeignKey(UnitDiagnosis, models.CASCADE, related_name="explanations")
    rank = models.PositiveSmallIntegerField()
    beside = models.BooleanField(default=False)
    cause = models.PositiveSmallIntegerField(choices=CauseWord)
    element = models.ForeignKey(Element, models.CASCADE, null=True, related_name="explanations")
    quantity = models.CharField(max_length=14, choices=ReadingQuantity, blank=True)
    point = models.CharField(max_length=12, blank=True)
    support = models.ForeignKey(Support, models.CASCADE, null=True, related_name="explanations")
    visit = models.ForeignKey(Inspection, models.CASCADE, null=True, related_name="+")
    last_before = models.ForeignKey(Inspection, models.CASCADE, null=True, related_name="+")
    odds_log = models.FloatField()
    log_ratio = number()
    size = number()
    low = number()
    high = number()
    objects = of_district("diagnosis__unit__bridge__district")

    class Meta:
        ordering = ["diagnosis", "beside", "rank"]
        indexes = [models.Index(fields=["cause"])]
        constraints = [
            models.UniqueConstraint(
                fields=["diagnosis", "beside", "rank"], name="explanation_rank_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.diagnosis.unit} {self.rank}: {self.get_cause_display()}"


class CapacityCheck(OfDistrict):
    """Demand against capacity of a device as last found, by one clause.

    ``use`` is demand over capacity; null where the check cannot be made, and then
    ``lacking`` names what is missing, by register field or reading.  ``capacity`` is null
    where there is no limit.  ``counts`` is False for a method that need not be met, because
    another that may be chosen in its place is.
    """

    element = models.ForeignKey(Element, models.CASCADE, related_name="capacity_checks")
    installation = models.ForeignKey(Installation, models.CASCADE, related_name="capacity_checks")
    inspection = models.ForeignKey(
        Inspection, models.CASCADE, null=True, related_name="capacity_checks"
    )
    order = models.PositiveSmallIntegerField()
    family = models.CharField(max_length=8, choices=CheckFamily)
    name = models.CharField(max_length=120)
    clause = models.CharField(max_length=80)
    edition = models.CharField(max_length=120)
    provenance = models.CharField(max_length=60)
    when = models.CharField(max_length=6, choices=CheckMoment)
    unit = models.CharField(max_length=8, blank=True)
    demand = number()
    capacity = number()
    use = number()
    nothing_left = models.BooleanField(default=False)
    counts = models.BooleanField(
        default=True, help_text="False: another method's checks, all met, stand in its place."
    )
    lacking = models.CharField(max_length=400, blank=True)
    model_version = models.CharField(max_length=12)
    judged_at = models.DateTimeField()
    objects = of_district("element__bridge__district")

    class Meta:
        ordering = ["element", "order"]
        indexes = [
            models.Index(fields=["use", "id"]),
            models.Index(
                fields=["installation"],
                condition=Q(counts=True) & (Q(use__gt=1.0) | Q(nothing_left=True)),
                name="check_exceeded",
            ),
        ]
        constraints = [
            models.UniqueConstraint(fields=["installation", "order"], name="check_order_once"),
            models.CheckConstraint(
                condition=Q(use__isnull=False) | ~Q(lacking="") | Q(nothing_left=True),
                name="check_has_use_or_says_why_not",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.element.code}: {self.name}, {self.clause}"
