"""The chain that ties what was signed together, so that a later change shows."""

from __future__ import annotations

from django.db import models
from django.db.models import Q


class SealedKind(models.TextChoices):
    """What is sealed."""

    DECISION = "decision", "Decision"
    SIGN_OFF = "sign_off", "Signed inspection"


class Seal(models.Model):
    """One link: that a row was signed with this content, after all that was signed before.

    ``content`` is the SHA-256 that the signed row itself carries; ``digest`` that of this link
    and of ``previous``, the digest of the link before.
    """

    number = models.PositiveBigIntegerField(primary_key=True)
    kind = models.CharField(max_length=10, choices=SealedKind)
    row_id = models.PositiveBigIntegerField("Number of the row")
    signed_at = models.DateTimeField("Signed at")
    content = models.CharField(max_length=64)
    previous = models.CharField(max_length=64)
    digest = models.CharField(max_length=64, unique=True)

    class Meta:
        ordering = ["number"]
        constraints = [
            models.CheckConstraint(condition=Q(number__gte=1), name="seal_counts_from_one"),
            models.CheckConstraint(condition=Q(kind__in=SealedKind.values), name="seal_kind_known"),
            models.UniqueConstraint(fields=["kind", "row_id"], name="seal_once_a_row"),
        ]

    def __str__(self) -> str:
        return f"{self.number}: {self.get_kind_display()} {self.row_id}"
