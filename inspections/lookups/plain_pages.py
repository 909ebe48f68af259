"""The saved versions of a page in plain words."""

from __future__ import annotations

from django.db.models import QuerySet

from inspections.models import Flag, PlainPage
from inventory.models import Bridge


def pages_of(bridge: Bridge, flag: Flag | None) -> QuerySet[PlainPage]:
    """Return every version of a page, the newest first."""
    return PlainPage.objects.filter(bridge=bridge, flag=flag).select_related("saved_by")


def last_page(bridge: Bridge, flag: Flag | None) -> PlainPage | None:
    """Return the version that counts."""
    return pages_of(bridge, flag).first()
