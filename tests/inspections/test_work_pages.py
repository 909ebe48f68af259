"""Pages of work: who may what, what they say, what is refused, what they cost."""

import datetime as dt
import re
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inspections.desk.work import views as work_views
from inspections.models import Flag, WorkOrder
from inspections.services.options import add_option, choose_option, open_study
from inspections.services.work import cancel_order, order_work
from inventory.models import District, Installation
from tests.inspections.desk_rows import hand_in, words
from tests.inspections.work_rows import (
    ORDERED_ON,
    a_unit,
    an_order,
    measure,
    off_joints,
    position,
)
from tests.make import make_bridge, make_element, make_unit, make_user

pytestmark = pytest.mark.django_db
ENOUGH = 30
DONE = {"finished_at": "2024-07-01T15:00", "outcome": "Set back to 70 mm.", "cost": ""}


@pytest.fixture
def joints():
    return off_joints(a_unit(), "J-1", "J-2")


@pytest.mark.parametrize(
    ("role", "reads", "changes"),
    [("inspector", 200, 403), ("engineer", 200, 200), ("manager", 200, 403), (None, 403, 403)],
)
def test_each_role_reaches_just_its_pages(as_role, joints, role, reads, changes):
    flag = position(joints[0])
    order = an_order([position(joints[1])])
    client = as_role(role)
    for address in ("/work/", f"/work/{order.pk}/"):
        assert client.get(address).status_code == reads, address
    for address in (
        "/work/new/",
        f"/work/new/?flag={flag.pk}",
        "/work/new/?bridge=B-1",
        f"/work/new/?element={joints[0].pk}",
        *(f"/work/{order.pk}/{step}/" for step in ("change", "begin", "cancel", "finish")),
    ):
        assert client.get(address).status_code == changes, address


def test_an_inspector_cannot_finish_by_sending_the_form(as_role, joints):
    order = an_order([position(joints[0])], "repair")
    response = as_role("inspector").post(f"/work/{order.pk}/finish/", DONE)
    assert response.status_code == 403
    order.refresh_from_db()
    assert order.state == "ordered"


def test_from_flags_to_an_order(as_role, joints):
    client = as_role("engineer")
    flags = [position(each) for each in joints]
    address = f"/work/new/?flag={flags[0].pk}&flag={flags[1].pk}"
    page = words(client.get(address))
    assert (
        "J-1, strip seal joint: away from its expected position (out of range, to decide)" in page
    )
    response = client.post(
        address,
        {
            "kind": "reset",
            "title": "Set both joints anew",
            "flags": [flag.pk for flag in flags],
            "reason": "Both stand still.",
            "by_whom": "own crew",
            "ordered_on": "2024-06-10",
            "planned_on": "2024-08-01",
            "cost_estimate": "4200.50",
        },
    )
    order = WorkOrder.objects.get()
    assert response.url == f"/work/{order.pk}/"
    told = words(client.get(response.url))
    for text in (
        "W-2024-0001",
        "Overdue since 2024-08-01",
        "USD 4 200.50",
        "own crew",
        "What was found",
        "expected 70.0 mm",
        "Both stand still.",
    ):
        assert text in told


def test_an_order_on_one_flag_ticks_the_other_flags_of_its_element_and_no_others(as_role, joints):
    asked = position(joints[0])
    Flag.objects.create(element=joints[0], cause="critical", state="open")
    page = as_role("engineer").get(f"/work/new/?flag={asked.pk}").content.decode()
    ticked = {
        int(tag.split('value="')[1].split('"')[0])
        for tag in re.findall(r'<input[^>]*name="flags"[^>]*>', page)
        if "checked" in tag
    }
    here = {*Flag.objects.filter(element=joints[0]).values_list("pk", flat=True)}
    assert len(here) >= 2
    assert ticked == here


def test_what_was_typed_stays_where_an_order_is_refused(as_role, joints):
    flag = position(joints[0])
    response = as_role("engineer").post(
        f"/work/new/?flag={flag.pk}",
        {"kind": "reset", "title": "Kept title", "flags": [flag.pk], "ordered_on": "10.6.2024",
         "cost_estimate": "4,200"},
    )  # fmt: skip
    told = words(response)
    assert "This is no day" in told
    assert "nothing between thousands" in told
    assert 'value="Kept title"' in response.content.decode()
    assert not WorkOrder.objects.exists()


