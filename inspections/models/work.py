"""Ways to mend a defect held side by side, and the work that is ordered."""

from __future__ import annotations

from decimal import Decimal

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.utils.translation import gettext_noop as mark
from simple_history.models import HistoricalRecords

from inspections.models.desk_choices import CriterionKind, WorkKind, WorkState
from inspections.models.flags import Flag
from inspections.models.visits import Inspection
from inventory.models import Bridge, Element, Installation
from inventory.models.of_district import OfDistrict
from inventory.quantities import Quantity, bounds
from inventory.scoping import of_district

CRITERION_QUANTITIES = {"weight": Quantity(mark("Weight"), "", 0, 100, required=True, default=1.0)}
JUDGEMENT_QUANTITIES = {
    "score": Quantity(mark("Judgement, 1 poor to 5 good"), "", 1, 5, required=True)
}


def _user() -> models.ForeignKey:
    return models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", null=True, blank=True
    )


def _money(label: str) -> models.DecimalField:
    return models.DecimalField(
        label,
        max_digits=14,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(Decimal(0), "Give a cost of 0 or more.")],
    )


class OptionStudy(OfDistrict):
    """A defect that can be mended in several ways, and the choice that was made."""

    bridge = models.ForeignKey(Bridge, models.PROTECT, related_name="option_studies")
    element = models.ForeignKey(
        Element, models.PROTECT, related_name="option_studies", null=True, blank=True
    )
    flag = models.ForeignKey(
        Flag, models.PROTECT, related_name="option_studies", null=True, blank=True
    )
    title = models.CharField(gettext_lazy("Title"), max_length=160)
    question = models.TextField(gettext_lazy("What is to be mended"), max_length=4000)
    opened_by = _user()
    opened_at = models.DateTimeField(gettext_lazy("Opened"), auto_now_add=True)
    chosen = models.ForeignKey(
        "inspections.Option", models.PROTECT, related_name="+", null=True, blank=True
    )
    chosen_why = models.TextField(gettext_lazy("Why this one"), max_length=4000, blank=True)
    chosen_by = _user()
    chosen_at = models.DateTimeField(gettext_lazy("Chosen"), null=True, blank=True)
    objects = of_district("bridge__district")
    history = HistoricalRecords()

    class Meta:
        ordering = ["-opened_at"]
        verbose_name_plural = "option studies"
        constraints = [
            models.CheckConstraint(
                condition=Q(chosen__isnull=True) | ~Q(chosen_why=""),
                name="study_choice_has_reason",
                violation_error_message=gettext_lazy("Say why this option was chosen."),
            )
        ]

    def __str__(self) -> str:
        return self.title

    def clean(self) -> None:
        if self.chosen_id and not (self.chosen_why or "").strip():
            raise ValidationError({"chosen_why": _("Say why this option is chosen.")})


class Criterion(OfDistrict):
    """What the options of a study are held against, and how much it weighs."""

    study = models.ForeignKey(OptionStudy, models.CASCADE, related_name="criteria")
    kind = models.CharField(gettext_lazy("Criterion"), max_length=16, choices=CriterionKind)
    name = models.CharField(gettext_lazy("Name of the owner's own"), max_length=80, blank=True)
    weight = CRITERION_QUANTITIES["weight"].field()
    order = models.PositiveSmallIntegerField(gettext_lazy("Order"), default=0)
    objects = of_district("study__bridge__district")
    history = HistoricalRecords()

    class Meta:
        ordering = ["study", "order", "pk"]
        verbose_name_plural = "criteria"
        constraints = [
            *bounds("criterion", CRITERION_QUANTITIES),
            models.UniqueConstraint(
                fields=["study", "kind", "name"],
                name="criterion_once_a_study",
                violation_error_message=gettext_lazy(
                    "The study has this criterion. Choose another."
                ),
            ),
        ]

    def __str__(self) -> str:
        return self.name or self.get_kind_display()


