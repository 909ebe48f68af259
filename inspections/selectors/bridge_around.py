"""What else there is of a bridge: open flags, visits due and planned, events, work, drawings."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.db.models import OuterRef, Subquery

from inspections.models import Decision, Due, EventBridge, Flag, PlannedVisit, WorkItem, WorkOrder
from inspections.models.desk_choices import WorkState
from inspections.selectors.drawings import drawings
from inspections.selectors.flags import flags, open_flags
from inventory.models import Bridge, Drawing

MOST = 8
"""Rows of each list; the rest stands on the page that the list is of."""


@dataclass(frozen=True, slots=True)
class Around:
    """Short lists, what presses first; ``flag_count`` counts the open flags that there are.

    Of drawings there are all, those of single elements too.
    """

    flags: list[Flag]
    flag_count: int
    due: list[Due]
    planned: list[PlannedVisit]
    events: list[EventBridge]
    orders: list[WorkOrder]
    drawings: list[Drawing]


def decided_lately(bridge: Bridge, since: dt.datetime) -> list[Decision]:
    """Return what was decided at a bridge from an hour on, the newest first."""
    rows = Decision.objects.filter(flag__element__bridge=bridge, decided_at__gte=since)
    return list(
        rows.select_related("flag__element").order_by("-decided_at", "flag__element__code", "-pk")
    )


def around(bridge: Bridge) -> Around:
    """Return what else there is of a bridge."""
    open_ones = list(
        flags()
        .filter(open_flags(), element__bridge=bridge)
        .order_by("-severity", "-nearness", "element__code", "cause")
    )
    return Around(
        open_ones[:MOST],
        len(open_ones),
        list(bridge.due.select_related("element").order_by("due_on", "pk")[:MOST]),
        list(
            bridge.planned_visits.filter(inspection=None, cancelled_at=None)
            .select_related("lead")
            .order_by("planned_on", "pk")[:MOST]
        ),
        list(bridge.events.select_related("event").order_by("-event__occurred_at")[:MOST]),
        list(
            WorkOrder.objects.filter(bridge=bridge)
            .exclude(state=WorkState.CANCELLED)
            .order_by("finished_on", "-ordered_on", "-pk")[:MOST]
        ),
        list(drawings().filter(bridge=bridge)),
    )


def flags_with_work(bridge: Bridge) -> list[Flag]:
    """Return the open flags of a bridge, what presses most first, each with its last order.

    ``order_code``, ``order_title``, ``order_state`` and ``order_finished_on`` are None where
    nothing was ordered. It takes one query.
    """
    last = (
        WorkItem.objects.filter(flag=OuterRef("pk"))
        .exclude(order__state=WorkState.CANCELLED)
        .order_by("-order__ordered_on", "-order__pk")
    )
    return list(
        Flag.objects.filter(open_flags(), element__bridge=bridge)
        .select_related("element")
        .annotate(
            **{
                f"order_{name}": Subquery(last.values(f"order__{name}")[:1])
                for name in ("code", "title", "state", "finished_on")
            }
        )
        .order_by("-severity", "-nearness", "element__code", "cause")
    )
