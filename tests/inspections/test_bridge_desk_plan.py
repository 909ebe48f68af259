"""The plan of movement: how far each element should have moved, and has, seen from above."""

import datetime as dt
import itertools
import math

import pytest

from inspections.desk.bridge.page import register_first
from inspections.drawing.alignment import Alignment
from inspections.drawing.plan_view import plan_view
from inspections.drawing.residual_stems import Stem, residual_stems
from inspections.drawing.shapes import Circle, Line, Polygon, Polyline, Rect, Text
from inspections.models.choices import CauseWord, DiagnosisWord, VerdictWord
from inspections.plan_of_movement import At, plan_of_movement
from inspections.selectors.bridge_visit import verdicts_of_visit
from inspections.selectors.findings import diagnoses_of
from inspections.wording_explanation import tell_unit
from inventory.models import Unit
from inventory.units import System
from tests.inspections.finding_rows import frozen, make_diagnosis
from tests.inspections.over_years import (
    MEASURED,
    free_mm,
    make_bearing,
    make_joint,
    make_rocker,
    visit,
)
from tests.make import make_bridge, make_element, make_unit

pytestmark = pytest.mark.django_db
DAY = dt.date(2024, 7, 1)


def planned(unit, rows, temperature_c=30.0, at=At.VISIT):
    """Return the plan of movement of a visit that reads (element, quantity, value, point)."""
    inspection = visit(unit.bridge, DAY, temperature_c, rows)
    bridge = unit.bridge
    return plan_of_movement(
        bridge.code,
        bridge.skew_deg,
        list(bridge.units.all()),
        list(bridge.supports.all()),
        list(bridge.elements.select_related("support", "unit", "unit_ahead")),
        verdicts_of_visit(inspection),
        at,
    )


def row(plan, code):
    return next(each for each in plan.rows if each.element.code == code)


@pytest.fixture
def unit():
    """A unit of 100 m held at its start, set at 20 degC; entered extremes of -20 and 50."""
    basis = {"method": "entered", "entered_min_c": -20.0, "entered_max_c": 50.0, "source": "x"}
    return make_unit(make_bridge("B-1", basis))


# the numbers


def test_an_offset_is_expected_where_the_deck_s_strain_takes_it(unit):
    bearing = make_bearing(unit, code="B")
    plan = planned(unit, [(bearing, "offset_along", 9.0, "")])
    # 11.7e-6 a degree, 100 m, 10 degrees above the setting
    assert row(plan, "B").expected_mm == pytest.approx(11.7)
    assert row(plan, "B").measured_mm == pytest.approx(9.0)
    assert row(plan, "B").temperature_c == pytest.approx(30.0)


def test_a_gap_that_closed_at_the_end_of_a_unit_is_a_deck_that_moved_ahead(unit):
    joint = make_joint(unit, code="J")
    plan = planned(unit, [(joint, "gap", 45.0, "left"), (joint, "gap", 47.0, "right")])
    assert row(plan, "J").expected_mm == pytest.approx(11.7)
    assert row(plan, "J").measured_mm == pytest.approx(60.0 - 46.0)


def test_a_gap_at_the_start_of_a_unit_opens_as_the_deck_moves_ahead(unit):
    ahead = make_unit(unit.bridge, "U2", start_station_m=100.0, end_station_m=200.0,
                      fixed_station_m=200.0)  # fmt: skip
    joint = make_element(
        ahead,
        "strip_seal",
        "J",
        installation={**MEASURED, "setting_gap_mm": 60.0},
        design={"opening_min_mm": 5.0, "opening_max_mm": 150.0},
    )
    joint.unit, joint.unit_ahead = None, ahead
    joint.save()
    plan = planned(ahead, [(joint, "gap", 55.0, "left")])
    assert row(plan, "J").measured_mm == pytest.approx(-5.0)
    assert row(plan, "J").expected_mm == pytest.approx(-11.7)


def test_a_rocker_s_tilt_is_told_as_the_way_it_rolled(unit):
    rocker = make_rocker(unit, code="R")
    plan = planned(unit, [(rocker, "tilt", 2.0, "")])
    # radius 400 mm
    assert row(plan, "R").measured_mm == pytest.approx(400.0 * math.pi / 90.0)
    assert row(plan, "R").expected_mm == pytest.approx(11.7)


@pytest.mark.parametrize(("at", "extreme_c"), [(At.COLDEST, -20.0), (At.HOTTEST, 50.0)])
def test_at_an_extreme_both_are_carried_there_by_the_same_movement(unit, at, extreme_c):
    bearing = make_bearing(unit, code="B")
    found = row(planned(unit, [(bearing, "offset_along", 9.0, "")], at=at), "B")
    assert found.expected_mm == pytest.approx(free_mm(100.0, extreme_c))
    assert found.measured_mm == pytest.approx(9.0 + free_mm(100.0, extreme_c) - 11.7)


