"""Reads of national condition ratings."""

from __future__ import annotations

from inspections.models import ComponentRating, Inspection
from inspections.models.choices import InspectionState
from inventory.models import Bridge


def ratings_on(inspection: Inspection) -> list[ComponentRating]:
    """Return the rating that counts of each item on an inspection."""
    rows = inspection.ratings.select_related("created_by").order_by("item", "pk")
    return list({row.item: row for row in rows}.values())


def ratings_of(bridge: Bridge) -> list[ComponentRating]:
    """Return the last rating of each item that was handed in, with its inspection."""
    rows = (
        ComponentRating.objects.filter(inspection__bridge=bridge)
        .exclude(inspection__state=InspectionState.OPEN)
        .select_related("inspection")
        .order_by("item", "inspection__date", "pk")
    )
    return list({row.item: row for row in rows}.values())
