"""Keys with which other programs use the API, and the answers that their writes were given."""

from __future__ import annotations

import uuid

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy, pgettext_lazy
from django.utils.translation import gettext_noop as mark

from inventory.words import TextWords


class KeyScope(TextWords):
    """What a key may do, within what its owner's role may."""

    READ = "read", mark("Read")
    WRITE = "read write", mark("Read and write")


class ApiKey(models.Model):
    """What lets a program act for its owner.

    The key itself is shown once; its SHA-256 is kept, and its beginning, to tell keys apart.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    owner = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE, related_name="api_keys")
    name = models.CharField(gettext_lazy("Name"), max_length=80)
    prefix = models.CharField(gettext_lazy("Begins with"), max_length=12)
    digest = models.CharField(max_length=64, unique=True)
    scopes = models.CharField(
        pgettext_lazy("key", "May"), max_length=10, choices=KeyScope, default=KeyScope.READ
    )
    created_at = models.DateTimeField(gettext_lazy("Made"))
    expires_at = models.DateTimeField(gettext_lazy("Expires"))
    revoked_at = models.DateTimeField(gettext_lazy("Revoked"), null=True, blank=True)
    last_used_at = models.DateTimeField(gettext_lazy("Last used"), null=True, blank=True)

    class Meta:
        ordering = ["-created_at"]
        verbose_name = "API key"
        constraints = [
            models.CheckConstraint(condition=Q(scopes__in=KeyScope.values), name="api_key_scopes"),
            models.CheckConstraint(
                condition=Q(expires_at__gt=F("created_at")),
                name="api_key_expires_after_made",
                violation_error_message=gettext_lazy("The key must expire after it was made."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name} ({self.prefix}…)"


class IdempotentAnswer(models.Model):
    """What a write was answered, given again to whoever sends the same write anew.

    ``digest`` is the SHA-256 of method, address and body.
    """

    user = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE, related_name="+")
    key = models.CharField(max_length=100)
    digest = models.CharField(max_length=64)
    status = models.PositiveSmallIntegerField()
    body = models.JSONField()
    created_at = models.DateTimeField(db_index=True)

    class Meta:
        ordering = ["-created_at"]
        constraints = [
            models.UniqueConstraint(
                fields=["user", "key"],
                name="idempotent_answer_once_a_key",
                violation_error_message=gettext_lazy("This key has been used."),
            )
        ]

    def __str__(self) -> str:
        return f"{self.key}: {self.status}"
