"""The way of a defect through its pages: from flag and study to order, end, proof and photo."""

import datetime as dt
import re
from decimal import Decimal

import pytest
from django.utils import timezone

from inspections.models import Photo
from inspections.services.options import add_option, choose_option, open_study
from inspections.services.work import begin_order, cancel_order
from tests.inspections.desk_rows import words
from tests.inspections.work_rows import (
    FINISHED_AT,
    ORDERED_ON,
    PROVED_ON,
    a_unit,
    an_order,
    anew,
    finish,
    measure,
    off_joints,
    position,
)
from tests.make import make_user
from tests.rows import valid_row

pytestmark = pytest.mark.django_db


@pytest.fixture
def joints():
    return off_joints(a_unit(), "J-1", "J-2")


def test_an_order_begins_with_what_the_study_says_of_the_option_that_was_chosen(as_role, joints):
    flag, engineer = position(joints[0]), make_user("engineer")
    study = open_study(
        bridge=flag.element.bridge, flag=flag, title="Which way", question="?", user=engineer
    )
    option = add_option(study=study, name="New seal", description="Two nights.", cost=Decimal(9000))
    address = f"/work/new/?flag={flag.pk}&study={study.pk}"
    client = as_role("engineer")
    assert "New seal" not in words(client.get(address))
    choose_option(study=study, option=option, why="It lasts longest.", user=engineer)
    form = client.get(address).context["form"]
    begun = {name: form[name].value() for name in ("description", "reason", "cost_estimate")}
    assert begun == {
        "description": "New seal\nTwo nights.",
        "reason": "It lasts longest.",
        "cost_estimate": "9000.00",
    }
    assert form["study"].value() == study.pk


def test_a_flag_leads_to_its_studies_and_orders(as_role, joints):
    flag, engineer = position(joints[0]), make_user("engineer")
    client, at = as_role("engineer"), f"/flags/{position(joints[0]).pk}/"
    study = open_study(
        bridge=flag.element.bridge, flag=flag, title="Which way", question="?", user=engineer
    )
    assert "Which way (not chosen yet)" in words(client.get(at))
    option = add_option(study=study, name="New seal")
    choose_option(study=study, option=option, why="It lasts.", user=engineer)
    response = client.get(at)
    assert "Which way (Chosen: New seal)" in words(response)
    assert f'/work/new/?flag={flag.pk}&amp;study={study.pk}"' in response.content.decode()
    order = an_order([flag])
    response = client.get(at)
    assert f"{order.code} Mend the joint" in words(response)
    # A flag that a running order has is not ordered a second time.
    assert "/work/new/" not in response.content.decode()


def test_the_life_of_a_flag_tells_the_new_setting_between_order_and_end_of_one_day(as_role, joints):
    flag = position(joints[0])
    order = an_order([flag], ordered_on=timezone.localdate())
    now = timezone.now().replace(microsecond=0)
    finish(order, make_user("engineer"), anew(joints[0]), finished_at=now)
    life = words(as_role("engineer").get(f"/flags/{flag.pk}/")).split("What happened so far")[1]
    assert re.findall(r"· (Seen|Work ordered|Device reset|Mended)", life) == [
        "Seen",
        "Work ordered",
        "Device reset",
        "Mended",
    ]


def test_a_flag_that_a_reading_proved_says_why_it_is_closed(as_role, joints):
    flag, client = position(joints[0]), as_role("engineer")
    finish(an_order([flag]), make_user("engineer"), anew(joints[0]))
    at = f"/flags/{flag.pk}/"
    assert "Closed:" not in words(client.get(at))
    measure(joints[0], 70.0)
    response = client.get(at)
    assert "Closed: the reading of 2024-07-05 is back in range and proves what was done." in words(
        response
    )
    assert "/work/new/" not in response.content.decode()


def test_an_order_says_at_each_step_what_comes_next(as_role, joints):
    order = an_order([position(each) for each in joints])
    at = f"/work/{order.pk}/"
    assert "Next:" not in words(as_role("manager").get(at))
    engineer, client = make_user("engineer"), as_role("engineer")
    assert "Next: «Begin» on the day on which the work begins" in words(client.get(at))
    begin_order(order=order, begun_on=ORDERED_ON)
    assert "Next: «Finish» once it is done." in words(client.get(at))
    finish(order, engineer, anew(*joints))
    measure(joints[0], 70.0)
    assert "Next: a visit that reads what is not proved yet." in words(client.get(at))
    measure(joints[1], 70.0, PROVED_ON + dt.timedelta(days=1))
    assert "Next:" not in words(client.get(at))


def test_photos_taken_at_an_element_since_the_end_of_work_stand_on_its_order(as_role, joints):
    order = an_order([position(joints[0])])
    finish(order, make_user("engineer"), anew(joints[0]))
    visit = measure(joints[0], 70.0)
    photos = {
        "Seal in place": (joints[0], FINISHED_AT),
        "Before the work": (joints[0], FINISHED_AT.replace(hour=9)),
        "Of another joint": (joints[1], FINISHED_AT),
    }
    for caption, (element, taken_at) in photos.items():
        photo = valid_row(Photo)
        photo.inspection, photo.element, photo.taken_at = visit, element, taken_at
        photo.caption = caption
        photo.save()
    told = words(as_role("manager").get(f"/work/{order.pk}/"))
    assert [caption for caption in photos if caption in told] == ["Seal in place"]


def test_the_life_of_a_flag_tells_that_its_order_was_cancelled_and_why(as_role, joints):
    flag = position(joints[0])
    order = an_order([flag])
    cancel_order(order=order, why="The wrong joint.", user=make_user("engineer"))
    life = words(as_role("engineer").get(f"/flags/{flag.pk}/")).split("What happened so far")[1]
    ordered, cancelled = life.index("Work ordered"), life.index("Order cancelled")
    assert ordered < cancelled
    assert "The wrong joint." in life[cancelled:]
