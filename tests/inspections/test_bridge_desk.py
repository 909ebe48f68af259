"""The bridge's page: one visit with all supports side by side, and what is open."""

import datetime as dt
import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inspections.models import Due, EventBridge, PlannedVisit
from inspections.selectors.bridge_around import MOST
from inspections.services.visits import submit
from tests import rows_desk
from tests.inspections.desk_rows import words
from tests.inspections.over_years import (
    WINTERS_AND_SUMMERS,
    dice,
    free_mm,
    make_bearing,
    make_joint,
    make_rocker,
    visit,
)
from tests.make import make_bridge, make_element, make_support, make_unit

pytestmark = pytest.mark.django_db


@pytest.fixture
def unit():
    """A unit of 100 m, held at its start, on a pier at 50 m and an abutment at its end."""
    bridge = make_bridge("B-1", time_zone="Europe/Lisbon")
    unit = make_unit(bridge)
    make_bearing(unit, station_m=0.0, code="A1-B1", device="fixed_pin")
    make_support(bridge, "P1", 50.0)
    make_support(bridge, "A2", 100.0)
    return unit


def read_once(unit, date=dt.date(2024, 7, 1), temperature_c=30.0, shift_mm=0.0, **fields):
    """Read two bearings of the pier and one of the abutment, which may have moved back."""
    rows = [
        (make_bearing(unit, station_m, code=f"{code}-{date:%y%m%d}", **fields), station_m)
        for station_m, code in ((50.0, "P1-B1"), (50.0, "P1-B2"), (100.0, "A2-B1"))
    ]
    return visit(
        unit.bridge,
        date,
        temperature_c,
        [
            (
                element,
                "offset_along",
                free_mm(station_m, temperature_c) + (shift_mm if station_m == 100.0 else 0.0),
                "",
            )
            for element, station_m in rows
        ],
    )


def table(response):
    """Return the table as group: row: cells of (code, residual rounded)."""
    return {
        group.name: {
            row.name: [
                [(each.element.code, round(each.residual, 1)) for each in cell]
                for cell in row.cells
            ]
            for row in group.rows
        }
        for group in response.context["shown"].table.groups
    }


# who may see it


@pytest.mark.parametrize("role", ["inspector", "engineer", "manager"])
@pytest.mark.parametrize("query", ["", "?visit=1&at=coldest", "?visit=none&at=nowhere"])
def test_every_role_sees_a_bridge_whatever_the_address_asks_for(as_role, unit, role, query):
    read_once(unit)
    assert as_role(role).get(f"/bridges/B-1/{query}").status_code == 200


def test_an_outsider_is_refused_and_a_stranger_sent_to_sign_in(client, as_role, unit):
    assert client.get("/bridges/B-1/").headers["Location"].startswith("/sign-in/")
    assert as_role(None).get("/bridges/B-1/").status_code == 403


def test_only_who_plans_visits_is_offered_to(as_role, unit):
    for role, offered in (("inspector", False), ("engineer", True), ("manager", False)):
        page = as_role(role).get("/bridges/B-1/").content.decode()
        assert ("?bridge=B-1" in page and "Plan a visit" in page) == offered


# one visit


def test_the_last_visit_that_was_handed_in_is_shown_unless_another_is_asked_for(as_role, unit):
    first = read_once(unit, dt.date(2023, 7, 1))
    read_once(unit, dt.date(2024, 7, 1))
    last = read_once(unit, dt.date(2025, 2, 1), -5.0)
    still_open = make_bearing(unit, code="OPEN")
    rows = [(still_open, "offset_along", 1.0, "")]
    visit(unit.bridge, dt.date(2026, 1, 1), 0.0, rows, state="open")
    client = as_role("engineer")
    assert client.get("/bridges/B-1/").context["shown"].visit == last
    chosen = client.get(f"/bridges/B-1/?visit={first.pk}").context["shown"]
    assert chosen.visit == first
    assert [each.date.year for each in chosen.latest] == [2025, 2024, 2023]


