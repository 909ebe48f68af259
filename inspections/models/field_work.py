"""What a crew brings home beside readings: conditions, notes, photos, critical findings.

Rows are appended, never changed.  A row made on a tablet names the record that it came in.
"""

import uuid

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inspections.models.choices import DefectCode, LeftOutReason, RecordKind
from inspections.models.visits import Inspection
from inventory.models import Element
from inventory.models.of_district import OfDistrict
from inventory.scoping import of_district

LARGEST_QUANTITY = 100_000


def author() -> models.ForeignKey:
    """Return the column of who made a row; empty for an import."""
    return models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", null=True, blank=True
    )


class TabletRecord(models.Model):
    """One thing made on a tablet, taken once: its id was made there.

    ``made_at`` is by the tablet's own clock; ``clock_slow_s`` says by how much that was behind
    the server's when the record was sent, so that the true time is their sum.
    """

    uid = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    inspection = models.ForeignKey(Inspection, models.PROTECT, related_name="tablet_records")
    kind = models.CharField("Kind", max_length=12, choices=RecordKind)
    tablet = models.CharField("Tablet", max_length=36)
    made_at = models.DateTimeField("Made at, by the tablet's clock")
    clock_slow_s = models.FloatField("Tablet's clock behind by [s]", default=0.0)
    payload = models.JSONField("As sent")
    user = author()
    received_at = models.DateTimeField("Received at", auto_now_add=True)

    class Meta:
        ordering = ["received_at"]
        constraints = [
            models.CheckConstraint(
                condition=Q(kind__in=RecordKind.values), name="record_kind_known"
            )
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.uid}"


class _FromTheField(OfDistrict):
    """What every row of this module has."""

    record = models.OneToOneField(
        TabletRecord, models.PROTECT, related_name="+", null=True, blank=True
    )
    created_by = author()
    created_at = models.DateTimeField("Recorded at", auto_now_add=True)

    class Meta:
        abstract = True