def test_the_reason_is_asked_for_at_its_field(as_role, joints):
    flag = position(joints[0])
    response = as_role("engineer").post(
        f"/work/new/?flag={flag.pk}",
        {"kind": "reset", "title": "T", "flags": [flag.pk], "ordered_on": "2024-06-10"},
    )
    assert "Say why" in str(response.context["form"].errors["reason"])


def finish_fields(joint, **fields):
    return DONE | {f"e{joint.pk}-{name}": value for name, value in fields.items()}


def test_a_reset_is_finished_in_the_units_of_the_user(as_role, joints):
    order = an_order([position(joints[0])])
    client = as_role("engineer")
    client.post("/preferences/units/", {"units": "us"})
    response = client.post(
        f"/work/{order.pk}/finish/",
        finish_fields(
            joints[0],
            setting_source="measured",
            setting_temperature_c="59",
            setting_gap_mm="2 3/4",
            setting_gap_axis="square",
        ),
    )
    assert response.status_code == 302, words(response)
    device = Installation.objects.get(element=joints[0], removed_on=None)
    # 59 degF is 15 degC, 2.75 in are 69.85 mm: exact by definition of both units
    assert device.setting_temperature_c == pytest.approx(15.0)
    assert device.setting_gap_mm == pytest.approx(69.85)
    measure(joints[0], 70.0)
    told = words(client.get(f"/work/{order.pk}/"))
    assert "read on 2024-07-05" in told
    assert "away from its expected position: closed" in told


def test_a_reset_is_taken_as_measured_and_figures_of_an_unknown_one_are_refused(as_role, joints):
    order = an_order([position(joints[0])])
    client = as_role("engineer")
    form = client.get(f"/work/{order.pk}/finish/").content.decode()
    assert 'value="measured" selected' in form
    refused = client.post(
        f"/work/{order.pk}/finish/",
        finish_fields(
            joints[0],
            setting_source="unknown",
            setting_temperature_c="15",
            setting_gap_mm="70",
            setting_gap_axis="square",
        ),
    )
    assert "Say where the setting is known from, or clear its figures" in words(refused)
    assert Installation.objects.filter(element=joints[0]).count() == 1


def test_a_replacement_is_finished_with_the_fields_of_the_register(as_role, joints):
    order = an_order([position(joints[0])], "replacement")
    client = as_role("engineer")
    fields = finish_fields(
        joints[0],
        device_type="modular",
        maker="Maker N",
        setting_source="measured",
        setting_temperature_c="15",
        setting_gap_mm="70 mm",
        setting_gap_axis="square",
        opening_min_mm="10",
        opening_max_mm="15 cm",
        opening_axis="square",
        cells="2",
    )
    response = client.post(f"/work/{order.pk}/finish/", fields)
    assert response.status_code == 302, words(response)
    joints[0].refresh_from_db()
    design = joints[0].current_installation.joint_design
    assert (design.opening_max_mm, design.cells) == (150.0, 2)


def test_a_device_of_the_same_capacities_takes_them_over(as_role, joints):
    order = an_order([position(joints[0])], "replacement")
    fields = finish_fields(
        joints[0],
        device_type="strip_seal",
        setting_source="unknown",
        setting_gap_axis="square",
        same_design="on",
        opening_axis="square",
    )
    response = as_role("engineer").post(f"/work/{order.pk}/finish/", fields)
    assert response.status_code == 302, words(response)
    joints[0].refresh_from_db()
    design = joints[0].current_installation.joint_design
    assert (design.opening_min_mm, design.opening_max_mm) == (10.0, 150.0)


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"device_type": ""}, "This field is required"),
        ({"setting_gap_mm": "-5"}, "is below 0.0 mm"),
        ({"setting_gap_mm": "70 kN"}, "«kN» is no unit of this quantity"),
        ({"setting_temperature_c": ""}, "A known setting needs its temperature"),
        ({"opening_min_mm": "200"}, "is not below"),
    ],
)
def test_a_mistake_at_one_element_is_told_there_and_nothing_is_written(
    as_role, joints, fields, says
):
    order = an_order([position(joints[0])], "replacement")
    good = {
        "device_type": "strip_seal",
        "setting_source": "measured",
        "setting_temperature_c": "15",
        "setting_gap_mm": "70",
        "setting_gap_axis": "square",
        "opening_min_mm": "10",
        "opening_max_mm": "150",
        "opening_axis": "square",
    }
    response = as_role("engineer").post(
        f"/work/{order.pk}/finish/", finish_fields(joints[0], **(good | fields))
    )
    assert says in words(response)
    assert "Set back to 70 mm." in words(response)
    order.refresh_from_db()
    assert order.state == "ordered"
    assert Installation.objects.filter(element=joints[0]).count() == 1


