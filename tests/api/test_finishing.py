"""The end of work by the API: the register, the flags and the proof follow as from the page."""

import pytest

from inspections.models import Decision, WorkOrder
from inventory.models import Installation
from tests.api.calls import Caller, fields_of, is_problem
from tests.inspections.work_rows import SET_ANEW, a_unit, an_order, measure, off_joints, position
from tests.make import make_user

pytestmark = pytest.mark.django_db
DONE = {"finished_at": "2024-07-01T15:00:00+00:00", "outcome": "Set back to 70 mm."}
NEW_DEVICE = SET_ANEW | {
    "device_type": "modular", "maker": "Maker N", "setting_gap_mm": "70 mm",
    "opening_min_mm": 10, "opening_max_mm": "15 cm", "opening_axis": "square", "cells": 2,
}  # fmt: skip


@pytest.fixture
def engineer() -> Caller:
    return Caller(make_user("engineer"))


@pytest.fixture
def joints():
    return off_joints(a_unit(), "J-1", "J-2")


def done(*places, **fields) -> dict:
    """Return what finishes an order with values at its elements."""
    return (
        DONE | {"places": [{"element": pk.pk, "values": values} for pk, values in places]} | fields
    )


def at(order) -> str:
    return f"work-orders/{order.pk}/finish/"


def refused(engineer, order, body, code: int = 400) -> list[str]:
    """Return the fields of a refusal that has written nothing."""
    before = list(Installation.objects.order_by("pk").values())
    told = is_problem(engineer.post(at(order), body), code)
    assert list(Installation.objects.order_by("pk").values()) == before
    assert WorkOrder.objects.get(pk=order.pk).state == "ordered"
    return fields_of(told)


def test_a_reset_is_finished_and_the_next_reading_proves_it(engineer, joints):
    flag = position(joints[0])
    order = an_order([flag])
    told = engineer.post(at(order), done((joints[0], SET_ANEW), cost="4200.50"))
    assert told.status_code == 200, told.content
    shown = told.json()
    assert (shown["state"], shown["finished_on"], shown["cost"]) == (
        "finished", "2024-07-01", "4200.50",
    )  # fmt: skip
    device = Installation.objects.get(element=joints[0], removed_on=None)
    assert (device.setting_gap_mm, device.setting_temperature_c) == (70.0, 15.0)
    assert shown["items"][0]["installation_after"] == f"{device.pk}"
    mended = Decision.objects.get(flag=flag, kind="mended")
    assert (mended.order_id, mended.decided_by) == (order.pk, engineer.key.owner)
    visit = measure(joints[0], 70.0)
    (item,) = engineer.get(f"work-orders/{order.pk}/").json()["items"]
    assert item["proved_by"] == visit.pk
    flag.refresh_from_db()
    assert flag.state == "closed"


def test_a_replacement_puts_the_new_device_into_the_register(engineer, joints):
    order = an_order([position(joints[0])], "replacement")
    told = engineer.post(at(order), done((joints[0], NEW_DEVICE)))
    assert told.status_code == 200, told.content
    joints[0].refresh_from_db()
    device = joints[0].current_installation
    assert (device.device_type, device.maker) == ("modular", "Maker N")
    assert (device.joint_design.opening_max_mm, device.joint_design.cells) == (150.0, 2)


def test_a_device_of_the_same_capacities_takes_them_over(engineer, joints):
    order = an_order([position(joints[0])], "replacement")
    values = {"device_type": "strip_seal", "setting_source": "unknown", "same_design": True,
              "setting_gap_axis": "square", "opening_axis": "square"}  # fmt: skip
    assert engineer.post(at(order), done((joints[0], values))).status_code == 200
    joints[0].refresh_from_db()
    assert joints[0].current_installation.joint_design.opening_max_mm == 150.0


def test_numbers_are_in_the_unit_that_their_name_ends_in_whatever_the_answer_is_in(
    engineer, joints
):
    order = an_order([position(joints[0])])
    values = SET_ANEW | {"setting_gap_mm": 69.85, "setting_temperature_c": "59 F"}
    told = engineer.post(f"{at(order)}?units=us", done((joints[0], values)))
    assert told.status_code == 200, told.content
    device = Installation.objects.get(element=joints[0], removed_on=None)
    # 59 degF is 15 degC by definition
    assert device.setting_gap_mm == 69.85
    assert device.setting_temperature_c == pytest.approx(15.0)


@pytest.mark.parametrize(("after", "devices"), [(None, 1), ("before", 1), ("baseline", 2)])
def test_a_repaired_device_goes_on_as_before_or_from_a_new_baseline(
    engineer, joints, after, devices
):
    order = an_order([position(joints[0])], "repair")
    body = done((joints[0], {"after": after})) if after else done()
    assert engineer.post(at(order), body).status_code == 200
    assert Installation.objects.filter(element=joints[0]).count() == devices


def test_every_mistake_at_a_place_is_told_there_at_once(engineer, joints):
    order = an_order([position(each) for each in joints], "replacement")
    wrong = NEW_DEVICE | {"setting_gap_mm": -5, "device_type": None, "crow": 1}
    crossed = NEW_DEVICE | {"opening_min_mm": 200}
    assert set(refused(engineer, order, done((joints[0], wrong), (joints[1], crossed)))) == {
        "places[0].values.crow",
        "places[0].values.device_type",
        "places[0].values.setting_gap_mm",
        "places[1].values.opening_min_mm",
    }


def test_each_element_of_the_order_is_named_once_and_no_other(engineer, joints):
    order = an_order([position(joints[0])])
    body = done((joints[0], SET_ANEW), (joints[1], SET_ANEW), (joints[0], SET_ANEW))
    assert refused(engineer, order, body) == ["places[1].element", "places[2].element"]
    assert refused(engineer, order, done()) == ["places"]
    nested = done((joints[0], SET_ANEW | {"setting_gap_mm": [70]}))
    assert refused(engineer, order, nested) == ["places[0].values.setting_gap_mm"]


def test_what_is_wrong_with_the_order_itself_is_told_at_its_field(engineer, joints):
    order = an_order([position(joints[0])])
    good = done((joints[0], SET_ANEW))
    assert refused(engineer, order, good | {"outcome": " "}) == ["outcome"]
    early = {"finished_at": "2024-06-01T12:00:00+00:00"}
    assert refused(engineer, order, good | early) == ["finished_at"]
    Installation.objects.filter(element=joints[0]).update(installed_on="2024-07-01")
    assert refused(engineer, order, good) == ["finished_at"]


def test_it_is_finished_once_however_often_it_is_sent(engineer, joints):
    order = an_order([position(joints[0])])
    body = done((joints[0], SET_ANEW))
    first = engineer.post(at(order), body, key="finished-once")
    again = engineer.post(at(order), body, key="finished-once")
    assert (again.status_code, again.json()) == (200, first.json())
    assert Installation.objects.filter(element=joints[0]).count() == 2
    is_problem(engineer.post(at(order), body), 409)


@pytest.mark.parametrize("role", ["inspector", "manager"])
def test_who_may_not_finish_it_on_the_page_may_not_here(joints, role):
    order = an_order([position(joints[0])], "repair")
    assert refused(Caller(make_user(role)), order, DONE, 403) == []
