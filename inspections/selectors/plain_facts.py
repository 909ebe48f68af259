"""Reads of all that a page in plain words is made from."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from django.db.models import F
from django.utils import timezone

from inspections.models import (
    AgencySettings,
    CriticalFinding,
    Decision,
    Due,
    ElementStatus,
    Flag,
    Sighting,
    Verdict,
    WorkItem,
)
from inspections.models.choices import InspectionState
from inspections.models.desk_choices import FlagCause, WorkState
from inspections.plain.facts import (
    Critical,
    Decided,
    DueVisit,
    Facts,
    Order,
)
from inspections.selectors.flags import ENDED, last_seen, open_flags, queue
from inspections.selectors.plain_causes import causes_of
from inspections.selectors.plain_place import place_of
from inspections.selectors.plain_readings import later_than, measured_of, readings_of
from inspections.selectors.work import RUNNING
from inspections.wording_costs import cost_words
from inventory.models import Bridge, Element

MOST_ORDERS = 3
MOST_DUE = 2


def weightiest_flag(bridge: Bridge) -> Flag | None:
    """Return the open flag of a bridge that comes first: critical ones, then as in the queue."""
    rows = queue(timezone.localdate()).filter(open_flags(), element__bridge=bridge)
    return rows.filter(cause=FlagCause.CRITICAL).first() or rows.first()


def facts_of(bridge: Bridge, flag: Flag | None, today: dt.date) -> Facts:
    """Return what is on record of a flag; of a bridge where none is given.

    Parameters
    ----------
    bridge
        That of the flag, if there is one.
    today
        Day at the bridge, from which visits and work are late.
    """
    element = flag.element if flag else _worst_of(bridge)
    sighting = last_seen([flag]).get(flag.pk) if flag else None
    evidence = tuple(sighting.evidence) if sighting else ()
    rows = _verdicts(element) if element else []
    told = _told_of(rows, sighting)
    readings = readings_of(rows, told)
    later = later_than(rows, told)
    of_response = flag is not None and flag.cause == FlagCause.RESPONSE
    temperatures = [each.temperature_c for each in readings if each.temperature_c is not None]
    causes = causes_of(bridge, element, evidence, today)
    currency = AgencySettings.current().currency
    return Facts(
        bridge=bridge.name or bridge.code,
        cause=flag.cause if flag else "",
        state=flag.state if flag else "",
        severity=flag.severity if flag else _severity_of(element),
        first_seen_on=_day(flag.first_seen_at) if flag else None,
        last_seen_on=_day(flag.last_seen_at) if flag else None,
        times_seen=flag.times_seen if flag else 0,
        until=flag.until if flag else None,
        evidence_changed=bool(flag and flag.evidence_changed),
        place=place_of(element) if element else None,
        measured=measured_of(told, readings, of_response) if told else None,
        later=measured_of(later, readings_of(rows, later)) if later else None,
        evidence=evidence,
        critical=_critical(bridge),
        decided=_decided(flag),
        orders=_orders(flag, element, currency, today),
        due=_due(bridge, element, today),
        visits=len({each.inspection_id for each in readings}),
        coldest_c=min(temperatures, default=None),
        hottest_c=max(temperatures, default=None),
        causes=causes.causes,
        equal=causes.equal,
        proposal=causes.proposal,
        other_flags=_others(bridge, flag),
    )


def _worst_of(bridge: Bridge) -> Element | None:
    rows = Element.objects.filter(bridge=bridge).select_related(
        "bridge", "support", "unit", "unit_ahead", "current_installation"
    )
    worst = (F(name).desc(nulls_last=True) for name in ("status__verdict", "status__greatest_use"))
    return rows.order_by(*worst, "station_m", "code").first()


def _severity_of(element: Element | None) -> int:
    status = ElementStatus.objects.filter(element=element).first() if element else None
    return status.verdict if status else 0


def _verdicts(element: Element) -> list[Verdict]:
    """Return the verdicts of the handed-in readings of an element, oldest first."""
    return list(
        Verdict.objects.filter(element=element)
        .exclude(inspection__state=InspectionState.OPEN)
        .select_related("inspection", "installation")
        .order_by("taken_at", "pk")
    )


def _told_of(rows: Sequence[Verdict], sighting: Sighting | None) -> Verdict | None:
    """Return the reading that a page tells: what showed the flag, else the worst of the last."""
    if not rows:
        return None
    if sighting is not None:
        seen = [each for each in rows if each.inspection_id == sighting.inspection_id]
        for item in sighting.evidence:
            of_item = [each for each in seen if _is_of(each, item)]
            if of_item:
                return of_item[-1]
        rows = seen or rows
    last = [each for each in rows if each.inspection_id == rows[-1].inspection_id]
    compared = [each for each in last if each.expected is not None] or last
    return max(compared, key=lambda each: (each.verdict, abs(each.residual_in_u or 0.0)))


def _is_of(verdict: Verdict, item: dict[str, Any]) -> bool:
    return all(getattr(verdict, name) == item.get(name) for name in ("quantity", "point", "axis"))


def _critical(bridge: Bridge) -> tuple[Critical, ...]:
    """Return the critical findings of a bridge that stand, the last first.

    One at an element stands until its flag is closed, one without until an engineer has seen it.
    """
    ended = set(
        Flag.objects.filter(
            element__bridge=bridge,
            cause=FlagCause.CRITICAL,
            state__in=ENDED,
        ).values_list("element_id", flat=True)
    )
    rows = CriticalFinding.objects.filter(inspection__bridge=bridge).order_by("-found_at")
    standing = [
        each
        for each in rows
        if (each.seen_at is None if each.element_id is None else each.element_id not in ended)
    ]
    return tuple(
        Critical(each.what, each.told, _day(each.found_at), _day(each.seen_at)) for each in standing
    )


def _decided(flag: Flag | None) -> Decided | None:
    row = flag and Decision.objects.filter(flag=flag).order_by("decided_at", "pk").last()
    if row is None:
        return None
    return Decided(row.kind, _day(row.decided_at), row.until, row.interval_months)


def _orders(
    flag: Flag | None, element: Element | None, currency: str, today: dt.date
) -> tuple[Order, ...]:
    """Return the last orders on a flag, those that name none on its place among them."""
    if element is None:
        return ()
    items = (
        WorkItem.objects.filter(element=element)
        .select_related("order", "proved_by")
        .order_by("-order__ordered_on", "-order__pk", "flag")
    )
    found: dict[int, Order] = {}
    for item in items:
        order = item.order
        if flag is not None and item.flag_id not in (None, flag.pk):
            continue
        found.setdefault(
            order.pk,
            Order(
                code=order.code,
                kind=order.kind,
                state=order.state,
                ordered_on=order.ordered_on,
                planned_on=order.planned_on,
                begun_on=order.begun_on,
                finished_on=order.finished_on,
                estimate=_cost(order.cost_estimate, currency),
                billed=_cost(order.cost, currency),
                late=order.state in RUNNING
                and order.planned_on is not None
                and order.planned_on < today,
                proved_on=item.proved_by.date if item.proved_by else None,
            ),
        )
    running = [each for each in found.values() if each.state != WorkState.CANCELLED]
    return tuple((running or list(found.values()))[:MOST_ORDERS])


def _cost(amount: Decimal | None, currency: str) -> str:
    """Return a cost without cents that are nought; empty where none is on record."""
    return "" if amount is None else cost_words(amount, currency).removesuffix(".00")


def _due(bridge: Bridge, element: Element | None, today: dt.date) -> tuple[DueVisit, ...]:
    rows = Due.objects.filter(bridge=bridge).order_by("due_on", "pk")
    ours = [each for each in rows if element is not None and each.element_id == element.pk]
    rest = [each for each in rows if each.element_id is None]
    return tuple(
        DueVisit(each.reason, each.due_on, each.due_on < today)
        for each in [*ours, *rest][:MOST_DUE]
    )


def _others(bridge: Bridge, flag: Flag | None) -> int:
    rows = Flag.objects.filter(open_flags(), element__bridge=bridge)
    return rows.exclude(pk=flag.pk).count() if flag else rows.count()


def _day(at: dt.datetime | None) -> Any:
    return None if at is None else timezone.localtime(at).date()
