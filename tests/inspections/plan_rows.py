"""Rows that the tests of the plan's pages begin with."""

import datetime as dt

from django.utils import timezone

from inspections.services.plan_visits import plan_visit
from inspections.services.visits import submit
from inventory.models import Bridge
from tests.make import (
    judged_once,
    make_bridge,
    make_element,
    make_inspection,
    make_unit,
    read,
)

DAY = dt.timedelta(days=1)


def today() -> dt.date:
    """Return the day in UTC, where the tests' bridges stand."""
    return timezone.now().date()


@judged_once()
def due_bridge(code: str, days: int, **fields) -> Bridge:
    """Return a bridge whose routine inspection is due in some days, below 0 overdue.

    Its last one was 730 or 731 days before; its in-depth one is far off.
    """
    bridge = make_bridge(code, **fields)
    visited_on = two_years_before(today() + days * DAY)
    set_on = {"installed_on": visited_on - 20 * DAY}
    element = make_element(make_unit(bridge), code="J1", installation=set_on)
    visit = make_inspection(bridge, visited_on)
    read(visit, element, "offset_along", 1.0)
    submit(inspection=visit)
    return bridge


def two_years_before(day: dt.date) -> dt.date:
    """Return the day two years earlier; of 29 February the first of March."""
    try:
        return day.replace(year=day.year - 2)
    except ValueError:
        return dt.date(day.year - 2, 3, 1)


def planned(bridge: Bridge, days: int = 10, **fields):
    """Return a visit planned in some days."""
    values = {"kind": "routine", "planned_on": today() + days * DAY} | fields
    return plan_visit(bridge=bridge, **values)
