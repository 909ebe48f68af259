"""Giving roles out and ending them; every change stays in the history of the role."""

from __future__ import annotations

from django.contrib.auth.models import AbstractBaseUser
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext_lazy

from inspections.models import HeldRole
from inspections.rights import districts_of
from inspections.roles import MANAGE_PEOPLE, Role
from inventory.models import District

NOT_YOURS = gettext_lazy(
    "You give out roles in districts where you are an administrator, and for all districts where"
    " you are one for all."
)
THE_LAST = gettext_lazy(
    "Nobody would be left to give out roles for all districts. Make somebody else an administrator"
    " for all districts first."
)


@transaction.atomic
def give_role(
    *,
    user: AbstractBaseUser,
    role: str,
    district: District | None,
    by: AbstractBaseUser | None = None,
) -> HeldRole:
    """Give a user a role in a district, None is all of them; ``by`` None is the command line.

    Raises
    ------
    ValidationError
        If the role is held there already, is not known, or ``by`` may not give it.
    """
    _refuse_elsewhere(district, by)
    held = HeldRole(user=user, role=role, district=district)
    held._history_user = by
    held.full_clean()
    held.save(force_insert=True)
    return held


@transaction.atomic
def end_role(*, held: HeldRole, by: AbstractBaseUser | None = None) -> None:
    """End a role; the last administrator for all districts stays."""
    _refuse_elsewhere(held.district, by)
    others = HeldRole.objects.select_for_update(of=("self",)).filter(
        role=Role.ADMINISTRATOR, district__isnull=True, user__is_active=True
    )
    leads = held.role == Role.ADMINISTRATOR and held.district_id is None
    if leads and not [each for each in others if each.pk != held.pk]:
        raise ValidationError(THE_LAST)
    held._history_user = by
    held.delete()


def _refuse_elsewhere(district: District | None, by: AbstractBaseUser | None) -> None:
    if by is None:
        return
    mine = districts_of(by, MANAGE_PEOPLE)
    if mine is not None and (district is None or district.pk not in mine):
        raise ValidationError(NOT_YOURS)
