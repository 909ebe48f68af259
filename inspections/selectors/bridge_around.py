"""What else there is of a bridge: open flags, visits due and planned, events, work, drawings."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.db.models import F, FilteredRelation, OuterRef, Q, Subquery

from inspections.models import Due, EventBridge, Flag, PlannedVisit, WorkItem, WorkOrder
from inspections.models.desk_choices import WorkState
from inspections.selectors.drawings import drawings
from inspections.selectors.flags import ENDED, flags, open_flags
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


@dataclass(frozen=True, slots=True)
class Decided:
    """A decision of late with its flag, which may be at its end by now."""

    flag: Flag
    decided_at: dt.datetime
    kind: str
    reason: str
    until: dt.date | None
    signed_as: str


@dataclass(frozen=True, slots=True)
class Matters:
    """The open flags of a bridge, what presses most first, and what was decided of late."""

    flags: list[Flag]
    decided: list[Decided]


_DECIDED = ("decided_at", "kind", "reason", "until", "signed_as")


def matters_of(bridge: Bridge, since: dt.datetime) -> Matters:
    """Return the open flags of a bridge, each with its last order, and the decisions since an hour.

    ``order_code``, ``order_title``, ``order_state`` and ``order_finished_on`` are None where
    nothing was ordered. It takes one query, with a row for each decision.
    """
    last = (
        WorkItem.objects.filter(flag=OuterRef("pk"))
        .exclude(order__state=WorkState.CANCELLED)
        .order_by("-order__ordered_on", "-order__pk")
    )
    rows = (
        Flag.objects.filter(element__bridge=bridge)
        .annotate(
            lately=FilteredRelation("decisions", condition=Q(decisions__decided_at__gte=since)),
            **{f"lately_{name}": F(f"lately__{name}") for name in _DECIDED},
            **{
                f"order_{name}": Subquery(last.values(f"order__{name}")[:1])
                for name in ("code", "title", "state", "finished_on")
            },
        )
        .filter(open_flags() | Q(lately__isnull=False))
        .select_related("element")
        .order_by("-severity", "-nearness", "element__code", "cause", "lately")
    )
    decided = [
        Decided(row, *(getattr(row, f"lately_{name}") for name in _DECIDED))
        for row in rows
        if row.lately_decided_at is not None
    ]
    is_open = {row.pk: row for row in rows if row.state not in ENDED}
    return Matters(
        list(is_open.values()), sorted(decided, key=lambda each: each.decided_at, reverse=True)
    )
