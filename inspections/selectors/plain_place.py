"""Where an element is, as somebody who passes by would find it."""

from __future__ import annotations

from inspections.plain.facts import Place
from inventory.models import Element
from inventory.models.choices import ElementKind

BEYOND_M = 1.0
"""A deck that goes on for less than this ends there."""


def place_of(element: Element) -> Place:
    """Return where an element is, as a passer-by would find it."""
    supports = list(element.bridge.supports.order_by("station_m").values_list("pk", flat=True))
    beside = Element.objects.filter(
        support=element.support_id,
        kind=element.kind,
        unit=element.unit_id,
        unit_ahead=element.unit_ahead_id,
    ).count()
    ties = element.kind == ElementKind.RESTRAINT and element.unit_ahead_id is not None
    if element.kind == ElementKind.JOINT or ties:
        sides = (element.unit_id is not None, element.unit_ahead_id is not None)
    else:
        unit = element.unit
        sides = (
            unit.start_station_m < element.station_m - BEYOND_M,
            unit.end_station_m > element.station_m + BEYOND_M,
        )
    return Place(
        element.code,
        element.kind,
        element.current_installation.device_type,
        element.support.kind,
        supports.index(element.support_id) + 1,
        len(supports),
        beside,
        sides,
        ties,
    )
