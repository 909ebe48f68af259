"""Hand a visit in at the desk, with one reason for all that was not read."""

from __future__ import annotations

from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction

from inspections.lookups.completeness import unexplained
from inspections.models import Inspection, LeftOut
from inspections.services.visits import submit


@transaction.atomic
def hand_in(
    *, inspection: Inspection, user: AbstractBaseUser, reason: str = "", remark: str = ""
) -> Inspection:
    """Hand an inspection in; a reason is kept at each element that was not read in whole.

    Where a reason was given before, that one stands.

    Raises
    ------
    ValidationError
        If the reason is none, or it cannot be handed in; nothing is kept then.
    """
    for stop in unexplained(inspection) if reason else []:
        row = LeftOut(
            inspection=inspection,
            element=stop.element,
            reason=reason,
            remark=remark.strip(),
            created_by=user,
        )
        row.full_clean()
        row.save(force_insert=True)
    return submit(inspection=inspection)
