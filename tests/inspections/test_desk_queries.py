"""The cost of a page does not grow with its rows."""

import datetime as dt

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inspections.services.readings import NewReading, record
from tests.inspections.desk_rows import JOINT, LEFT, codes, hand_in
from tests.make import UTC, make_bridge, make_element, make_inspection, make_unit, read

pytestmark = pytest.mark.django_db


@pytest.fixture
def unit():
    return make_unit(make_bridge("B-1"))


def queries(client, address: str) -> int:
    client.get(address)
    with CaptureQueriesContext(
        connection,
    ) as captured:
        assert client.get(address).status_code == 200
    return len(captured)


def test_queries_of_the_lists_and_of_a_bridge_do_not_grow_with_elements(as_role, unit):
    client = as_role("engineer")
    hand_in(unit, {"J-00": 20.0})
    addresses = ["/", "/elements/?verdict=all&sort=-use", "/bridges/", "/bridges/B-1/"]
    one = [queries(client, address) for address in addresses]
    hand_in(unit, {f"J-{number:02}": 20.0 for number in range(1, 50)}, kind="in_depth")
    for number in range(1, 50):
        make_bridge(f"X-{number:02}")
    assert len(codes(client.get("/elements/"))) == 50
    assert [queries(client, address) for address in addresses] == one


def test_queries_of_an_element_do_not_grow_with_its_readings(as_role, unit):
    client = as_role("engineer")
    joint = make_element(unit, "strip_seal", **JOINT)
    visit = make_inspection(unit.bridge)
    read(visit, joint, "gap", 50.0, 15.0, **LEFT)
    address = f"/elements/{joint.pk}/"
    one = queries(client, address)
    at = dt.datetime(2024, 6, 1, 9, tzinfo=UTC)
    record(
        inspection=visit,
        readings=[
            NewReading(joint, "gap", 50.0, "50", at + dt.timedelta(minutes=minute), **LEFT)
            for minute in range(49)
        ],
        temperatures=[],
    )
    assert len(client.get(address).context["judged"]) == 50
    assert queries(client, address) == one
