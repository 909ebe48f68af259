"""What each of two writers does at the same time, called by name where their database is."""

from __future__ import annotations

import datetime as dt


def elements(bridges: int) -> list[int]:
    """Make a bearing on each of some bridges; return their ids."""
    from tests.make import make_bridge, make_element, make_unit

    return [make_element(make_unit(make_bridge())).pk for _ in range(bridges)]


def engineer() -> int:
    """Make an engineer; return the id."""
    from tests.make import make_user

    return make_user("engineer").pk


def order_many(element: int, user: int, count: int) -> list[str]:
    """Order work on an element so many times; every other one is refused after its number."""
    from django.contrib.auth import get_user_model
    from django.db import transaction

    from inspections.services.work import order_work
    from inventory.models import Element

    place = Element.objects.select_related("bridge").get(pk=element)
    by = get_user_model().objects.get(pk=user)
    codes = []
    for number in range(count):
        with transaction.atomic():
            order = order_work(
                bridge=place.bridge,
                elements=[place],
                kind="repair",
                title="Repair",
                ordered_on=dt.date(2024, 6, 1),
                user=by,
            )
            if number % 2:
                transaction.set_rollback(True)
            else:
                codes.append(order.code)
    return codes
