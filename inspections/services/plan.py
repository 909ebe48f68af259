"""Write what is due.  Derived: it follows from visits, intervals, flags, events and work."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from django.db import transaction
from django.db.models import Q

from inspections.lookups.parts import in_parts
from inspections.lookups.plan_due import due_at_each
from inspections.models import AgencySettings, Due
from inspections.services.many_rows import insert
from inspections.services.standing_register import StandingRegister
from inventory.models import Bridge
from inventory.scoping import seeing_all

TOGETHER = 50
"""Bridges whose plan is written in one transaction."""
COLUMNS = (
    "bridge_id",
    "element_id",
    "reason",
    "due_on",
    "last_on",
    "months",
    "flag_id",
    "event_id",
    "order_id",
)


@seeing_all
def write_due(bridge_id: int, agency: AgencySettings | None = None) -> None:
    """Write what is due at a bridge anew; rows that still say the same are kept.

    To be called whenever a visit is handed in, a flag or a work order changes, an interval is
    set, or an event is recorded.
    """
    _write([bridge_id], agency or AgencySettings.current())


@seeing_all
def write_due_at_each(
    bridge_ids: Sequence[int],
    agency: AgencySettings | None = None,
    registers: Sequence[StandingRegister] | None = None,
) -> None:
    """Write what is due at some bridges anew, in one transaction.

    ``registers``: those of the bridges, by whoever has read them and holds the bridges' locks.
    """
    _write(bridge_ids, agency or AgencySettings.current(), registers)


@seeing_all
def write_due_all(progress: Callable[[int], None] = lambda count: None) -> None:
    """Write what is due at every bridge anew, as when the agency's intervals have changed.

    Some bridges are one transaction; ``progress`` is told the bridges done.
    """
    agency = AgencySettings.current()
    bridges = Bridge.objects.filter(Q(elements__isnull=False) | Q(due__isnull=False))
    found = bridges.order_by("pk").values_list("pk", flat=True).distinct()
    for some in in_parts(found, TOGETHER):
        _write(some, agency)
        progress(len(some))


@transaction.atomic(savepoint=False)
def _write(
    bridge_ids: Sequence[int],
    agency: AgencySettings,
    registers: Sequence[StandingRegister] | None = None,
) -> None:
    if registers is None:
        # Two at once would both add what each finds missing.
        locked = Bridge.objects.select_for_update(no_key=True).filter(pk__in=bridge_ids)
        bridges, in_place_since = list(locked.order_by("pk")), None
    else:
        bridges = [each.bridge for each in registers]
        in_place_since = {each.bridge.pk: each.in_place_since() for each in registers}
    due = due_at_each(bridges, agency, in_place_since)
    wanted = {_says(row): row for rows in due.values() for row in rows}
    surplus = []
    for row in Due.objects.filter(bridge__in=bridges).order_by("pk"):
        if wanted.pop(_says(row), None) is None:
            surplus.append(row.pk)
    if surplus:
        Due.objects.filter(pk__in=surplus).delete()
    insert(wanted.values())


def _says(row: Due) -> tuple:
    return tuple(getattr(row, name) for name in COLUMNS)