def test_supports_stand_along_the_stations_and_lines_below_one_another(as_role, unit):
    read_once(unit, place=None)
    shown = as_role("engineer").get("/bridges/B-1/").context["shown"].table
    assert [each.code for each in shown.supports] == ["P1", "A2"]
    found = {row.name: [[v.element.code for v in c] for c in row.cells]
             for row in shown.groups[0].rows}  # fmt: skip
    assert found == {
        "all": [[], ["A2-B1-240701"]],
        "no. 1": [["P1-B1-240701"], []],
        "no. 2": [["P1-B2-240701"], []],
    }


def test_elements_of_one_line_share_a_row_whatever_their_device(as_role, unit):
    pier = make_rocker(unit, 50.0, code="R", place={"line": "G1"})
    abutment = make_bearing(unit, 100.0, code="S", place={"line": "G1"})
    rows = [(pier, "tilt", 1.0, ""), (abutment, "offset_along", 11.7, "")]
    visit(unit.bridge, dt.date(2024, 7, 1), 30.0, rows)
    found = table(as_role("engineer").get("/bridges/B-1/"))
    ((group, by_line),) = found.items()
    assert group == "Bearings: movement along, by offset or tilt"
    assert [[code for code, _ in cell] for cell in by_line["G1"]] == [["R"], ["S"]]


def test_a_moved_abutment_is_the_one_column_away_from_what_is_expected(as_role, unit):
    read_once(unit, shift_mm=25.0)
    found = table(as_role("engineer").get("/bridges/B-1/"))
    rows = found["Bearings: movement along, by offset or tilt"]
    assert rows["no. 1"][0] == [("P1-B1-240701", 0.0)]
    assert rows["all"][1] == [("A2-B1-240701", 25.0)]


def test_value_expected_and_residual_are_told_with_sign_and_uncertainties(as_role, unit):
    read_once(unit, shift_mm=-25.0)
    page = words(as_role("engineer").get("/bridges/B-1/"))
    # 11.7e-6 of 100 m for 10 degrees is 11.7 mm
    assert "A2-B1-240701 −13.3 mm exp. 11.7 mm −25.0 mm · −" in page


def test_the_temperature_of_each_unit_is_told_with_the_way_it_was_got(as_role, unit):
    read_once(unit)
    page = words(as_role("engineer").get("/bridges/B-1/"))
    assert "Unit U1: 30.0 °C" in page
    assert "effective, by: One shaded girder surface; 09:00" in page  # 8 h UTC in summer


def test_a_visit_without_a_temperature_says_what_to_take_next_time(as_role, unit):
    bearing = make_bearing(unit)
    inspection = visit(
        unit.bridge, dt.date(2024, 7, 1), 30.0, [(bearing, "offset_along", 1.0, "")], state="open"
    )
    inspection.temperatures.all().delete()
    submit(inspection=inspection)
    page = words(as_role("engineer").get("/bridges/B-1/"))
    assert "No temperature was taken in this visit" in page


def test_the_user_s_units_are_used(as_role, unit):
    read_once(unit, shift_mm=25.4)
    client = as_role("engineer")
    client.post("/preferences/units/", {"units": "us"})
    page = words(client.get("/bridges/B-1/"))
    assert "+1.00 in ·" in page
    assert "Unit U1: 86.0 °F" in page


def test_a_bridge_that_was_never_visited_says_what_belongs_there(as_role, unit):
    Due.objects.all().delete()
    page = words(as_role("engineer").get("/bridges/B-1/"))
    assert "No visit has been handed in yet" in page
    assert "No flag is open." in page
    assert "None is due and none is planned." in page
    assert "No work was ordered and no event is on record." in page


def test_residuals_of_a_unit_are_drawn_as_movements_of_the_deck(as_role, unit):
    joint = make_joint(unit, code="A2-J")
    # the abutment has moved 30 mm towards the deck: offset ahead, gap narrower by the same
    bearing = make_bearing(unit, code="A2-B1")
    rows = [
        (bearing, "offset_along", free_mm(100.0, 30.0) + 30.0, ""),
        (joint, "gap", 60.0 - free_mm(100.0, 30.0) - 30.0, "left"),
    ]
    visit(unit.bridge, dt.date(2024, 7, 1), 30.0, rows)
    (drawing,) = as_role("engineer").get("/bridges/B-1/").context["shown"].stems
    assert "A2-B1 +30.0\u202fmm" in drawing
    assert "A2-J +30.0\u202fmm" in drawing