def test_a_choice_of_a_new_bearing_that_nobody_made_says_not_known(as_role):
    bearing = make_element(make_unit(make_bridge("B-7")), "pot", code="P-1")
    order = order_work(
        bridge=bearing.bridge, kind="replacement", title="New pot bearing",
        user=make_user("engineer"), ordered_on=ORDERED_ON, elements=[bearing],
    )  # fmt: skip
    page = as_role("engineer").get(f"/work/{order.pk}/finish/").content.decode()
    assert '<option value="" selected>Not known</option>' in page
    assert "-----" not in page


def test_a_day_that_the_register_refuses_is_told_at_the_hour_of_finishing(as_role, joints):
    order = an_order([position(joints[0])])
    Installation.objects.filter(element=joints[0]).update(installed_on=dt.date(2024, 7, 1))
    response = as_role("engineer").post(
        f"/work/{order.pk}/finish/",
        finish_fields(joints[0], setting_source="unknown", setting_gap_axis="square"),
    )
    (told,) = response.context["form"].errors["finished_at"]
    assert told.startswith("J-1: 2024-07-01 is not after 2024-07-01")


def test_a_finished_order_is_not_finished_again(as_role, joints):
    order = an_order([position(joints[0])], "repair")
    client = as_role("engineer")
    fields = finish_fields(joints[0], after="baseline")
    assert client.post(f"/work/{order.pk}/finish/", fields).status_code == 302
    response = client.post(f"/work/{order.pk}/finish/", fields)
    assert response.status_code == 409
    assert Installation.objects.filter(element=joints[0]).count() == 2


def test_begin_change_and_cancel_from_the_page(as_role, joints):
    order = an_order([position(joints[0])])
    client = as_role("engineer")
    client.post(f"/work/{order.pk}/begin/", {"begun_on": "2024-06-20"})
    client.post(
        f"/work/{order.pk}/change/",
        {"title": "New title", "planned_on": "2024-09-01", "cost_estimate": "10", "cost": "12.5"},
    )
    refused = client.post(f"/work/{order.pk}/cancel/", {"why": "  "})
    assert "This field is required" in words(refused)
    client.post(f"/work/{order.pk}/cancel/", {"why": "No closure this year."})
    told = words(client.get(f"/work/{order.pk}/"))
    for text in ("New title", "USD 12.50", "Cancelled by", "No closure this year.", "2024-06-20"):
        assert text in told
    assert position(joints[0]).get_state_display() == "To decide"


def test_the_order_shows_the_option_that_was_chosen(as_role, joints):
    flag, engineer = position(joints[0]), make_user("engineer")
    study = open_study(
        bridge=flag.element.bridge, flag=flag, title="Which way", question="?", user=engineer
    )
    option = add_option(study=study, name="New seal")
    choose_option(study=study, option=option, why="It lasts.", user=engineer)
    order = an_order([flag], study=study)
    client = as_role("manager")
    assert "Which way : New seal" in words(client.get(f"/work/{order.pk}/"))
    assert order.code in words(client.get(f"/options/{study.pk}/"))


def an_old_order(bridge, **fields):
    element = bridge.elements.first() or make_element(make_unit(bridge))
    values = {"kind": "repair", "title": "Repair", "ordered_on": ORDERED_ON} | fields
    return order_work(bridge=bridge, elements=[element], user=make_user("engineer"), **values)


def test_totals_are_exact_to_the_cent_and_say_what_they_lack(as_role):
    bridge = make_bridge("B-1")
    # In binary fractions 0.10 + 0.20 is not 0.30, and sixteen digits do not fit.
    for text in ("0.10", "0.20", "99999999999.99", "99999999999.99"):
        an_old_order(bridge, cost_estimate=Decimal(text))
    an_old_order(bridge)
    response = as_role("manager").get("/work/")
    assert response.context["estimated"].total == Decimal("200000000000.28")
    told = words(response)
    assert "USD 200 000 000 000.28 (1 without an estimate)" in told
    assert "(5 without a bill)" in told


