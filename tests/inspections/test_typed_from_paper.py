"""A paper form that is typed in at the desk some days after the visit."""

import datetime as dt

import pytest
from django.urls import reverse

from inspections.models import Reading, TemperatureReading, Verdict
from tests.inspections.field_pages import enter, page_of, temperatures
from tests.make import make_bridge, make_element, make_inspection, make_unit

pytestmark = pytest.mark.django_db


@pytest.fixture
def joint():
    return make_element(make_unit(make_bridge()), "strip_seal", code="J1")


@pytest.fixture
def visit(joint):
    return make_inspection(joint.bridge, dt.date(2024, 6, 1))


def test_no_hour_is_made_up_for_what_is_typed_in_from_paper(as_role, visit, joint):
    client = as_role("inspector")
    asked = "Give the date and time at which it was read."
    page = page_of(temperatures(client, visit, {"value": "10 C", "taken_at": ""}))
    assert asked in page
    page = page_of(enter(client, visit, joint, **{"gap-left-1": "55", "taken_at": ""}))
    assert asked in page
    assert TemperatureReading.objects.count() + Reading.objects.count() == 0


def test_a_temperature_without_a_time_was_read_with_the_one_above(as_role, visit):
    rows = [
        {"value": "10 C", "taken_at": "2024-06-01T07:45"},
        {"value": "9 C", "taken_at": "", "place": "deck_soffit"},
        {"value": "", "taken_at": "2024-06-01T09:50"},
        {"value": "12 C", "taken_at": "", "place": "air_shade"},
    ]
    temperatures(as_role("inspector"), visit, *rows)
    taken = TemperatureReading.objects.order_by("pk").values_list("taken_at", flat=True)
    assert [f"{each:%H:%M}" for each in taken] == ["07:45", "07:45", "09:50"]


def test_paper_after_the_tablet_is_told_and_one_of_both_is_set_aside(as_role, visit, joint):
    client = as_role("inspector")
    tablet = {"gap-left-1": "55", "gap-right-1": "54", "taken_at": "2024-06-01T09:32"}
    enter(client, visit, joint, **tablet)
    paper = {"gap-left-1": "55", "taken_at": "2024-06-01T09:30"}
    page = page_of(enter(client, visit, joint, **paper))
    told = "Read at another hour of this visit as well: Joint gap, left, square."
    assert told in page
    assert told not in page_of(enter(client, visit, joint, **paper))

    wrong = Reading.objects.latest("pk")
    correction = page_of(client.get(reverse("reading-correct", args=[wrong.pk])))
    address = reverse("reading-set-aside", args=[wrong.pk])
    assert f'action="{address}"' in correction
    page = page_of(client.post(address, {"reason": "Typed in from paper"}, follow=True))
    assert "55 mm set aside: Typed in from paper" in page
    assert ">set aside</span>" in page
    judged = Verdict.objects.filter(inspection=visit).values_list("point", flat=True)
    assert sorted(judged) == ["left", "right"]
