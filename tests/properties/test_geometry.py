"""What must hold of every bridge's geometry, whichever way one looks at it."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from movement.geometry import (
    Path,
    gap_levers,
    offset_lever_across,
    offset_lever_along,
    path_from_fixed_point,
    racking_levers,
)
from tests.properties.strategies import between, radii_m, skews_deg, stations_m, steady

CLOSE_MM = 1e-6  # rounding of stations of some hundred metres


def close(value):
    return pytest.approx(value, abs=CLOSE_MM, rel=1e-9)


def paths(station_m, fixed_back_m, fixed_ahead_m, radius_m) -> tuple[Path, Path]:
    return (
        path_from_fixed_point(station_m, fixed_back_m, radius_m),
        path_from_fixed_point(station_m, fixed_ahead_m, radius_m),
    )


joints = st.tuples(stations_m, stations_m, stations_m, radii_m)


@steady
@given(stations_m, stations_m, radii_m, between(-45.0, 45.0))
def test_seen_from_the_other_end_offsets_change_their_sign(station, fixed, radius, axis_deg):
    path = path_from_fixed_point(station, fixed, radius)
    # the same bridge with stations counted backwards: a left curve is now a right one
    back = path_from_fixed_point(-station, -fixed, -radius)
    assert offset_lever_along(back, axis_deg) == close(-offset_lever_along(path, axis_deg))
    assert offset_lever_across(back, axis_deg) == close(-offset_lever_across(path, axis_deg))


@steady
@given(joints, skews_deg, st.booleans())
def test_seen_from_the_other_end_gaps_and_slips_are_the_same(joint, skew_deg, square):
    station, fixed_back, fixed_ahead, radius = joint
    behind, ahead = paths(station, fixed_back, fixed_ahead, radius)
    ahead_now, behind_now = paths(-station, -fixed_back, -fixed_ahead, -radius)
    seen = gap_levers(behind, ahead, skew_deg, square)
    other = gap_levers(behind_now, ahead_now, skew_deg, square)
    assert other == close(seen[::-1])
    assert racking_levers(behind_now, ahead_now, skew_deg) == close(
        racking_levers(behind, ahead, skew_deg)[::-1]
    )


@steady
@given(joints, skews_deg, st.booleans())
def test_in_a_mirror_left_and_right_change_and_gaps_stay(joint, skew_deg, square):
    station, fixed_back, fixed_ahead, radius = joint
    real = paths(station, fixed_back, fixed_ahead, radius)
    image = paths(station, fixed_back, fixed_ahead, -radius)
    assert offset_lever_along(image[0]) == close(offset_lever_along(real[0]))
    assert offset_lever_across(image[0]) == close(-offset_lever_across(real[0]))
    assert gap_levers(*image, -skew_deg, square) == close(gap_levers(*real, skew_deg, square))
    assert racking_levers(*image, -skew_deg) == close(-racking_levers(*real, skew_deg))


@steady
@given(joints, between(-2000.0, 2000.0), skews_deg)
def test_where_stations_start_does_not_matter(joint, shift, skew_deg):
    station, fixed_back, fixed_ahead, radius = joint
    here = paths(station, fixed_back, fixed_ahead, radius)
    there = paths(station + shift, fixed_back + shift, fixed_ahead + shift, radius)
    assert gap_levers(*there, skew_deg, True) == close(gap_levers(*here, skew_deg, True))
    assert offset_lever_along(there[0]) == close(offset_lever_along(here[0]))


@steady
@given(stations_m, stations_m, st.sampled_from([1e9, -1e9]))
def test_a_huge_radius_is_straight(station, fixed, radius):
    curved = path_from_fixed_point(station, fixed, radius)
    straight = path_from_fixed_point(station, fixed)
    assert curved.distance_mm == close(straight.distance_mm)
    assert float(curved.plan_angle_deg) == pytest.approx(0.0, abs=1e-4)


@steady
@given(stations_m, stations_m, radii_m)
def test_a_chord_is_never_longer_than_its_arc_and_points_the_same_way(station, fixed, radius):
    chord_mm = float(path_from_fixed_point(station, fixed, radius).distance_mm)
    arc_mm = (station - fixed) * 1000.0
    assert abs(chord_mm) <= abs(arc_mm) * (1.0 + 1e-12)
    assert chord_mm * arc_mm >= 0.0


@steady
@given(joints, skews_deg)
def test_normal_and_parallel_parts_hold_the_whole_movement(joint, skew_deg):
    behind, ahead = paths(*joint)
    normal = gap_levers(behind, ahead, skew_deg, True)
    parallel = racking_levers(behind, ahead, skew_deg)
    whole = np.array([behind.distance_mm, ahead.distance_mm])
    assert np.hypot(normal, parallel) == close(np.abs(whole))


@steady
@given(st.lists(st.tuples(joints, skews_deg, st.booleans()), min_size=1, max_size=6))
def test_many_joints_at_once_are_as_one_by_one(rows):
    station, fixed_back, fixed_ahead, radius = np.array([row[0] for row in rows]).T
    skew_deg = np.array([row[1] for row in rows])
    square = np.array([row[2] for row in rows])
    together = gap_levers(*paths(station, fixed_back, fixed_ahead, radius), skew_deg, square)
    for row, (joint, skew, is_square) in enumerate(rows):
        assert together[row] == close(gap_levers(*paths(*joint), skew, is_square))
