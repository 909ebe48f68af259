"""Write what is due.  Derived: it follows from visits, intervals, flags, events and work."""

from __future__ import annotations

from collections.abc import Callable

from django.db import transaction
from django.db.models import Q

from inspections.models import AgencySettings, Due
from inspections.selectors.plan_due import due_at
from inspections.services.standing_register import StandingRegister
from inventory.models import Bridge
from inventory.scoping import seeing_all

COLUMNS = (
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
def write_due(
    bridge_id: int,
    agency: AgencySettings | None = None,
    register: StandingRegister | None = None,
) -> None:
    """Write what is due at a bridge anew; rows that still say the same are kept.

    To be called whenever a visit is handed in, a flag or a work order changes, an interval is
    set, or an event is recorded.  ``register``: that of the bridge, by whoever has read it and
    holds the bridge's lock.
    """
    _write(bridge_id, agency or AgencySettings.current(), register)


@seeing_all
def write_due_all(progress: Callable[[int], None] = lambda count: None) -> None:
    """Write what is due at every bridge anew, as when the agency's intervals have changed.

    Each bridge is one transaction; ``progress`` is told the bridges done, one by one.
    """
    agency = AgencySettings.current()
    bridges = Bridge.objects.filter(Q(elements__isnull=False) | Q(due__isnull=False))
    for bridge_id in bridges.order_by("pk").values_list("pk", flat=True).distinct():
        _write(bridge_id, agency)
        progress(1)


@transaction.atomic(savepoint=False)
def _write(
    bridge_id: int, agency: AgencySettings, register: StandingRegister | None = None
) -> None:
    if register is None:
        # Two at once would both add what each finds missing.
        locked = Bridge.objects.select_for_update(no_key=True).filter(pk=bridge_id)
        bridge, in_place_since = locked.order_by().first(), None
    else:
        bridge, in_place_since = register.bridge, register.in_place_since()
    if bridge is None:
        return
    wanted = {_says(row): row for row in due_at(bridge, agency, in_place_since)}
    surplus = []
    for row in Due.objects.filter(bridge=bridge).order_by("pk"):
        if wanted.pop(_says(row), None) is None:
            surplus.append(row.pk)
    Due.objects.filter(pk__in=surplus).delete()
    Due.objects.bulk_create(wanted.values())


def _says(row: Due) -> tuple:
    return tuple(getattr(row, name) for name in COLUMNS)
