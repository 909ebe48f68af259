"""Work from its order to its proof: what is written, what is refused, what follows."""

import datetime as dt
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from inspections.models import Decision, Due, Flag, WorkOrder
from inspections.services import decisions
from inspections.services.visits import return_to_team
from inspections.services.work import cancel_order, change_order, order_work
from inspections.services.work_done import NewDevice, new_baseline
from inventory.models import Installation
from tests.inspections.desk_rows import words
from tests.inspections.work_rows import (
    FINISHED_AT,
    ORDERED_ON,
    PROVED_ON,
    SET_ANEW,
    a_unit,
    an_order,
    anew,
    finish,
    measure,
    off_joints,
    position,
)
from tests.make import make_element, make_user

pytestmark = pytest.mark.django_db
FIGURES = {"opening_min_mm": 10.0, "opening_max_mm": 150.0}


@pytest.fixture
def engineer():
    return make_user("engineer")


@pytest.fixture
def joints():
    return off_joints(a_unit(), "J-1", "J-2")


def test_an_order_on_several_flags_is_numbered_and_decided_on_each(joints):
    flags = [position(each) for each in joints]
    first = an_order(flags, cost_estimate=Decimal("0.10"))
    assert first.code == "W-2024-0001"
    for flag in flags:
        flag.refresh_from_db()
        decision = flag.decisions.get()
        assert flag.get_state_display() == "Work ordered"
        assert (decision.kind, decision.order, decision.reason) == (
            "work_ordered",
            first,
            "It does not move.",
        )
    assert len({each.together for each in Decision.objects.all()}) == 1


def beside(flag):
    """Return another flag of the same element."""
    return Flag.objects.create(
        element=flag.element,
        cause="response",
        severity=flag.severity,
        first_seen_at=flag.first_seen_at,
        last_seen_at=flag.last_seen_at,
        opened_at=flag.opened_at,
    )


def work_told(client, element) -> str:
    """Return what the page of an element says of the work there."""
    page = words(client.get(f"/elements/{element.pk}/"))
    return page[page.index("Work: ") :].split(" . ")[0]


def test_an_order_for_two_flags_of_one_element_is_named_once_on_its_page(joints, as_role):
    flag = position(joints[0])
    order = an_order([flag, beside(flag)])
    assert order.items.count() == 2
    told = work_told(as_role("manager"), joints[0])
    assert told.count(f"{order.code} {order.title}") == 1


def test_the_page_of_an_element_tells_what_the_proof_says_of_each_flag(joints, as_role, engineer):
    flag = position(joints[0])
    other = beside(flag)
    finish(an_order([flag, other]), engineer, anew(joints[0]))
    measure(joints[0], 40.0)
    states = {each.cause: each.get_state_display().lower() for each in Flag.objects.filter(
        pk__in=[flag.pk, other.pk])}  # fmt: skip
    assert states["position"] == "to decide"
    assert states["response"] != "to decide"
    assert (
        "finished, measured after it on 2024-07-05; away from its expected position: to decide;"
        f" does not follow the temperature: {states['response']})"
    ) in work_told(as_role("manager"), joints[0])


def test_numbers_follow_each_other_within_a_year_and_pass_ten_thousand(joints):
    bridge = joints[0].bridge
    WorkOrder.objects.create(
        bridge=bridge, code="W-2024-9999", kind="repair", title="Old", ordered_on=ORDERED_ON
    )
    assert an_order([position(joints[0])]).code == "W-2024-10000"
    assert an_order([position(joints[1])]).code == "W-2024-10001"
    other = off_joints(a_unit("B-2"), "J-1")[0]
    assert an_order([position(other)], ordered_on=dt.date(2025, 1, 2)).code == "W-2025-0001"


def test_a_refused_order_spends_no_number(joints, engineer):
    with pytest.raises(ValidationError):
        an_order([position(joints[0])], reason="")
    assert an_order([position(joints[0])]).code == "W-2024-0001"


