"""Sessions of browsers, with what their user needs to tell them apart."""

from __future__ import annotations

from importlib import import_module

from django.conf import settings
from django.contrib.sessions.base_session import AbstractBaseSession
from django.db import models


class BrowserSession(AbstractBaseSession):
    """A session as Django keeps it, and whose it is, on which device, from where and when.

    The columns follow from what the session holds; ``accounts.session_store`` writes them.
    """

    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.CASCADE, null=True, related_name="browser_sessions"
    )
    device = models.CharField(max_length=300, blank=True)
    address = models.GenericIPAddressField(null=True)
    began_at = models.DateTimeField(null=True)
    seen_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["-seen_at"]
        verbose_name = "session"

    def __str__(self) -> str:
        return f"{self.user}: {self.device}"

    @classmethod
    def get_session_store_class(cls) -> type:
        """Return the store that reads and writes these rows."""
        return import_module(settings.SESSION_ENGINE).SessionStore
