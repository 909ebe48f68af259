"""Forms of accounts; Django's own where it has them."""

from __future__ import annotations

from django.contrib.auth import forms as auth


class ChangedPasswordForm(auth.PasswordChangeForm):
    """The old password and the new one, twice."""

    def __init__(self, *args, **kwargs) -> None:
        super().__init__(*args, **{"label_suffix": ""} | kwargs)
