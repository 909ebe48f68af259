"""Critical findings: seen by an engineer, once."""

from __future__ import annotations

from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction
from django.utils import timezone

from inspections.models import CriticalFinding


@transaction.atomic
def mark_seen(*, finding: CriticalFinding, user: AbstractBaseUser) -> CriticalFinding:
    """Note who saw a finding first, and when; a second time changes nothing."""
    locked = CriticalFinding.objects.select_for_update().get(pk=finding.pk)
    if locked.seen_at is None:
        locked.seen_by, locked.seen_at = user, timezone.now()
        locked.save(update_fields=["seen_by", "seen_at"])
    return locked