class Option(OfDistrict):
    """One way to mend a defect; dropped with a reason, never removed."""

    study = models.ForeignKey(OptionStudy, models.CASCADE, related_name="options")
    name = models.CharField(gettext_lazy("Option"), max_length=120)
    description = models.TextField(
        gettext_lazy("How it would be done"), max_length=4000, blank=True
    )
    cost = _money("Cost")
    duration_days = models.PositiveIntegerField(
        gettext_lazy("Duration, days"), null=True, blank=True
    )
    dropped_at = models.DateTimeField(gettext_lazy("Dropped"), null=True, blank=True)
    dropped_by = _user()
    dropped_why = models.TextField(gettext_lazy("Why it was dropped"), max_length=2000, blank=True)
    objects = of_district("study__bridge__district")
    history = HistoricalRecords(history_change_reason_field=models.TextField(null=True))

    class Meta:
        ordering = ["study", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["study", "name"],
                name="option_name_once",
                violation_error_message=gettext_lazy(
                    "The study has an option of this name. Choose another."
                ),
            ),
            models.CheckConstraint(
                condition=Q(dropped_at__isnull=True) | ~Q(dropped_why=""),
                name="option_drop_has_reason",
                violation_error_message=gettext_lazy("Say why it is dropped."),
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def clean(self) -> None:
        if self.dropped_at and not (self.dropped_why or "").strip():
            raise ValidationError({"dropped_why": _("Say why this option is dropped.")})


class OptionJudgement(OfDistrict):
    """How somebody judged an option by a criterion; the last one of a pair counts."""

    option = models.ForeignKey(Option, models.CASCADE, related_name="judgements")
    criterion = models.ForeignKey(Criterion, models.CASCADE, related_name="judgements")
    score = JUDGEMENT_QUANTITIES["score"].whole_field()
    words = models.CharField(gettext_lazy("In words"), max_length=400, blank=True)
    judged_by = _user()
    judged_at = models.DateTimeField(auto_now_add=True)
    objects = of_district("option__study__bridge__district")

    class Meta:
        ordering = ["option", "criterion", "judged_at", "pk"]
        constraints = bounds("option_judgement", JUDGEMENT_QUANTITIES)

    def __str__(self) -> str:
        return f"{self.option}, {self.criterion}: {self.score}"

    def clean(self) -> None:
        if self.option_id and self.criterion_id and self.option.study_id != self.criterion.study_id:
            raise ValidationError({"criterion": _("This criterion belongs to another study.")})


class WorkOrder(OfDistrict):
    """Work on elements of a bridge, from its order to its proving measurement.

    ``finished_at`` is the hour from which a reading can prove the work; ``finished_on`` its day
    at the bridge.
    """

    bridge = models.ForeignKey(Bridge, models.PROTECT, related_name="work_orders")
    code = models.CharField(gettext_lazy("Number"), max_length=20, unique=True, editable=False)
    kind = models.CharField(gettext_lazy("Kind"), max_length=12, choices=WorkKind)
    title = models.CharField(gettext_lazy("Title"), max_length=160)
    description = models.TextField(gettext_lazy("What is to be done"), max_length=4000, blank=True)
    state = models.CharField(
        gettext_lazy("State"),
        max_length=10,
        choices=WorkState,
        default=WorkState.ORDERED,
        editable=False,
    )
    study = models.ForeignKey(
        OptionStudy, models.PROTECT, related_name="work_orders", null=True, blank=True
    )
    by_whom = models.CharField(gettext_lazy("Done by, by role"), max_length=160, blank=True)
    ordered_on = models.DateField(gettext_lazy("Ordered on"))
    planned_on = models.DateField(gettext_lazy("Planned for"), null=True, blank=True)
    begun_on = models.DateField(gettext_lazy("Begun on"), null=True, blank=True)
    finished_on = models.DateField(gettext_lazy("Finished on"), null=True, blank=True)
    finished_at = models.DateTimeField(gettext_lazy("Finished at"), null=True, blank=True)
    cost_estimate = _money("Cost, estimated")
    cost = _money("Cost, as billed")
    outcome = models.TextField(gettext_lazy("What was done"), max_length=4000, blank=True)
    ordered_by = _user()
    finished_by = _user()
    cancelled_at = models.DateTimeField(gettext_lazy("Cancelled at"), null=True, blank=True)
    cancelled_by = _user()
    cancelled_why = models.TextField(
        gettext_lazy("Why it was cancelled"), max_length=2000, blank=True
    )
    objects = of_district("bridge__district")
    history = HistoricalRecords()

    class Meta:
        ordering = ["-ordered_on", "-pk"]
        constraints = [
            models.CheckConstraint(condition=Q(kind__in=WorkKind.values), name="work_kind_known"),
            models.CheckConstraint(
                condition=Q(state=WorkState.FINISHED, finished_on__isnull=False)
                | ~Q(state=WorkState.FINISHED) & Q(finished_on__isnull=True),
                name="work_finished_has_its_day",
                violation_error_message=gettext_lazy(
                    "Finished work needs its day, other work has none."
                ),
            ),
            models.CheckConstraint(
                condition=Q(finished_on__isnull=True) | Q(finished_on__gte=F("ordered_on")),
                name="work_finished_after_order",
                violation_error_message=gettext_lazy(
                    "It cannot be finished before it was ordered."
                ),
            ),
            models.CheckConstraint(
                condition=Q(cancelled_at__isnull=True) & ~Q(state=WorkState.CANCELLED)
                | Q(cancelled_at__isnull=False, state=WorkState.CANCELLED) & ~Q(cancelled_why=""),
                name="work_cancelled_has_reason",
                violation_error_message=gettext_lazy(
                    "Cancelled work needs its hour and the reason."
                ),
            ),
        ]
        permissions = [("manage_work", "Can order work and hold options side by side")]

    def __str__(self) -> str:
        return f"{self.code} {self.title}"

    def clean(self) -> None:
        cancelled, finished = self.state == WorkState.CANCELLED, self.state == WorkState.FINISHED
        if cancelled and not (self.cancelled_why or "").strip():
            raise ValidationError({"cancelled_why": _("Say why this work is cancelled.")})
        if finished != (self.finished_on is not None):
            raise ValidationError(
                {
                    "finished_on": _("Give the day on which the work was finished.")
                    if finished
                    else _("This work is not finished: leave the day out, or finish the work.")
                }
            )
        if self.finished_on and self.ordered_on and self.finished_on < self.ordered_on:
            raise ValidationError(
                {
                    "finished_on": _(
                        "%(finished_on)s lies before %(ordered_on)s, when it was ordered. Correct"
                        " one of the two."
                    )
                    % {"finished_on": self.finished_on, "ordered_on": self.ordered_on}
                }
            )


class WorkItem(OfDistrict):
    """An element that an order works on, the flag it mends, and what stands there after it."""

    order = models.ForeignKey(WorkOrder, models.CASCADE, related_name="items")
    element = models.ForeignKey(Element, models.PROTECT, related_name="work_items")
    flag = models.ForeignKey(Flag, models.PROTECT, related_name="work_items", null=True, blank=True)
    installation_after = models.ForeignKey(
        Installation, models.PROTECT, related_name="+", null=True, blank=True
    )
    proved_by = models.ForeignKey(
        Inspection, models.PROTECT, related_name="+", null=True, blank=True
    )
    objects = of_district("order__bridge__district")
    history = HistoricalRecords(excluded_fields=["proved_by"])  # that follows from the readings

    class Meta:
        ordering = ["order", "element"]
        constraints = [
            models.UniqueConstraint(
                fields=["order", "element", "flag"],
                name="work_item_once_a_flag",
                violation_error_message=gettext_lazy("The order has this flag already."),
            ),
            models.UniqueConstraint(
                fields=["order", "element"],
                condition=Q(flag__isnull=True),
                name="work_item_once_an_element",
                violation_error_message=gettext_lazy("The order has this element already."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.order.code}: {self.element}"