def test_movement_across_stands_beside_that_along(unit):
    bearing = make_bearing(unit, code="B", known={**MEASURED, "setting_offset_across_mm": 1.0})
    rows = [(bearing, "offset_along", 9.0, ""), (bearing, "offset_across", 4.0, "")]
    assert row(planned(unit, rows), "B").measured_across_mm == pytest.approx(3.0)


def test_an_element_that_was_not_read_has_no_movement_and_no_verdict(unit):
    make_bearing(unit, code="NOT")
    bearing = make_bearing(unit, code="B")
    found = row(planned(unit, [(bearing, "offset_along", 9.0, "")]), "NOT")
    assert (found.expected_mm, found.measured_mm) == (None, None)
    assert found.verdict == VerdictWord.CANNOT_JUDGE


def test_a_free_point_of_a_curved_deck_moves_along_the_chord_from_the_fixed_point():
    unit = make_unit(make_bridge(), plan_radius_m=200.0)
    bearing = make_bearing(unit, code="B")
    free = row(planned(unit, [(bearing, "offset_along", 9.0, "")]), "B").free
    # chord 2 R sin(s / 2R) with s / 2R a quarter of a radian; it lies to the right of the tangent
    assert free.size_mm == pytest.approx(11.7e-6 * 400.0 * math.sin(0.25) * 10.0 * 1000.0)
    assert free.direction_deg == pytest.approx(-math.degrees(0.25))


def test_a_straight_deck_tells_no_direction_of_its_own(unit):
    bearing = make_bearing(unit, code="B")
    assert row(planned(unit, [(bearing, "offset_along", 9.0, "")]), "B").free is None


def test_the_skew_of_a_support_is_that_of_its_joint_else_that_of_the_bridge(unit):
    unit.bridge.skew_deg = 10.0
    joint = make_joint(unit, code="J", place={"skew_deg": 25.0})
    make_bearing(unit, 50.0, code="B")
    plan = planned(unit, [(joint, "gap", 55.0, "left")])
    by_station = {each.station_m: plan.skew_by_support[each.pk] for each in plan.supports}
    assert by_station == {50.0: 10.0, 100.0: 25.0}


# the alignment


def units(*radii):
    return [
        Unit(start_station_m=100.0 * n, end_station_m=100.0 * (n + 1), plan_radius_m=radius)
        for n, radius in enumerate(radii)
    ]


def test_a_straight_bridge_lies_level_and_to_scale():
    line = Alignment(units(None, None), 0.0, 200.0)
    for station in (0.0, 30.0, 150.0, 200.0):
        place = line.at(station)
        assert (place.x_m, place.y_m) == pytest.approx((station, 0.0))


@pytest.mark.parametrize("radius_m", [200.0, -200.0])
def test_a_curve_ends_level_and_bulges_away_from_its_centre(radius_m):
    line = Alignment(units(radius_m), 0.0, 100.0)
    start, middle, end = (line.at(each) for each in (0.0, 50.0, 100.0))
    assert start.y_m == pytest.approx(end.y_m, abs=1e-9)
    # chord and rise of a circle
    assert end.x_m - start.x_m == pytest.approx(400.0 * math.sin(0.25))
    rise = 200.0 * (1 - math.cos(0.25))
    assert middle.y_m == pytest.approx(-math.copysign(rise, radius_m))
    assert end.heading - start.heading == pytest.approx(100.0 / radius_m)


def test_a_very_long_radius_is_as_good_as_straight():
    line = Alignment(units(1e6), 0.0, 100.0)
    assert line.at(70.0).x_m == pytest.approx(70.0, abs=1e-4)
    assert line.at(70.0).y_m == pytest.approx(0.0, abs=0.01)


def test_stations_are_apart_by_their_distance_across_a_change_of_radius():
    line = Alignment(units(150.0, None, -90.0), 0.0, 300.0)
    places = [line.at(float(each)) for each in range(301)]
    for one, other in itertools.pairwise(places):
        step = math.hypot(other.x_m - one.x_m, other.y_m - one.y_m)
        assert step == pytest.approx(1.0, rel=1e-4)


# the drawing


def points_of(shape):
    match shape:
        case Line(x1, y1, x2, y2):
            return [(x1, y1), (x2, y2)]
        case Polygon(points) | Polyline(points):
            return list(points)
        case Rect(x, y, width, height):
            return [(x, y), (x + width, y + height)]
        case Circle(x, y, radius):
            return [(x - radius, y - radius), (x + radius, y + radius)]
        case Text(x, y):
            return [(x, y)]


