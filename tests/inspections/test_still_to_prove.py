"""A bearing that did not move and was mended: its flag says what is missing to prove it."""

import datetime as dt

import pytest

from inspections.services.visits import submit
from tests import rows_desk
from tests.inspections.desk_rows import words
from tests.make import SET_AT_20_C, make_bridge, make_element, make_inspection, make_unit, read

pytestmark = pytest.mark.django_db
STAYS = "Until readings show that it follows the temperature again, the flag stays."


@pytest.fixture
def bearing():
    """A bearing that was read twice, 15 K apart, and stood where it should."""
    unit = make_unit(make_bridge("HV-104"))
    found = make_element(
        unit,
        installation=SET_AT_20_C,
        design={"movement_back_mm": 200.0, "movement_ahead_mm": 200.0},
    )
    for day, value_mm, at_c in ((2, -40.9, -15.0), (3, -23.4, 0.0)):
        visit = make_inspection(unit.bridge, dt.date(2024, 2, day))
        read(visit, found, "offset_along", value_mm, at_c)
        submit(inspection=visit)
    return found


def page(client, bearing, **fields) -> str:
    flag = rows_desk.flag(bearing, **fields)
    return words(client.get(f"/flags/{flag.pk}/"))


def test_a_mended_flag_says_how_many_visits_it_still_needs(as_role, bearing):
    told = page(as_role("engineer"), bearing, cause="response", state="mended")
    assert STAYS in told
    assert "two visits with a temperature, where three are the least" in told


@pytest.mark.parametrize(
    ("cause", "state"), [("response", "open"), ("position", "mended"), ("response", "closed")]
)
def test_no_other_flag_says_so(as_role, bearing, cause, state):
    assert STAYS not in page(as_role("engineer"), bearing, cause=cause, state=state)