def test_resetting_starts_a_new_setting_and_waits_for_its_proof(joints, engineer):
    flag = position(joints[0])
    order = finish(an_order([flag]), engineer, anew(joints[0]))
    device = Installation.objects.get(element=joints[0], removed_on=None)
    assert (device.installed_on, device.setting_gap_mm) == (FINISHED_AT.date(), 70.0)
    assert device.joint_design.opening_max_mm == 150.0
    assert order.items.get().installation_after == device
    flag.refresh_from_db()
    assert flag.get_state_display() == "Mended, not yet proved"
    mended = flag.decisions.get(kind="mended")
    assert (mended.as_of, mended.order) == (FINISHED_AT, order)
    due = Due.objects.get(order=order)
    # Agency's default: within 60 days.
    assert (due.reason, due.due_on) == ("proving", dt.date(2024, 8, 30))


def test_a_proving_reading_in_range_closes_the_flag(joints, engineer):
    flag = position(joints[0])
    order = finish(an_order([flag]), engineer, anew(joints[0]))
    visit = measure(joints[0], 70.0)
    flag.refresh_from_db()
    assert flag.get_state_display() == "Closed"
    assert order.items.get().proved_by == visit
    assert not Due.objects.filter(order=order).exists()


def test_a_proving_reading_out_of_range_opens_the_flag_again(joints, engineer):
    flag = position(joints[0])
    order = finish(an_order([flag]), engineer, anew(joints[0]))
    visit = measure(joints[0], 40.0)
    flag.refresh_from_db()
    assert (flag.get_state_display(), flag.times_reopened) == ("To decide", 1)
    assert order.items.get().proved_by == visit


def test_replacing_puts_the_new_device_there_with_its_figures(joints, engineer):
    flag = position(joints[0])
    order = an_order([flag], "replacement")
    device = Installation(device_type="modular", maker="Maker N", lot="7", **SET_ANEW)
    finish(order, engineer, {joints[0].pk: NewDevice(device, FIGURES | {"cells": 2})})
    joints[0].refresh_from_db()
    now = joints[0].current_installation
    assert (now.device_type, now.maker, now.installed_on) == (
        "modular",
        "Maker N",
        FINISHED_AT.date(),
    )
    assert now.joint_design.cells == 2
    assert order.items.get().installation_after == now
    flag.refresh_from_db()
    assert flag.get_state_display() == "Mended, not yet proved"
    measure(joints[0], 70.0)
    flag.refresh_from_db()
    assert flag.get_state_display() == "Closed"


def test_a_repaired_device_goes_on_as_before_where_no_new_baseline_is_asked_for(joints, engineer):
    flag = position(joints[0])
    order = finish(an_order([flag], "repair"), engineer)
    assert Installation.objects.filter(element=joints[0]).count() == 1
    assert order.items.get().installation_after is None
    flag.refresh_from_db()
    assert flag.get_state_display() == "Mended, not yet proved"
    measure(joints[0], 70.0)
    flag.refresh_from_db()
    assert flag.get_state_display() == "Closed"


def test_a_new_baseline_makes_the_first_accepted_reading_what_later_ones_are_held_to(
    joints, engineer
):
    order = finish(
        an_order([position(joints[0])], "repair"),
        engineer,
        {joints[0].pk: new_baseline(joints[0])},
    )
    device = order.items.get().installation_after
    assert device.get_setting_source_display().startswith("Not known")
    assert (device.setting_gap_mm, device.joint_design.opening_max_mm) == (None, 150.0)


def test_a_new_baseline_of_a_restraint_forgets_its_gaps_and_keeps_its_capacity(engineer):
    unit = a_unit()
    key = make_element(
        unit, "shear_key", "K-1", design={"gap_left_mm": 20.0, "horizontal_kn": 900.0}
    )
    order = an_order_without_a_flag(key, engineer)
    finish(order, engineer, {key.pk: new_baseline(key)})
    key.refresh_from_db()
    design = key.current_installation.restraint_design
    assert (design.gap_left_mm, design.horizontal_kn) == (None, 900.0)


def an_order_without_a_flag(element, engineer, kind="repair"):
    return order_work(
        bridge=element.bridge,
        elements=[element],
        kind=kind,
        title="As a precaution",
        ordered_on=ORDERED_ON,
        user=engineer,
    )


def test_work_that_is_entered_late_is_proved_by_a_visit_that_came_before(joints, engineer):
    flag = position(joints[0])
    order = an_order([flag])
    visit = measure(joints[0], 70.0)
    finish(order, engineer, anew(joints[0]))
    flag.refresh_from_db()
    assert order.items.get().proved_by == visit
    assert flag.get_state_display() == "Closed"