class Condition(_FromTheField):
    """How much of an element is in each condition state, for one defect or overall.

    The element's quantity is one for a bearing or restraint and its length in metres for a
    joint.  The last row of an inspection, element and defect is the one that counts.
    """

    inspection = models.ForeignKey(Inspection, models.PROTECT, related_name="conditions")
    element = models.ForeignKey(Element, models.PROTECT, related_name="conditions")
    defect = models.PositiveSmallIntegerField("Defect", choices=DefectCode)
    cs1 = models.PositiveIntegerField("CS1", default=0)
    cs2 = models.PositiveIntegerField("CS2", default=0)
    cs3 = models.PositiveIntegerField("CS3", default=0)
    cs4 = models.PositiveIntegerField("CS4", default=0)
    total = models.PositiveIntegerField("Quantity of the element")
    remark = models.CharField("Remark", max_length=240, blank=True)
    objects = of_district("inspection__bridge__district")

    class Meta:
        ordering = ["inspection", "element", "defect", "created_at"]
        constraints = [
            models.CheckConstraint(
                condition=Q(
                    total=models.F("cs1") + models.F("cs2") + models.F("cs3") + models.F("cs4")
                ),
                name="condition_states_sum",
                violation_error_message=gettext_lazy(
                    "CS1 to CS4 must sum to the quantity of the element."
                ),
            ),
            models.CheckConstraint(
                condition=Q(total__gte=1, total__lte=LARGEST_QUANTITY),
                name="condition_total_bounds",
            ),
            models.CheckConstraint(
                condition=Q(defect__in=DefectCode.values), name="condition_defect_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.element.code} {self.get_defect_display()}"

    def clean(self) -> None:
        states = (self.cs1, self.cs2, self.cs3, self.cs4)
        if None in (*states, self.total):
            return
        if not 1 <= self.total <= LARGEST_QUANTITY:
            raise ValidationError(
                {
                    "total": _("%(total)s is not 1 to %(largest)s. Correct the quantity.")
                    % {"total": self.total, "largest": LARGEST_QUANTITY}
                }
            )
        if sum(states) != self.total:
            raise ValidationError(
                {
                    "cs1": _(
                        "CS1 to CS4 sum to %(sum)s, not to the %(total)s of the element. Let them"
                        " sum to it."
                    )
                    % {"sum": sum(states), "total": self.total}
                }
            )


class FieldNote(_FromTheField):
    """A note on an element, or on the bridge where no element is named."""

    inspection = models.ForeignKey(Inspection, models.PROTECT, related_name="notes")
    element = models.ForeignKey(
        Element, models.PROTECT, related_name="notes", null=True, blank=True
    )
    text = models.TextField("Note", max_length=4000)
    objects = of_district("inspection__bridge__district")

    class Meta:
        ordering = ["inspection", "created_at"]

    def __str__(self) -> str:
        return self.text[:60]


class CriticalFinding(_FromTheField):
    """Something that cannot wait: what was seen, what was done, and who was told."""

    inspection = models.ForeignKey(Inspection, models.PROTECT, related_name="critical_findings")
    element = models.ForeignKey(
        Element, models.PROTECT, related_name="critical_findings", null=True, blank=True
    )
    what = models.TextField("What was seen", max_length=2000)
    done = models.TextField("What was done at once", max_length=2000, blank=True)
    told = models.CharField("Who was told, by role", max_length=160, blank=True)
    found_at = models.DateTimeField("Found at")
    seen_by = author()
    seen_at = models.DateTimeField("Seen by an engineer at", null=True, blank=True)
    objects = of_district("inspection__bridge__district")

    class Meta:
        ordering = ["-found_at"]

    def __str__(self) -> str:
        return f"{self.inspection}: {self.what[:60]}"


class LeftOut(_FromTheField):
    """Why an element, or one quantity of it, was not read."""

    inspection = models.ForeignKey(Inspection, models.PROTECT, related_name="left_out")
    element = models.ForeignKey(Element, models.PROTECT, related_name="left_out")
    reason = models.CharField("Reason", max_length=12, choices=LeftOutReason)
    remark = models.CharField("Remark", max_length=240, blank=True)
    objects = of_district("inspection__bridge__district")

    class Meta:
        ordering = ["inspection", "element", "created_at"]
        constraints = [
            models.CheckConstraint(
                condition=Q(reason__in=LeftOutReason.values), name="left_out_reason_known"
            )
        ]

    def __str__(self) -> str:
        return f"{self.element.code}: {self.get_reason_display()}"


class Photo(_FromTheField):
    """A photo from a visit, encoded anew when it was received."""

    uid = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    inspection = models.ForeignKey(Inspection, models.PROTECT, related_name="photos")
    element = models.ForeignKey(
        Element, models.PROTECT, related_name="photos", null=True, blank=True
    )
    caption = models.CharField("Caption", max_length=240, blank=True)
    taken_at = models.DateTimeField("Taken at")
    image = models.FileField("Image", upload_to="photos/%Y/%m")
    thumbnail = models.FileField("Thumbnail", upload_to="thumbnails/%Y/%m")
    width_px = models.PositiveIntegerField()
    height_px = models.PositiveIntegerField()
    sent_sha256 = models.CharField("SHA-256 of what was sent", max_length=64)
    objects = of_district("inspection__bridge__district")

    class Meta:
        ordering = ["taken_at"]

    def __str__(self) -> str:
        return self.caption or f"Photo {self.taken_at:%Y-%m-%d %H:%M}"


class SetAside(_FromTheField):
    """A reading that no longer counts, because another of the same point does."""

    reading = models.OneToOneField("inspections.Reading", models.PROTECT, related_name="set_aside")
    reason = models.CharField("Reason", max_length=240)
    objects = of_district("reading__inspection__bridge__district")

    class Meta:
        verbose_name_plural = "set aside"

    def __str__(self) -> str:
        return f"{self.reading}: {self.reason}"


class SignOff(_FromTheField):
    """The lead's signature under an inspection, which locks it.

    ``statement`` is what was signed, in words; ``digest`` the SHA-256 of all rows of the
    inspection at that hour.  An inspection that is returned and signed again has another.
    """

    inspection = models.ForeignKey(Inspection, models.PROTECT, related_name="sign_offs")
    role = models.CharField("Signed as", max_length=120)
    statement = models.TextField("Statement")
    signed_at = models.DateTimeField("Signed at")
    digest = models.CharField("Digest", max_length=64)
    objects = of_district("inspection__bridge__district")

    class Meta:
        ordering = ["-signed_at"]

    def __str__(self) -> str:
        return f"{self.inspection}: signed {self.signed_at:%Y-%m-%d %H:%M}"