def arrows(drawing, style):
    """Return (from, to) of the solid arrows of a style, beside the key."""
    return [
        ((p[0][0] + p[6][0]) / 2 < p[3][0], p)
        for each in drawing.shapes
        if isinstance(each, Polygon) and each.style == style and len(p := each.points) == 7
    ][: -1 if style == "mark-in-range" else None]


@pytest.mark.parametrize("skew_deg", [0.0, 35.0, -50.0, 75.0])
@pytest.mark.parametrize("radius_m", [None, 80.0, -120.0])
def test_everything_is_drawn_within_the_sheet(radius_m, skew_deg):
    unit = make_unit(make_bridge(skew_deg=skew_deg), plan_radius_m=radius_m)
    bearings = [
        make_bearing(unit, station, code=f"B{station:g}-{n}", place={"line": f"G{n}"})
        for station in (0.0, 50.0, 100.0)
        for n in range(5)
    ]
    joint = make_joint(unit, code="J", place={"skew_deg": skew_deg})
    rows = [(each, "offset_along", (-1) ** n * 40.0, "") for n, each in enumerate(bearings)]
    drawing = plan_view(planned(unit, [*rows, (joint, "gap", 20.0, "left")]), System.SI)
    for shape in drawing.shapes:
        for x, y in points_of(shape):
            assert -1.0 <= x <= drawing.width + 1.0, shape
            assert -1.0 <= y <= drawing.height + 1.0, shape


def test_an_arrow_is_as_long_as_its_factor_says(unit):
    bearing = make_bearing(unit, code="B")
    drawing = plan_view(planned(unit, [(bearing, "offset_along", 11.7, "")]), System.SI)
    ((to_the_right, points),) = arrows(drawing, "mark-in-range")
    length = math.hypot(
        points[3][0] - (points[0][0] + points[6][0]) / 2,
        points[3][1] - (points[0][1] + points[6][1]) / 2,
    )
    deck = next(each for each in drawing.shapes if each.style == "deck").points
    px_per_mm = (max(x for x, _ in deck) - min(x for x, _ in deck)) / 100_000.0
    factor = float(drawing.description.split("drawn ")[1].split(" times")[0].replace(",", ""))
    assert to_the_right
    assert length == pytest.approx(11.7 * px_per_mm * factor, rel=1e-6)


def test_a_measured_arrow_has_the_colour_of_its_verdict_and_its_own_direction(unit):
    bearing = make_bearing(unit, code="B")
    drawing = plan_view(planned(unit, [(bearing, "offset_along", -40.0, "")]), System.SI)
    ((to_the_right, _),) = arrows(drawing, "mark-out-of-range")
    assert not to_the_right
    assert "B out of range: expected +11.7\u202fmm, measured −40.0\u202fmm" in drawing.description


def test_no_arrow_is_drawn_where_nothing_moved(unit):
    bearing = make_bearing(unit, 0.0, code="B", device="fixed_pin")
    drawing = plan_view(planned(unit, [(bearing, "offset_along", 0.0, "")]), System.SI)
    assert arrows(drawing, "mark-in-range") == []


def test_the_page_draws_the_plan_at_the_temperature_that_is_asked_for(as_role, unit):
    bearing = make_bearing(unit, code="B")
    visit(unit.bridge, DAY, 30.0, [(bearing, "offset_along", 9.0, "")])
    page = as_role("manager").get("/bridges/B-1/?at=coldest").content.decode()
    assert "Plan of movement of B-1, at the coldest design temperature" in page
    assert "carried there" in page


def test_stems_of_one_station_stand_side_by_side(unit):
    stems = [Stem(f"B{n}", 50.0, float(n), 1.0, VerdictWord.IN_RANGE) for n in range(6)]
    drawing = residual_stems(unit, stems, System.SI)
    bands = [each for each in drawing.shapes if each.style == "band"]
    assert len({each.x for each in bands}) == 6
    assert residual_stems(unit, [], System.SI) is None


# explanations


def test_what_is_to_be_looked_up_in_the_register_comes_first(unit):
    bearing = make_bearing(unit, code="B")
    setting = {"cause": CauseWord.SETTING_OFF, "element": bearing, "size": 12.0}
    make_diagnosis(unit, frozen(bearing), setting, outcome=DiagnosisWord.CANNOT_TELL, equal=2)
    (diagnosis,) = diagnoses_of(unit.bridge)
    told = register_first(tell_unit(diagnosis, System.SI))
    assert [each.check_register for each in told.explanations] == [True, False]
    assert told.next[0] == told.explanations[0].next
    assert told.next[-1].startswith("Measure all elements of the unit")
