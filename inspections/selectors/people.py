"""Accounts that work in the field."""

from __future__ import annotations

from django.contrib.auth import get_user_model
from django.contrib.auth.models import AbstractBaseUser
from django.db.models import Exists, OuterRef, Prefetch, Q, QuerySet

from inspections.models.roles import HeldRole
from inspections.roles import PERMISSIONS
from inventory.scoping import districts_seen

ENTERING = [role for role, allowed in PERMISSIONS.items() if "inspections.add_reading" in allowed]


def who_inspects() -> QuerySet[AbstractBaseUser]:
    """Return the accounts that may enter readings in a district in scope, by name."""
    seen = districts_seen()
    there = Q() if seen is None else Q(district__in=seen) | Q(district__isnull=True)
    who = HeldRole.objects.filter(there, role__in=ENTERING, user=OuterRef("pk"))
    return get_user_model().objects.filter(Exists(who), is_active=True).order_by("username")


def people(wanted: str = "") -> QuerySet[AbstractBaseUser]:
    """Return the accounts that hold a role in scope, with the roles that they hold there.

    Who sees all districts sees every account, also those without a role.
    """
    users = get_user_model().objects.order_by("username")
    if districts_seen() is not None:
        users = users.filter(Exists(roles_in_scope().filter(user=OuterRef("pk"))))
    if wanted:
        users = users.filter(Q(username__icontains=wanted) | Q(email__icontains=wanted))
    return users.prefetch_related(Prefetch("held_roles", roles_in_scope(), to_attr="roles_here"))


def roles_in_scope() -> QuerySet[HeldRole]:
    """Return the roles held in the districts in scope; those for all where all are in it."""
    seen = districts_seen()
    rows = HeldRole.objects.select_related("district").order_by("role", "district__code")
    return rows if seen is None else rows.filter(district__in=seen)


def who_changes() -> QuerySet[AbstractBaseUser]:
    """Return the accounts that hold a role in a district in scope or for all, by name."""
    seen = districts_seen()
    there = Q() if seen is None else Q(district__in=seen) | Q(district__isnull=True)
    roles = HeldRole.objects.filter(there, user=OuterRef("pk"))
    return get_user_model().objects.filter(Exists(roles)).order_by("username")
