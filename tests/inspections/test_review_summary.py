"""A review opens with what the readings say: how many of each verdict, and which."""

import datetime as dt

import pytest

from inspections.services.visits import submit
from tests.inspections.desk_rows import words
from tests.make import SET_AT_20_C, make_bridge, make_element, make_inspection, make_unit, read

pytestmark = pytest.mark.django_db
ROOM = {"movement_back_mm": 200.0, "movement_ahead_mm": 200.0}


def test_the_page_counts_verdicts_and_leads_to_what_is_not_in_range(as_role):
    unit = make_unit(make_bridge("HV-104"))
    visit = make_inspection(unit.bridge, dt.date(2024, 2, 1))
    stands_mm = {"B-1": -40.9, "B-2": -40.5, "B-3": 30.0}  # 60 m of steel, 35 K below its setting
    for code, value_mm in stands_mm.items():
        bearing = make_element(unit, code=code, installation=SET_AT_20_C, design=ROOM)
        read(visit, bearing, "offset_along", value_mm, -15.0 if code == "B-1" else None)
    submit(inspection=visit)
    client = as_role("engineer")
    page = words(client.get(f"/inspections/{visit.pk}/"))

    assert "What the readings say Out of range 1 : B-3 In range 2" in page
    address = f'href="#element-{bearing.pk}"'
    assert client.get(f"/inspections/{visit.pk}/").content.decode().count(address) == 1
