"""Levers of offsets, gaps, slips and tilts, with their signs."""

import numpy as np
import pytest

from movement.errors import InputError
from movement.geometry import (
    gap_levers,
    offset_lever_across,
    offset_lever_along,
    path_from_fixed_point,
    racking_levers,
    tilt_lever,
)

BACKWALL = path_from_fixed_point(0.0, 0.0)


def test_a_bearing_beyond_the_fixed_point_moves_ahead_and_one_before_it_back():
    path = path_from_fixed_point([100.0, 20.0], 60.0)
    assert offset_lever_along(path).tolist() == [40_000.0, -40_000.0]
    assert offset_lever_across(path).tolist() == [0.0, 0.0]


def test_a_turned_axis_sees_part_of_the_movement_along_and_part_across():
    # by hand: axis turned 30 deg left of a movement of 10 m: 8.66 along it, 5 to its right
    path = path_from_fixed_point(10.0, 0.0)
    assert float(offset_lever_along(path, 30.0)) == pytest.approx(8660.25, abs=0.01)
    assert float(offset_lever_across(path, 30.0)) == pytest.approx(-5000.0)


def test_on_a_left_curve_the_free_end_moves_ahead_and_to_the_right():
    # quarter circle of 100 m: chord 141.42 m, at 45 deg to the right of the tangent there
    path = path_from_fixed_point(50.0 * np.pi, 0.0, 100.0)
    assert float(path.distance_mm) == pytest.approx(141_421.36, abs=0.01)
    assert float(path.plan_angle_deg) == pytest.approx(-45.0)
    assert float(offset_lever_along(path)) == pytest.approx(100_000.0)
    assert float(offset_lever_across(path)) == pytest.approx(-100_000.0)


def test_a_gap_between_two_units_is_closed_by_both():
    back, ahead = path_from_fixed_point(80.0, 0.0), path_from_fixed_point(80.0, 130.0)
    levers = gap_levers(back, ahead, 0.0, square_to_joint=True)
    assert levers.tolist() == [-80_000.0, -50_000.0]


def test_at_an_abutment_only_the_deck_moves():
    deck = path_from_fixed_point(0.0, 45.0)
    levers = gap_levers(BACKWALL, deck, 0.0, square_to_joint=True)
    assert levers.tolist() == [0.0, -45_000.0]


def test_square_to_a_skewed_joint_the_gap_moves_less_than_along_the_road():
    deck = path_from_fixed_point(40.0, 0.0)
    square, road = gap_levers(deck, BACKWALL, 60.0, square_to_joint=[True, False])[:, 0]
    assert square == pytest.approx(-20_000.0)
    assert road == pytest.approx(-40_000.0)


def test_units_on_both_sides_slip_a_skewed_joint_the_same_way():
    # 30 deg: half the movement; what both lengthen shears the joint in one sense
    back, ahead = path_from_fixed_point(80.0, 0.0), path_from_fixed_point(80.0, 130.0)
    assert racking_levers(back, ahead, 30.0) == pytest.approx([40_000.0, 25_000.0])
    assert racking_levers(back, ahead, -30.0) == pytest.approx([-40_000.0, -25_000.0])


def test_a_place_that_is_not_known_has_no_lever():
    path = path_from_fixed_point([50.0, np.nan], [np.nan, 0.0])
    assert np.isnan(offset_lever_along(path)).all()
    assert np.isnan(tilt_lever(1000.0, np.nan))


def test_straight_and_curved_places_stand_side_by_side():
    path = path_from_fixed_point(100.0, 0.0, [np.nan, -100.0])
    assert path.plan_angle_deg[0] == 0.0
    assert path.plan_angle_deg[1] > 0.0  # right curve: to the left of the tangent there


@pytest.mark.parametrize(
    ("call", "field", "message", "remedy"),
    [
        (lambda: path_from_fixed_point(9.0, 0.0, 0.0), "plan_radius_m", "0 m", "straight"),
        (lambda: path_from_fixed_point(700.0, 0.0, 200.0), "plan_radius_m", "201 deg", "stations"),
        (lambda: path_from_fixed_point(np.inf, 0.0), "station_m", "infinite", "leave it out"),
        (lambda: offset_lever_along(BACKWALL, np.nan), "angle_deg", "missing", "finite"),
        (lambda: gap_levers(BACKWALL, BACKWALL, 80.1, True), "skew_deg", "80.1", "normal"),
        (lambda: racking_levers(BACKWALL, BACKWALL, -85.0), "skew_deg", "85", "normal"),
        (lambda: gap_levers(BACKWALL, BACKWALL, np.nan, True), "skew_deg", "missing", "finite"),
        (lambda: tilt_lever(1000.0, 0.0), "rocker_radius_mm", "0 is not above", "radius"),
        (lambda: tilt_lever(1000.0, [300.0, -5.0]), "rocker_radius_mm", "-5 is not", "radius"),
    ],
)
def test_impossible_geometry_is_refused_with_its_remedy(call, field, message, remedy):
    with pytest.raises(InputError) as refused:
        call()
    assert refused.value.field == field
    assert message in refused.value.message
    assert remedy in refused.value.remedy


def test_the_largest_skew_and_half_a_circle_are_still_taken():
    assert gap_levers(BACKWALL, BACKWALL, [80.0, -80.0], True).tolist() == [[0, 0], [0, 0]]
    half = path_from_fixed_point(0.999999 * np.pi * 100.0, 0.0, 100.0)
    assert float(half.distance_mm) == pytest.approx(200_000.0)
