"""A paper form that is typed in at the desk some days after the visit."""

import datetime as dt

import pytest

from inspections.models import Reading, TemperatureReading
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
