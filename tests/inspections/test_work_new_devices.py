"""Equal devices that one order replaces, and a new device that nobody has figures of."""

import pytest

from inventory.models import Installation, JointDesign
from tests.inspections.desk_rows import words
from tests.inspections.work_rows import a_unit, an_order, off_joints, position
from tests.make import make_element

pytestmark = pytest.mark.django_db
DONE = {"finished_at": "2024-07-01T15:00", "outcome": "Four seals replaced.", "cost": ""}
NEW = {
    "device_type": "modular",
    "maker": "Maker N",
    "lot": "L-7",
    "remarks": "Set in one night.",
    "setting_source": "measured",
    "setting_temperature_c": "15",
    "setting_gap_mm": "70",
    "setting_gap_axis": "square",
    "opening_max_mm": "15 cm",
    "opening_axis": "road",
    "cells": "2",
}
AS_THE_PAGE_BEGINS = {
    "device_type": "strip_seal",
    "setting_source": "unknown",
    "setting_gap_axis": "square",
    "opening_axis": "square",
}


@pytest.fixture
def joints():
    return off_joints(a_unit(), "J-1", "J-2", "J-3", "J-4")


@pytest.fixture
def order(joints):
    return an_order([position(each) for each in joints], "replacement")


def sent(joints, first, *others):
    """Return what the page sends: the fields of each joint."""
    fields = dict(DONE)
    for joint, typed in zip(joints, [first, *others], strict=True):
        for name, value in (AS_THE_PAGE_BEGINS | typed).items():
            fields[f"e{joint.pk}-{name}"] = value
    return fields


def finish(client, order, fields):
    return client.post(f"/work/{order.pk}/finish/", fields)


def now_at(joint):
    joint.refresh_from_db()
    device = Installation.objects.select_related("joint_design").get(element=joint, removed_on=None)
    design = device.joint_design
    return (
        device.device_type, device.maker, device.lot, device.remarks, device.setting_source,
        device.setting_temperature_c, device.setting_gap_mm,
        design.opening_max_mm, design.opening_axis, design.cells,
    )  # fmt: skip


def test_what_is_entered_at_the_first_is_taken_at_the_others(as_role, joints, order):
    same = {"same_as": "all"}
    # What still stands in the fields of a place that takes from another counts for nothing.
    left = same | {"maker": "Left over", "setting_gap_mm": "no number", "cells": "9"}
    answer = finish(as_role("engineer"), order, sent(joints, NEW, same, left, same))
    assert answer.status_code == 302, words(answer)
    want = (
        "modular", "Maker N", "L-7", "Set in one night.", "measured", 15.0, 70.0, 150.0, "road", 2
    )  # fmt: skip
    assert [now_at(each) for each in joints] == [want] * 4


def test_the_same_device_may_be_set_otherwise_at_each_place(as_role, joints, order):
    set_to = [
        {"same_as": "device", "setting_source": "measured", "setting_temperature_c": "14",
         "setting_gap_mm": gap}
        for gap in ("71", "72")
    ]  # fmt: skip
    unset = {"same_as": "device"}
    answer = finish(as_role("engineer"), order, sent(joints, NEW, *set_to, unset))
    assert answer.status_code == 302, words(answer)
    told = [now_at(each) for each in joints]
    assert [each[4:7] for each in told] == [
        ("measured", 15.0, 70.0),
        ("measured", 14.0, 71.0),
        ("measured", 14.0, 72.0),
        ("unknown", None, None),
    ]
    assert [each[:4] + each[7:] for each in told] == [told[0][:4] + told[0][7:]] * 4


def test_the_capacities_of_the_device_before_are_those_of_the_first_place(as_role, joints, order):
    JointDesign.objects.filter(installation__element=joints[1]).update(opening_max_mm=90.0)
    first = {"same_design": "on"}
    answer = finish(
        as_role("engineer"), order, sent(joints, first, {"same_as": "all"}, first, first)
    )
    assert answer.status_code == 302, words(answer)
    assert [now_at(each)[7] for each in joints] == [150.0] * 4


def test_a_mistake_is_told_where_it_was_entered_and_there_alone(as_role, joints, order):
    same = {"same_as": "all"}
    wrong = NEW | {"setting_temperature_c": "", "opening_max_mm": "70 kN"}
    answer = finish(as_role("engineer"), order, sent(joints, wrong, same, same, same))
    told = words(answer)
    assert told.count("A known setting needs its temperature") == 1
    assert told.count("«kN» is no unit of this quantity") == 1
    assert Installation.objects.filter(element__in=joints).count() == 4


def test_only_places_of_one_kind_are_offered_to_each_other(as_role, joints):
    unit = joints[0].unit
    keys = [make_element(unit, "shear_key", code, station_m=50.0) for code in ("K-1", "K-2")]
    order = an_order([position(each) for each in joints[:2]], "replacement", elements=keys)
    page = words(as_role("engineer").get(f"/work/{order.pk}/finish/"))
    assert "Is the same as at K-1, and set in the same way" in page
    assert "Is the same as at J-1, and set in the same way" in page
    # Where a key stands is told among its capacities.
    assert "Is the same as at J-1; its setting is entered here" in page
    assert "Is the same as at K-1; its setting is entered here" not in page


def test_a_device_without_capacities_is_taken_only_after_it_is_said_what_is_lost(as_role, joints):
    order = an_order([position(joints[0])], "replacement")
    client, fields = as_role("engineer"), sent(joints[:1], {"device_type": "finger"})
    assert "Finish without capacities" not in words(client.get(f"/work/{order.pk}/finish/"))
    told = words(finish(client, order, fields))
    assert "There is then no limit for: joint gap." in told
    assert (
        "These checks can then not be made: largest opening; smallest opening; opening between"
        " fingers; overlap of fingers." in told
    )
    order.refresh_from_db()
    assert order.state == "ordered"
    answer = finish(client, order, fields | {f"e{joints[0].pk}-without_design": "on"})
    assert answer.status_code == 302, words(answer)
    joints[0].refresh_from_db()
    assert joints[0].current_installation.device_type == "finger"
    assert not JointDesign.objects.filter(installation=joints[0].current_installation).exists()


def test_the_capacities_of_a_device_that_had_none_are_none(as_role, joints):
    order = an_order([position(joints[0])], "replacement")
    JointDesign.objects.filter(installation__element=joints[0]).update(
        opening_min_mm=None, opening_max_mm=None
    )
    told = words(finish(as_role("engineer"), order, sent(joints[:1], {"same_design": "on"})))
    assert "No capacities are given for the new device." in told


def test_places_that_take_it_over_need_no_word_of_their_own(as_role, joints, order):
    same = {"same_as": "all"}
    client, fields = as_role("engineer"), sent(joints, {}, same, same, same)
    assert words(finish(client, order, fields)).count("No capacities are given") == 1
    answer = finish(client, order, fields | {f"e{joints[0].pk}-without_design": "on"})
    assert answer.status_code == 302, words(answer)
