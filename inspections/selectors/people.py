"""Accounts that work in the field."""

from __future__ import annotations

from django.contrib.auth import get_user_model
from django.contrib.auth.models import AbstractBaseUser
from django.db.models import Exists, OuterRef, Q, QuerySet

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
