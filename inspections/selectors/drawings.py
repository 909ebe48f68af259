"""Drawings of bridges and elements."""

from __future__ import annotations

from django.db.models import Exists, OuterRef, QuerySet

from inventory.models import Drawing


def drawings() -> QuerySet[Drawing]:
    """Return drawings by bridge and sheet, the newest first.

    ``is_earlier`` where a later one of the same sheet stands.
    """
    later = Drawing.objects.filter(
        bridge=OuterRef("bridge"),
        number=OuterRef("number"),
        withdrawn_at=None,
        pk__gt=OuterRef("pk"),
    )
    return (
        Drawing.objects.annotate(is_earlier=Exists(later))
        .select_related("bridge", "element")
        .order_by("bridge__code", "number", "-pk")
    )
