"""A bearing that is made to stand still: its place tells, there is no range to use up."""

import datetime as dt

import pytest

from inspections.models import Verdict
from inspections.models.choices import VerdictWord
from inspections.services.visits import submit
from inspections.wording import sentence
from inventory.units import System
from tests.make import SET_AT_20_C, make_bridge, make_element, make_inspection, make_unit, read

pytestmark = pytest.mark.django_db


def judged(value_mm, **design):
    """Return the verdict of a reading along, at the fixed point of the unit."""
    unit = make_unit(make_bridge("HV-104"), fixed_station_m=0.0)
    bearing = make_element(
        unit, "fixed_pin", station_m=0.0, installation=SET_AT_20_C,
        design={"movement_back_mm": 0.0, "movement_ahead_mm": 0.0} | design,
    )  # fmt: skip
    visit = make_inspection(unit.bridge, dt.date(2024, 7, 1))
    read(visit, bearing, "offset_along", value_mm, 31.0)
    submit(inspection=visit)
    return Verdict.objects.get()


def test_where_it_was_set_it_is_in_range():
    found = judged(0.4)
    assert found.verdict == VerdictWord.IN_RANGE
    assert "so no limit is to be kept" in sentence(found, System.SI)


def test_where_it_has_moved_it_is_out_of_range():
    found = judged(19.0)
    assert found.verdict == VerdictWord.OUT_OF_RANGE
    assert "outside the band" in sentence(found, System.SI)


def test_one_that_may_move_on_one_side_needs_both_limits_as_before():
    assert judged(0.4, movement_ahead_mm=None).verdict != VerdictWord.IN_RANGE
