"""The saved versions of a page in plain words."""

from __future__ import annotations

import datetime as dt

from django.db.models import Max, QuerySet

from inspections.models import Flag, PlainPage
from inventory.models import Bridge


def pages_of(bridge: Bridge, flag: Flag | None, language: str) -> QuerySet[PlainPage]:
    """Return every version of a page in a language, the newest first."""
    rows = PlainPage.objects.filter(bridge=bridge, flag=flag, language=language)
    return rows.select_related("saved_by")


def last_page(bridge: Bridge, flag: Flag | None, language: str) -> PlainPage | None:
    """Return the version in a language that counts."""
    return pages_of(bridge, flag, language).first()


def saved_in(bridge: Bridge, flag: Flag | None) -> dict[str, dt.datetime]:
    """Return when a page was saved last, by the language it was saved in; the newest first."""
    rows = PlainPage.objects.filter(bridge=bridge, flag=flag).values("language")
    last = rows.annotate(last=Max("saved_at")).order_by("-last")
    return dict(last.values_list("language", "last"))
