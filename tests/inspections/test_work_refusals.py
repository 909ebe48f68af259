"""What a work order refuses: it says why, and leaves nothing half written."""

import datetime as dt
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from inspections.models import Decision, Due, Flag, WorkItem, WorkOrder
from inspections.services import decisions
from inspections.services.options import open_study
from inspections.services.work import begin_order, cancel_order, order_work
from inspections.services.work_done import NewSetting
from inventory.models import Installation
from tests.inspections.work_rows import (
    ORDERED_ON,
    SEEN_ON,
    a_unit,
    an_order,
    anew,
    finish,
    off_joints,
    position,
)
from tests.make import make_bridge, make_element, make_unit, make_user

pytestmark = pytest.mark.django_db


@pytest.fixture
def engineer():
    return make_user("engineer")


@pytest.fixture
def joints():
    return off_joints(a_unit(), "J-1", "J-2")


def everything() -> list:
    """Return what a refused step must leave as it was."""
    return [
        *WorkOrder.objects.order_by("pk").values(),
        *WorkItem.objects.order_by("pk").values(),
        *Installation.objects.order_by("pk").values(),
        *Decision.objects.order_by("pk").values("pk", "kind"),
        *Flag.objects.order_by("pk").values("pk", "state"),
        *Due.objects.order_by("element", "reason").values("element", "reason", "due_on"),
    ]


REFUSED_ORDERS = {
    "nothing_to_mend": ({"flags": []}, "flags", "No flag is chosen"),
    "no_reason": ({"reason": " "}, "reason", "Say why"),
    "no_title": ({"title": " "}, "title", "cannot be blank"),
    "tomorrow": ({"ordered_on": dt.date(2100, 1, 1)}, "ordered_on", "in the future"),
    "planned_before": ({"planned_on": SEEN_ON}, "planned_on", "before 2024-06-10"),
    "cost_below_zero": ({"cost_estimate": Decimal("-1")}, "cost_estimate", "0 or more"),
    "unknown_kind": ({"kind": "magic"}, "kind", "not a valid choice"),
}


@pytest.mark.parametrize("name", REFUSED_ORDERS)
def test_a_refused_order_says_why_and_writes_nothing(joints, engineer, name):
    fields, field, says = REFUSED_ORDERS[name]
    before = everything()
    bridge = joints[0].bridge
    values = {
        "bridge": bridge,
        "flags": [position(joints[0])],
        "kind": "reset",
        "title": "Mend the joint",
        "reason": "It does not move.",
        "ordered_on": ORDERED_ON,
        "user": engineer,
    } | fields
    with pytest.raises(ValidationError) as refused:
        order_work(**values)
    assert says in " ".join(refused.value.message_dict[field])
    assert everything() == before


def test_a_flag_is_in_one_running_order_at_most(joints, engineer):
    flag = position(joints[0])
    an_order([flag])
    before = everything()
    with pytest.raises(ValidationError, match="is in W-2024-0001 already"):
        an_order([position(joints[1]), flag])
    assert everything() == before


def test_flags_of_two_bridges_are_two_orders(joints, engineer):
    (other,) = off_joints(a_unit("B-2"), "J-9")
    before = everything()
    with pytest.raises(ValidationError, match="One order is for one bridge"):
        an_order([position(joints[0]), position(other)])
    assert everything() == before


def test_a_closed_flag_and_a_study_of_another_bridge_are_refused(joints, engineer):
    flag = position(joints[0])
    far = make_element(make_unit(make_bridge("B-3")))
    study = open_study(bridge=far.bridge, element=far, title="T", question="?", user=engineer)
    with pytest.raises(ValidationError, match="about another bridge"):
        an_order([flag], study=study)
    decisions.decide(flag=flag, kind="close", reason="A misreading.", user=engineer)
    with pytest.raises(ValidationError, match="nothing to mend there"):
        an_order([flag])


REFUSED_ENDS = {
    "no_word": ({"outcome": " "}, "outcome", "Say what was done"),
    "tomorrow": ({"finished_at": dt.datetime(2100, 1, 1, tzinfo=dt.UTC)}, "finished_at", "future"),
    "before_order": (
        {"finished_at": dt.datetime(2024, 6, 9, 8, tzinfo=dt.UTC)},
        "finished_at",
        "before the work was ordered",
    ),
    "cost_below_zero": ({"cost": Decimal("-0.01")}, "cost", "0 or more"),
}


@pytest.mark.parametrize("name", REFUSED_ENDS)
def test_a_refused_end_says_why_and_leaves_nothing_half_written(joints, engineer, name):
    fields, field, says = REFUSED_ENDS[name]
    order = an_order([position(each) for each in joints])
    before = everything()
    with pytest.raises(ValidationError) as refused:
        finish(order, engineer, anew(*joints), **fields)
    assert says in " ".join(refused.value.message_dict[field])
    assert everything() == before


def test_an_end_on_the_day_of_the_order_but_before_its_hour_names_that_hour(joints, engineer):
    order = an_order([position(joints[0])])
    with pytest.raises(ValidationError) as refused:
        finish(
            order, engineer, anew(joints[0]), finished_at=dt.datetime(2024, 6, 10, 8, tzinfo=dt.UTC)
        )
    # Entered for a day gone by, an order holds from the end of that day.
    assert "ordered, on 2024-06-10 23:59. Give a later" in refused.value.messages[0]


def test_what_the_register_refuses_at_one_element_leaves_the_other_as_it_was(joints, engineer):
    order = an_order([position(each) for each in joints])
    before = everything()
    places = anew(joints[0]) | {joints[1].pk: NewSetting({"setting_source": "measured"})}
    with pytest.raises(ValidationError) as refused:
        finish(order, engineer, places)
    assert "setting_temperature_c" in refused.value.message_dict
    assert refused.value.element == joints[1]
    assert everything() == before


def test_a_replacement_needs_its_device_and_a_reset_its_setting(joints, engineer):
    replacement = an_order([position(joints[0])], "replacement")
    reset = an_order([position(joints[1])], "reset")
    before = everything()
    with pytest.raises(ValidationError, match="give the new device"):
        finish(replacement, engineer, anew(joints[0]))
    with pytest.raises(ValidationError, match="give the new setting"):
        finish(reset, engineer)
    assert everything() == before


def test_an_order_that_has_ended_takes_no_further_step(joints, engineer):
    done = finish(an_order([position(joints[0])]), engineer, anew(joints[0]))
    gone = cancel_order(order=an_order([position(joints[1])]), why="No.", user=engineer)
    before = everything()
    for order in (done, gone):
        with pytest.raises(ValidationError, match="Load the page again"):
            begin_order(order=order, begun_on=ORDERED_ON)
        with pytest.raises(ValidationError, match="Load the page again"):
            cancel_order(order=order, why="No.", user=engineer)
        with pytest.raises(ValidationError, match="Load the page again"):
            finish(order, engineer)
    assert everything() == before


def test_work_begins_on_a_day_from_its_order_to_this_one(joints, engineer):
    order = an_order([position(joints[0])])
    for day, says in ((SEEN_ON, "is before"), (dt.date(2100, 1, 1), "in the future")):
        with pytest.raises(ValidationError, match=says):
            begin_order(order=order, begun_on=day)
    begun = begin_order(order=order, begun_on=dt.date(2024, 7, 3))
    assert begun.get_state_display() == "Begun"
    with pytest.raises(ValidationError, match="before the work began"):
        finish(begun, engineer, anew(joints[0]))
