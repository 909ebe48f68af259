"""Accounts that work in the field."""

from __future__ import annotations

from django.contrib.auth import get_user_model
from django.contrib.auth.models import AbstractBaseUser
from django.db.models import QuerySet


def who_inspects() -> QuerySet[AbstractBaseUser]:
    """Return the accounts that may enter readings, by name."""
    return (
        get_user_model()
        .objects.filter(is_active=True, groups__permissions__codename="add_reading")
        .distinct()
        .order_by("username")
    )
