"""Fetches of orders, and of what a new one is about, with the permission inside."""

from __future__ import annotations

from dataclasses import dataclass

from django.http import Http404
from django.shortcuts import get_object_or_404

from inspections.desk.options.access import WORK, element_to_mend, flag_to_mend
from inspections.field.access import VIEW
from inspections.models import Flag, WorkOrder
from inspections.rights import User, only_in, require
from inspections.selectors.work import order_rows
from inventory.models import Bridge, Element

MOST_AT_ONCE = 200


@dataclass(frozen=True, slots=True)
class Asked:
    """What a new order is asked for: one bridge, some flags, some elements without one."""

    bridge: Bridge
    flags: list[Flag]
    elements: list[Element]


def order_for(user: User, pk: int, *permissions: str) -> WorkOrder:
    """Return an order to a user who may see it and do what is asked."""
    require(user, VIEW, *permissions)
    order = get_object_or_404(order_rows(), pk=pk)
    only_in(order.bridge.district_id)
    return order


def asked_for(user: User, code: str, flag_pks: list[str], element_pks: list[str]) -> Asked | None:
    """Return what a new order is about; None where nothing was named."""
    require(user, VIEW, WORK)
    if len(flag_pks) + len(element_pks) > MOST_AT_ONCE:
        raise Http404(f"More than {MOST_AT_ONCE} at once.")
    flags = [flag_to_mend(user, pk) for pk in dict.fromkeys(flag_pks)]
    elements = [element_to_mend(user, pk) for pk in dict.fromkeys(element_pks)]
    if code:
        bridge = get_object_or_404(Bridge, code=code)
    elif flags or elements:
        bridge = (flags[0].element if flags else elements[0]).bridge
    else:
        return None
    return Asked(
        bridge,
        [flag for flag in flags if flag.element.bridge_id == bridge.pk],
        [each for each in elements if each.bridge_id == bridge.pk],
    )
