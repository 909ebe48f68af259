"""Condition ratings of a bridge's bearings and joints, as the US national inventory asks."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext, gettext_lazy
from django.utils.translation import gettext_noop as _

from inspections.models.field_work import author
from inspections.models.visits import Inspection
from inventory.models.of_district import OfDistrict
from inventory.scoping import of_district
from inventory.words import TextWords

REASON_FROM = 4
"""A rating of poor or worse says why.  Common practice, no source."""


class RatedItem(TextWords):
    """Items of the Specifications for the National Bridge Inventory (FHWA, 2022), section 7.1."""

    BEARINGS = "B.C.07", _("B.C.07 Bearings")
    JOINTS = "B.C.08", _("B.C.08 Joints")


class RatingCode(TextWords):
    """Codes of items B.C.01 to B.C.08 with the short word of each; from memory."""

    EXCELLENT = "9", _("9 Excellent")
    VERY_GOOD = "8", _("8 Very good")
    GOOD = "7", _("7 Good")
    SATISFACTORY = "6", _("6 Satisfactory")
    FAIR = "5", _("5 Fair")
    POOR = "4", _("4 Poor")
    SERIOUS = "3", _("3 Serious")
    CRITICAL = "2", _("2 Critical")
    IMMINENT_FAILURE = "1", _("1 Imminent failure")
    FAILED = "0", _("0 Failed")
    NOT_APPLICABLE = "N", _("N Not applicable")


class ComponentRating(OfDistrict):
    """A rating given on an inspection; rows are appended, and the last of an item counts."""

    inspection = models.ForeignKey(Inspection, models.PROTECT, related_name="ratings")
    item = models.CharField("Item", max_length=6, choices=RatedItem)
    code = models.CharField("Rating", max_length=1, choices=RatingCode)
    reason = models.CharField("Why", max_length=240, blank=True)
    created_by = author()
    created_at = models.DateTimeField("Recorded at", auto_now_add=True)
    objects = of_district("inspection__bridge__district")

    class Meta:
        ordering = ["inspection", "item", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(item__in=RatedItem.values), name="rating_item_known"
            ),
            models.CheckConstraint(
                condition=Q(code__in=RatingCode.values), name="rating_code_known"
            ),
            models.CheckConstraint(
                condition=~Q(reason="") | Q(code__gt=str(REASON_FROM)),
                name="rating_poor_says_why",
                violation_error_message=gettext_lazy(
                    "A rating of 4 or less needs its reason. Say why."
                ),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.item} {self.code}"

    def clean(self) -> None:
        if self.code and self.code <= str(REASON_FROM) and not self.reason:
            raise ValidationError(
                {
                    "reason": gettext("A rating of %(code)s or less needs its reason. Say why.")
                    % {"code": REASON_FROM}
                }
            )