def test_a_reading_before_the_hour_of_finishing_proves_nothing(joints, engineer):
    order = an_order([position(joints[0])], "repair")
    # Readings are taken at 8 in the morning; the work was finished at 15.
    measure(joints[0], 70.0, FINISHED_AT.date())
    finish(order, engineer)
    assert order.items.get().proved_by is None
    later = measure(joints[0], 70.0)
    assert order.items.get().proved_by == later


def test_a_visit_that_is_returned_to_its_team_proves_nothing_any_more(joints, engineer):
    order = finish(an_order([position(joints[0])]), engineer, anew(joints[0]))
    visit = measure(joints[0], 70.0)
    return_to_team(inspection=visit, user=engineer, note="Which end?")
    assert order.items.get().proved_by is None
    assert position(joints[0]).get_state_display() == "Mended, not yet proved"


def test_the_visit_that_comes_first_in_time_is_the_proof_whatever_arrives_first(joints, engineer):
    order = finish(an_order([position(joints[0])]), engineer, anew(joints[0]))
    measure(joints[0], 70.0, dt.date(2024, 9, 1))
    earlier = measure(joints[0], 70.0, PROVED_ON, kind="in_depth")
    assert order.items.get().proved_by == earlier


def test_cancelling_sends_the_flags_back_to_be_decided_and_keeps_the_decision(joints, engineer):
    flag = position(joints[0])
    order = an_order([flag])
    cancel_order(order=order, why="No closure this year.", user=engineer)
    flag.refresh_from_db()
    order.refresh_from_db()
    assert flag.get_state_display() == "To decide"
    assert flag.decisions.get().kind == "work_ordered"
    assert (order.cancelled_why, order.cancelled_by) == ("No closure this year.", engineer)
    assert an_order([flag]).code == "W-2024-0002"
    flag.refresh_from_db()
    assert flag.get_state_display() == "Work ordered"


def test_cancelling_leaves_a_flag_on_which_something_else_was_decided_since(joints, engineer):
    flag = position(joints[0])
    order = an_order([flag])
    decisions.decide(
        flag=flag,
        kind="watch",
        reason="It waits.",
        until=timezone.localdate() + dt.timedelta(days=90),
        user=engineer,
    )
    cancel_order(order=order, why="No closure.", user=engineer)
    flag.refresh_from_db()
    assert flag.get_state_display() == "Watched"


def test_after_cancelling_a_reading_back_in_range_still_asks_for_a_word(joints, engineer):
    order = an_order([position(joints[0])])
    measure(joints[0], 70.0)
    cancel_order(order=order, why="It moves again.", user=engineer)
    assert position(joints[0]).get_state_display() == "Back in range, to be confirmed"
    measure(joints[0], 40.0, timezone.localdate() - dt.timedelta(days=1), kind="in_depth")
    assert position(joints[0]).get_state_display() == "To decide"


def test_a_flag_that_an_engineer_closed_meanwhile_stays_closed(joints, engineer):
    flags = [position(each) for each in joints]
    order = an_order(flags)
    decisions.decide(flag=flags[0], kind="close", reason="A misreading.", user=engineer)
    finish(order, engineer, anew(*joints))
    for flag in flags:
        flag.refresh_from_db()
    assert [flag.get_state_display() for flag in flags] == ["Closed", "Mended, not yet proved"]


def test_the_bill_may_come_after_the_end_and_earlier_figures_stay(joints, engineer):
    order = an_order([position(joints[0])], cost_estimate=Decimal("1000.10"))
    finish(order, engineer, anew(joints[0]))
    change_order(
        order=order,
        title="Reset",
        description="",
        by_whom="own crew",
        planned_on=None,
        cost_estimate=Decimal("1000.10"),
        cost=Decimal("1234.56"),
    )
    order.refresh_from_db()
    assert (order.cost, order.cost_estimate) == (Decimal("1234.56"), Decimal("1000.10"))
    assert [each.cost for each in order.history.all()[:2]] == [Decimal("1234.56"), None]


def test_work_can_be_ordered_and_finished_within_the_same_minute(joints, engineer):
    flag = position(joints[0])
    order = an_order([flag], ordered_on=timezone.localdate())
    minute = timezone.now().replace(second=0, microsecond=0)
    finish(order, engineer, anew(joints[0]), finished_at=minute)
    flag.refresh_from_db()
    assert flag.get_state_display() == "Mended, not yet proved"
