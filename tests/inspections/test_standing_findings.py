"""A finding stands until a reading that could have shown it shows otherwise."""

import datetime as dt

import pytest

from inspections.models import ElementStatus
from inspections.wording import sentence
from inventory.services.installations import reset_installation
from inventory.units import System
from tests.inspections.desk_rows import words
from tests.make import SET_AT_20_C, make_bridge, make_element, make_inspection, make_unit, read

pytestmark = pytest.mark.django_db

BEARING = {
    "installation": SET_AT_20_C,
    "design": {"movement_back_mm": 120.0, "movement_ahead_mm": 120.0},
}
WINTER = dt.date(2023, 2, 1)
LATER = dt.date(2024, 5, 1)


def status_after(*readings) -> ElementStatus:
    """Status of a bearing 100 m from the fixed point after readings (date, offset, temperature)."""
    unit = make_unit(make_bridge())
    bearing = make_element(unit, **BEARING)
    for date, offset_mm, temperature_c in readings:
        visit = make_inspection(unit.bridge, date)
        read(visit, bearing, "offset_along", offset_mm, temperature_c, accept=True)
    return ElementStatus.objects.select_related("deciding").get(element=bearing)


def test_a_frozen_bearing_is_not_cleared_by_a_reading_near_its_setting_temperature():
    # 1.17 mm a degree: at -15 it should stand at -41 mm and stands at 0; at 22, at 2 mm
    status = status_after((WINTER, 0.0, -15.0), (LATER, 0.0, 22.0))
    assert status.get_verdict_display() == "Out of range"
    assert status.deciding.taken_at.date() == WINTER
    assert status.last_seen_on == LATER
    assert "found on 2023-02-01: no later reading" in sentence(status.deciding, System.SI)


def test_a_healthy_reading_at_as_low_a_temperature_clears_the_finding():
    status = status_after((WINTER, 0.0, -15.0), (LATER, -39.0, -14.0))
    assert status.get_verdict_display() == "In range"


def test_a_healthy_reading_as_far_on_the_warm_side_clears_it_as_well():
    status = status_after((WINTER, 0.0, -12.0), (LATER, 38.0, 52.0))
    assert status.deciding.taken_at.date() == LATER
    assert not status.deciding.reasons & 0b10


def test_a_newer_finding_takes_the_place_of_an_older_one():
    status = status_after((WINTER, 0.0, -15.0), (LATER, 2.0, -17.0))
    assert status.deciding.taken_at.date() == LATER


def test_a_reset_starts_afresh():
    unit = make_unit(make_bridge())
    bearing = make_element(unit, **BEARING)
    read(make_inspection(unit.bridge, WINTER), bearing, "offset_along", 0.0, -15.0, accept=True)
    bearing.refresh_from_db()
    reset_installation(
        element=bearing,
        reset_on=dt.date(2023, 6, 1),
        setting=SET_AT_20_C,
    )
    read(make_inspection(unit.bridge, LATER), bearing, "offset_along", 2.0, 22.0, accept=True)
    status = ElementStatus.objects.get(element=bearing)
    assert status.get_verdict_display() == "In range"


def test_the_flag_says_which_earlier_reading_keeps_it_out_of_range(as_role):
    # 9 mm off, 2.3 standard uncertainties: by itself no more than to watch.
    status = status_after((WINTER, 0.0, -15.0), (LATER, 11.0, 22.0))
    flag = status.element.flags.get(cause="position")
    page = words(as_role("engineer").get(f"/flags/{flag.pk}/"))
    assert "Out of range by what stands from before:" in page
    assert "found on 2023-02-01: no later reading" in page
    assert "Offset along 11.0 mm at 22.0 °C" in page


def test_a_flag_whose_last_visit_shows_it_out_of_range_names_that_visit_alone(as_role):
    status = status_after((WINTER, 0.0, -15.0), (LATER, 2.0, -17.0))
    flag = status.element.flags.get(cause="position")
    page = words(as_role("engineer").get(f"/flags/{flag.pk}/"))
    assert "stands from before" not in page
