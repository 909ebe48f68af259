"""Drawings of a bridge: what was designed and built, a sheet or a set of sheets in each file."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from simple_history.models import HistoricalRecords

from inventory.models.choices import DrawingFormat
from inventory.models.element import Element
from inventory.models.of_district import OfDistrict
from inventory.models.places import Bridge
from inventory.scoping import of_district

MOST_SHEETS = 200


class Drawing(OfDistrict):
    """A file of drawings as it was cleaned when it came in; its bytes never change.

    A later revision is a row of its own. One that was added by mistake, or that holds no longer,
    is withdrawn: it stays on record and can be read, marked as what it is.
    """

    bridge = models.ForeignKey(Bridge, models.PROTECT, related_name="drawings")
    element = models.ForeignKey(
        Element,
        models.PROTECT,
        related_name="drawings",
        null=True,
        blank=True,
        help_text=gettext_lazy("Empty: of the whole bridge."),
    )
    number = models.CharField(
        gettext_lazy("Sheet number"),
        max_length=60,
        help_text=gettext_lazy("As it stands in the title block."),
    )
    revision = models.CharField(
        gettext_lazy("Revision"),
        max_length=12,
        blank=True,
        help_text=gettext_lazy("Letter or number; empty for the first."),
    )
    title = models.CharField(gettext_lazy("Title"), max_length=160)
    dated = models.DateField(gettext_lazy("Dated"), null=True, blank=True)
    file = models.FileField(gettext_lazy("File"), upload_to="drawings/%Y/%m", editable=False)
    format = models.CharField(gettext_lazy("Format"), max_length=4, choices=DrawingFormat)
    sheets = models.PositiveSmallIntegerField(
        gettext_lazy("Sheets"), validators=[MinValueValidator(1), MaxValueValidator(MOST_SHEETS)]
    )
    size_bytes = models.PositiveIntegerField(gettext_lazy("Size [bytes]"), editable=False)
    sent_sha256 = models.CharField(
        gettext_lazy("SHA-256 of what was sent"), max_length=64, editable=False
    )
    added_at = models.DateTimeField(gettext_lazy("Added at"), auto_now_add=True)
    withdrawn_at = models.DateTimeField(
        gettext_lazy("Withdrawn at"), null=True, blank=True, editable=False
    )
    withdrawn_why = models.CharField(
        gettext_lazy("Why it is withdrawn"), max_length=240, blank=True, editable=False
    )
    objects = of_district("bridge__district")
    history = HistoricalRecords()

    class Meta:
        ordering = ["bridge", "number", "-added_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(format__in=DrawingFormat.values), name="drawing_format_known"
            ),
            models.CheckConstraint(
                condition=Q(sheets__gte=1, sheets__lte=MOST_SHEETS), name="drawing_sheets_bounds"
            ),
            models.CheckConstraint(
                condition=Q(withdrawn_at__isnull=True, withdrawn_why="")
                | Q(withdrawn_at__isnull=False) & ~Q(withdrawn_why=""),
                name="drawing_withdrawn_says_why",
                violation_error_message=gettext_lazy(
                    "A drawing that is withdrawn needs its reason. Say why."
                ),
            ),
            models.UniqueConstraint(
                fields=["bridge", "number", "revision"],
                condition=Q(withdrawn_at__isnull=True),
                name="drawing_revision_once_a_bridge",
            ),
        ]

    def __str__(self) -> str:
        revision = f" revision {self.revision}" if self.revision else ""
        return f"{self.bridge.code} {self.number}{revision}"

    def clean(self) -> None:
        wrong: dict[str, str] = {}
        if self.element is not None and self.element.bridge_id != self.bridge_id:
            wrong["element"] = _(
                "%(element)s stands on another bridge. Choose one of this bridge."
            ) % {"element": self.element}
        if self.withdrawn_at is None and self._on_record():
            wrong["revision"] = _(
                "Sheet %(number)s is on record in this revision. Give the next one, or withdraw"
                " that first."
            ) % {"number": self.number}
        if wrong:
            raise ValidationError(wrong)

    def _on_record(self) -> bool:
        """Return whether another drawing that stands has this number and revision."""
        same = Drawing.objects.filter(
            bridge_id=self.bridge_id,
            number=self.number,
            revision=self.revision,
            withdrawn_at=None,
        )
        return same.exclude(pk=self.pk).exists()
