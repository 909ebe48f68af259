"""Flags to mend, and orders on them, as the tests of work begin with."""

import datetime as dt

from inspections.models import Flag, WorkOrder
from inspections.services.visits import submit
from inspections.services.work import order_work
from inspections.services.work_done import NewSetting, finish_order
from inventory.models import Element, Unit
from tests.inspections.desk_rows import JOINT, LEFT
from tests.make import (
    UTC,
    judged_once,
    make_bridge,
    make_element,
    make_inspection,
    make_unit,
    make_user,
    read,
)

SEEN_ON = dt.date(2024, 6, 1)
ORDERED_ON = dt.date(2024, 6, 10)
FINISHED_AT = dt.datetime(2024, 7, 1, 15, tzinfo=UTC)
PROVED_ON = dt.date(2024, 7, 5)

SET_ANEW = {
    "setting_source": "measured",
    "setting_temperature_c": 15.0,
    "setting_gap_mm": 70.0,
    "setting_gap_axis": "square",
}


def a_unit(code: str = "B-1") -> Unit:
    return make_unit(make_bridge(code))


def off_joints(unit: Unit, *names: str, kind: str = "routine") -> list[Element]:
    """Return joints set to 70 mm that a visit found at 40 mm, at the temperature of setting."""
    visit = make_inspection(unit.bridge, SEEN_ON, kind=kind)
    with judged_once():
        joints = [make_element(unit, "strip_seal", name, **JOINT) for name in names]
        for joint in joints:
            read(visit, joint, "gap", 40.0, 15.0, **LEFT)
    submit(inspection=visit)
    return joints


def position(element: Element) -> Flag:
    """Return the flag that an element stands where it should not."""
    return Flag.objects.select_related("element__bridge").get(element=element, cause="position")


def an_order(flags, kind: str = "reset", **fields) -> WorkOrder:
    """Return an order on flags of one bridge, of the day after they were seen."""
    values = {
        "kind": kind,
        "title": "Mend the joint",
        "reason": "It does not move.",
        "ordered_on": ORDERED_ON,
        "user": make_user("engineer"),
    } | fields
    return order_work(bridge=flags[0].element.bridge, flags=flags, **values)


def measure(element: Element, gap_mm: float, day: dt.date = PROVED_ON, **fields):
    """Hand in a visit that read the gap at 15 degC; return the visit."""
    visit = make_inspection(element.bridge, day, **{"kind": "follow_up"} | fields)
    read(visit, element, "gap", gap_mm, 15.0, **LEFT)
    return submit(inspection=visit)


def finish(order, engineer, places=None, **fields):
    """Finish an order at three in the afternoon."""
    values = {"finished_at": FINISHED_AT, "outcome": "Set back to 70 mm."} | fields
    return finish_order(order=order, user=engineer, places=places, **values)


def anew(*joints):
    """Return that joints were set to 70 mm at 15 degC."""
    return {each.pk: NewSetting(SET_ANEW) for each in joints}