# what is open


def test_open_flags_visits_work_and_events_are_listed(as_role, unit):
    bearing = make_bearing(unit, code="A2-B7")
    rows_desk.flag(bearing, cause="response", state="watched", until=dt.date(2027, 5, 4))
    rows_desk.flag(bearing, cause="limit", state="closed")
    Due.objects.create(bridge=unit.bridge, element=bearing, reason="watch",
                       due_on=dt.date(2020, 1, 2))  # fmt: skip
    PlannedVisit.objects.create(bridge=unit.bridge, planned_on=dt.date(2031, 3, 4))
    PlannedVisit.objects.create(
        bridge=unit.bridge,
        planned_on=dt.date(2032, 3, 4),
        cancelled_at=dt.datetime(2026, 1, 1, tzinfo=dt.UTC),
    )
    EventBridge.objects.create(event=rows_desk.event(name="Spring flood"), bridge=unit.bridge)
    rows_desk.order(bridge=unit.bridge, title="Free the bearing")
    page = words(as_role("engineer").get("/bridges/B-1/"))
    assert "A2-B7 does not follow the temperature · watched until 2027-05-04" in page
    assert "near or past a limit" not in page
    assert re.search("2020-01-02 overdue by [0-9]+ years : watched element, A2-B7", page)
    assert "planned 2031-03-04" in page
    assert "2032-03-04" not in page
    assert "Spring flood" in page
    assert "Free the bearing · ordered" in page


def test_of_many_flags_the_worst_are_listed_and_all_are_counted(as_role, unit):
    for number, each in enumerate([make_bearing(unit, code=f"B{n:02}") for n in range(MOST + 3)]):
        rows_desk.flag(each, severity=2 + (number == 10))
    response = as_role("engineer").get("/bridges/B-1/")
    listed = response.context["around"].flags
    assert len(listed) == MOST
    assert listed[0].element.code == "B10"
    assert f"All {MOST + 3} open flags" in words(response)


def test_another_bridge_s_rows_stay_out(as_role, unit):
    rows_desk.flag()
    rows_desk.order()
    response = as_role("engineer").get("/bridges/B-1/")
    assert (response.context["around"].flag_count, response.context["around"].orders) == (0, [])


# what it costs


def queries(client, address: str) -> int:
    client.get(address)
    with CaptureQueriesContext(connection) as captured:
        assert client.get(address).status_code == 200
    return len(captured)


def test_the_page_takes_thirty_queries_at_most_for_one_element_and_for_fifty(as_role, unit):
    joint = make_joint(unit, code="A2-J")
    client = as_role("engineer")
    error = dice()
    stuck = [make_bearing(unit, code="A2-B00")]
    one = None
    for count in (1, 50):
        stuck += [make_bearing(unit, code=f"A2-B{n:02}") for n in range(len(stuck), count)]
        year = 0 if one is None else 1
        for date, temperature_c in WINTERS_AND_SUMMERS[4 * year : 4 * year + 4]:
            rows = [
                (each, "offset_along", free_mm(100.0, temperature_c) + error.gauss(0, 0.5), "")
                for each in stuck[1:]
            ]
            rows += [(stuck[0], "offset_along", 0.0, "")]
            rows += [(joint, "gap", 60.0 - free_mm(100.0, temperature_c), "left")]
            visit(unit.bridge, date, temperature_c, rows)
        for each in stuck[len(stuck) // 50 :]:
            if not each.flags.filter(cause="critical").exists():
                rows_desk.flag(each, cause="critical")
        found = queries(client, "/bridges/B-1/")
        assert found <= 30
        one = found if one is None else one
    assert make_element(unit).bridge.elements.count() == 53
    assert found <= one + 1  # the months are reckoned once there is something to tell apart
