"""The history of accounts: opened, closed, another name or address, a new password."""

from __future__ import annotations

from typing import Any

from django.contrib.auth import get_user_model
from django.contrib.auth.models import AbstractBaseUser
from simple_history import register
from simple_history.models import HistoricalRecords

SECRET_OR_FLEETING = ("password", "last_login")
"""Never kept: the first is nobody's to read, the second changes with every sign-in."""


def _has_new_password(user: AbstractBaseUser) -> bool:
    # Django drops what was typed right after the row is saved; a stronger digest of the same
    # password, as signing in may write it, leaves nothing here.
    return getattr(user, "_password", None) is not None


class AccountHistory(HistoricalRecords):
    """Keeps what people change of an account; a sign-in is no change."""

    def post_save(
        self, instance: AbstractBaseUser, created: bool, using: str | None = None, **kwargs: Any
    ) -> None:
        """Keep the state, unless nothing was written but what is never kept."""
        written = kwargs.get("update_fields")
        fleeting = written is not None and {*written} <= {*SECRET_OR_FLEETING}
        if not fleeting or _has_new_password(instance):
            super().post_save(instance, created, using, **kwargs)

    def get_change_reason_for_object(
        self, instance: AbstractBaseUser, history_type: str, using: str | None
    ) -> str | None:
        """Tell a new password, which leaves no other trace."""
        given = super().get_change_reason_for_object(instance, history_type, using)
        return given or ("New password" if _has_new_password(instance) else None)


register(
    get_user_model(),
    app="inspections",
    records_class=AccountHistory,
    excluded_fields=SECRET_OR_FLEETING,
)
