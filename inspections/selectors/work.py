"""Work orders: the list with its totals, and what one order is about."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Count, Exists, OuterRef, Q, QuerySet

from inspections.lookups.counts import how_many
from inspections.models import Decision, Flag, OptionStudy, Photo, WorkItem, WorkOrder
from inspections.models.desk_choices import RUNNING, FlagState, WorkState
from inspections.selectors.flags import ENDED, flags, last_seen
from inspections.wording_flags import evidence_words
from inventory.models import Bridge, Element, Installation
from inventory.units import System

MOST_PHOTOS = 6


@dataclass(frozen=True, slots=True)
class Sum:
    """A total of costs, exact to the cent, and how many orders it lacks."""

    total: Decimal
    without: int


@dataclass(frozen=True, slots=True)
class FlagDone:
    """A flag of an order: what showed it, and what was decided with this order."""

    flag: Flag
    evidence: Sequence[str]
    decisions: Sequence[Decision]


@dataclass(frozen=True, slots=True)
class Place:
    """An element of an order: its flags, what stands there after it, and what proves that.

    ``photos`` are the last that crews took there since the work was finished, oldest first.
    """

    element: Element
    flags: Sequence[FlagDone]
    after: Installation | None
    proved_by: object
    photos: Sequence[Photo] = ()


def orders() -> QuerySet[WorkOrder]:
    """Return every order with its place, how many elements, and how many are not proved."""
    return (
        WorkOrder.objects.select_related("bridge__district")
        .annotate(
            element_count=how_many(WorkItem, "order", "element"),
            unproved_count=how_many(WorkItem, "order", "element", proved_by__isnull=True),
        )
        .order_by("-ordered_on", "-pk")
    )


def overdue(today: dt.date) -> Q:
    """Return what an order fulfils that is planned for a day gone by and not finished."""
    return Q(state__in=RUNNING, planned_on__lt=today)


def unproved() -> Q:
    """Return what a finished order fulfils that still waits for a proving measurement."""
    waiting = WorkItem.objects.filter(order=OuterRef("pk"), proved_by__isnull=True)
    return Q(Exists(waiting), state=WorkState.FINISHED)


def years_of_orders() -> list[int]:
    """Return the years in which work was ordered, the newest first."""
    return [day.year for day in WorkOrder.objects.dates("ordered_on", "year", order="DESC")]


def sums(rows: QuerySet[WorkOrder]) -> tuple[Sum, Sum]:
    """Return the totals of estimates and of what was billed.

    Added up here: a database without decimals would add them as binary fractions.
    """
    pairs = list(rows.order_by().values_list("cost_estimate", "cost"))
    estimates = [estimate for estimate, _ in pairs if estimate is not None]
    billed = [cost for _, cost in pairs if cost is not None]
    return (
        Sum(sum(estimates, Decimal(0)), len(pairs) - len(estimates)),
        Sum(sum(billed, Decimal(0)), len(pairs) - len(billed)),
    )


def order_rows() -> QuerySet[WorkOrder]:
    """Return orders with all that one page names."""
    return WorkOrder.objects.select_related(
        "bridge", "study__chosen", "ordered_by", "finished_by", "cancelled_by"
    )


def places_of(order: WorkOrder, system: System) -> list[Place]:
    """Return the elements of an order with their flags, in the order of their stations."""
    items = list(
        order.items.select_related(
            "element__bridge",
            "element__support",
            "element__current_installation",
            "flag__element__bridge",
            "installation_after",
            "proved_by",
        ).order_by("element__station_m", "element__code", "pk")
    )
    seen = last_seen([item.flag for item in items if item.flag])
    decided: dict[int, list[Decision]] = defaultdict(list)
    for decision in order.decisions.select_related("decided_by").order_by("as_of", "pk"):
        decided[decision.flag_id].append(decision)
    photos = _photos_since(order, [item.element_id for item in items])
    of_element: dict[int, list[WorkItem]] = defaultdict(list)
    for item in items:
        of_element[item.element_id].append(item)
    return [
        Place(
            its[0].element,
            [_flag_done(item.flag, seen, decided, system) for item in its if item.flag],
            its[0].installation_after,
            its[0].proved_by,
            photos[its[0].element_id][-MOST_PHOTOS:],
        )
        for its in of_element.values()
    ]


def _photos_since(order: WorkOrder, elements: Sequence[int]) -> dict[int, list[Photo]]:
    """Return what was photographed at some elements since an order was finished, by element."""
    found: dict[int, list[Photo]] = defaultdict(list)
    if order.finished_at is not None:
        since = Photo.objects.filter(element__in=elements, taken_at__gte=order.finished_at)
        for photo in since.order_by("taken_at"):
            found[photo.element_id].append(photo)
    return found


def flags_to_mend(bridge: Bridge) -> QuerySet[Flag]:
    """Return the flags of a bridge that no running order mends yet, the worst first."""
    running = WorkItem.objects.filter(flag=OuterRef("pk"), order__state__in=RUNNING)
    return (
        flags()
        .filter(~Exists(running), element__bridge=bridge)
        .exclude(state__in=ENDED)
        .order_by("-severity", "element__station_m", "element__code", "cause")
    )


def to_mend_beside(asked: Sequence[Flag]) -> list[int]:
    """Return the flags to tick in a new order, by key.

    Where one flag was asked for, the others of its element come along: one piece of work mends
    them all. Several were chosen one by one, and stay as they are.
    """
    if len(asked) != 1:
        return [flag.pk for flag in asked]
    element = asked[0].element
    return list(flags_to_mend(element.bridge).filter(element=element).values_list("pk", flat=True))


def bridges_to_mend(most: int) -> list[Bridge]:
    """Return the bridges that have flags waiting for a decision, those with the most of them.

    Each has its ``flag_count``.  Counted from the flags: most elements have none.
    """
    counts = dict(
        Flag.objects.filter(state__in=(FlagState.OPEN, FlagState.BACK))
        .order_by()
        .values("element__bridge", "element__bridge__code")
        .annotate(count=Count("pk"))
        .order_by("-count", "element__bridge__code")
        .values_list("element__bridge", "count")[:most]
    )
    bridges = Bridge.objects.in_bulk(counts)
    for pk, count in counts.items():
        bridges[pk].flag_count = count
    return [bridges[pk] for pk in counts]


def studies_of(bridge: Bridge) -> QuerySet[OptionStudy]:
    """Return the option studies of a bridge."""
    return OptionStudy.objects.filter(bridge=bridge).select_related("chosen")


def codes_of(elements: Iterable[Element]) -> str:
    """Return the codes of some elements in a row."""
    return ", ".join(dict.fromkeys(each.code for each in elements))


def _flag_done(
    flag: Flag, seen: dict, decided: dict[int, list[Decision]], system: System
) -> FlagDone:
    sighting = seen.get(flag.pk)
    words = evidence_words(sighting.evidence, system) if sighting else []
    return FlagDone(flag, words, decided[flag.pk])
