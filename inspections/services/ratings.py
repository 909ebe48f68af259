"""Give a bridge's bearings or joints their national condition rating."""

from __future__ import annotations

from django.contrib.auth.models import AbstractBaseUser
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from inspections.models import ComponentRating, Inspection
from inspections.models.choices import InspectionState


@transaction.atomic
def rate(
    *,
    inspection: Inspection,
    item: str,
    code: str,
    reason: str = "",
    user: AbstractBaseUser | None = None,
) -> ComponentRating:
    """Add a rating to an inspection; an earlier one of the item stays on record.

    Raises
    ------
    ValidationError
        If the item or code is unknown, a rating of 4 or less has no reason, or the
        inspection was accepted.
    """
    locked = Inspection.objects.select_for_update().get(pk=inspection.pk)
    if locked.state == InspectionState.ACCEPTED:
        raise ValidationError(
            _("This inspection is accepted and its ratings stand. Give new ones on another visit.")
        )
    rating = ComponentRating(
        inspection=locked, item=item, code=code, reason=reason.strip(), created_by=user
    )
    rating.full_clean()
    rating.save()
    return rating