def test_the_list_is_narrowed_and_its_totals_with_it(as_role):
    far, _ = District.objects.get_or_create(code="FAR", defaults={"name": "Far"})
    one, other = make_bridge("B-1"), make_bridge("B-2")
    other.district = far
    other.save()
    first = an_old_order(one, title="First", planned_on=dt.date(2024, 6, 30))
    second = an_old_order(
        other, title="Second", kind="reset", ordered_on=dt.date(2025, 3, 1),
        cost_estimate=Decimal("5"),
    )  # fmt: skip
    third = an_old_order(one, title="Third")
    cancel_order(order=third, why="No.", user=make_user("engineer"))
    client = as_role("inspector")

    def listed(query: str) -> list[str]:
        page = client.get(f"/work/?{query}").context["page"]
        return sorted(each.title for each in page.object_list)

    assert listed("") == ["First", "Second", "Third"]
    assert listed("state=cancelled") == ["Third"]
    assert listed("state=overdue") == ["First"]
    assert listed("kind=reset") == ["Second"]
    assert listed("district=FAR") == ["Second"]
    assert listed("bridge=B-1&state=ordered") == ["First"]
    assert listed("year=2025") == ["Second"]
    assert listed(f"q={first.code}") == ["First"]
    assert client.get("/work/?year=2025").context["estimated"].total == Decimal("5")
    assert "Overdue" in words(client.get("/work/?state=overdue"))
    assert "No order fits" in words(client.get("/work/?q=nothing-like-it"))
    assert second.code == "W-2025-0001"


def test_what_is_finished_and_not_proved_is_listed(as_role, joints):
    for joint in joints:
        order = an_order([position(joint)], "repair", title=joint.code)
        as_role("engineer").post(f"/work/{order.pk}/finish/", finish_fields(joint, after="before"))
    measure(joints[0], 70.0)
    response = as_role("manager").get("/work/?state=unproved")
    assert [each.title for each in response.context["page"].object_list] == ["J-2"]
    assert "not proved yet" in words(response)


def test_empty_pages_say_what_belongs_there(as_role):
    client = as_role("engineer")
    assert "No work has been ordered yet" in words(client.get("/work/"))
    assert "No flag waits for a decision" in words(client.get("/work/new/"))
    make_bridge("B-1")
    assert "No flag of B-1 is left to mend" in words(client.get("/work/new/?bridge=B-1"))


def test_what_is_not_there_is_not_found(as_role):
    client = as_role("engineer")
    for address in ("/work/9/", "/work/new/?flag=9", "/work/new/?bridge=NONE", "/work/9/finish/"):
        assert client.get(address).status_code == 404, address
    many = "&".join(f"flag={number}" for number in range(300))
    assert client.get(f"/work/new/?{many}").status_code == 404


def queries(client, address: str) -> int:
    client.get(address)
    with CaptureQueriesContext(connection) as captured:
        assert client.get(address).status_code == 200
    return len(captured)


def test_queries_do_not_grow_with_orders_or_with_their_elements(as_role):
    client, unit = as_role("engineer"), a_unit()
    (first,) = off_joints(unit, "J-00")
    small = an_order([position(first)])
    one = [queries(client, "/work/"), queries(client, f"/work/{small.pk}/")]
    finishing = queries(client, f"/work/{small.pk}/finish/")
    more = off_joints(unit, *(f"J-{number:02}" for number in range(1, 51)), kind="in_depth")
    ordering = queries(client, f"/work/new/?flag={position(more[0]).pk}")
    large = an_order([position(each) for each in more])
    for _ in range(49):
        an_old_order(make_bridge())
    assert [queries(client, "/work/"), queries(client, f"/work/{large.pk}/")] == one
    assert queries(client, f"/work/{large.pk}/finish/") == finishing
    assert max(*one, finishing, ordering) <= ENOUGH


def test_a_cancelled_order_takes_no_bill(as_role, joints):
    order = an_order([position(joints[0])])
    cancel_order(order=order, why="No.", user=make_user("engineer"))
    response = as_role("engineer").post(f"/work/{order.pk}/change/", {"title": "T", "cost": "5"})
    assert "was cancelled: there is nothing left to change" in words(response)
    order.refresh_from_db()
    assert order.cost is None


def test_bridges_with_most_flags_to_decide_come_first_where_work_is_ordered(as_role, monkeypatch):
    monkeypatch.setattr(work_views, "MOST_BRIDGES", 2)
    for code, joints in (("B-2", 1), ("B-3", 2), ("B-1", 1)):
        hand_in(make_unit(make_bridge(code)), {f"J-{number}": 20.0 for number in range(joints)})
    page = as_role("engineer").get("/work/new/")
    assert re.findall(r"<strong>(B-\d)</strong>", page.content.decode()) == ["B-3", "B-1"]
    shown = [(row.flag_count, Flag.objects.filter(element__bridge=row).count())
             for row in page.context["bridges"]]  # fmt: skip
    assert all(told == there for told, there in shown)
