"""Capacity of deck joints as found: published limits through the service.

The limits are those of tests/published/test_joint_limits.py, where their sources stand.
A joint at the end of 100 m of deck opens by 1.17 mm for each degC that it gets colder; its
extremes are -30 and 120 degF.
"""

import pytest

from inspections.models import CapacityCheck
from tests.inspections.capacity_rows import MM_PER_IN, device_with, the_check, uses, visit
from tests.make import make_bridge, make_inspection, make_unit, read

pytestmark = pytest.mark.django_db
COLDEST_C, HOTTEST_C = -310.0 / 9.0, 440.0 / 9.0  # -30 and 120 degF
SET_AT_50 = {
    "setting_source": "measured",
    "setting_temperature_c": 10.0,
    "setting_gap_mm": 50.0,
}
COLDER_MM = 1.17 * (10.0 - COLDEST_C)  # 52.0 wider than at 10 degC
HOTTER_MM = 1.17 * (HOTTEST_C - 10.0)  # 45.5 narrower


def gap(left: float, *others: float) -> list[tuple]:
    points = ("left", "centre", "right")
    return [("gap", value, point) for value, point in zip((left, *others), points, strict=False)]


def test_a_strip_seal_against_its_range_and_the_four_inches_of_aashto():
    joint = device_with("strip_seal", {"opening_min_mm": 10.0, "opening_max_mm": 120.0}, gap(60.0))
    wide, narrow = 60.0 + COLDER_MM, 60.0 - HOTTER_MM
    assert uses(joint, "Largest opening") == pytest.approx([0.5, wide / 120, narrow / 120])
    assert uses(joint, "Smallest opening") == pytest.approx([10 / 60, 10 / wide, 10 / narrow])
    assert uses(joint, "Gap along the road", "AASHTO") == pytest.approx(
        [60 / 101.6, wide / 101.6, narrow / 101.6]
    )
    assert uses(joint, "Least gap of a preformed seal") == pytest.approx(
        [12.7 / 60, 12.7 / wide, 12.7 / narrow]
    )
    # 1.0 in at a deck on steel
    assert uses(joint, "Least gap, steel deck")[2] == pytest.approx(25.4 / narrow)


def test_a_concrete_deck_may_stand_closer():
    unit = make_unit(make_bridge(), deck_type="concrete", expansion_per_c=10e-6)
    joint = device_with("strip_seal", None, gap(20.0), unit=unit)
    assert not CapacityCheck.objects.filter(element=joint, name="Least gap, steel deck").exists()


def test_the_worst_point_across_the_road_counts():
    joint = device_with(
        "open", {"opening_min_mm": 20.0, "opening_max_mm": 80.0}, gap(40.0, 60.0, 32.0)
    )
    assert the_check(joint, "Largest opening").use == pytest.approx(60 / 80)
    assert the_check(joint, "Smallest opening").use == pytest.approx(20 / 32)


def test_a_skewed_gap_taken_square_is_longer_along_the_road():
    # 3.5 in square at 30 deg is 4.04 in along the road
    joint = device_with("open", None, gap(3.5 * MM_PER_IN), place={"skew_deg": 30.0})
    found = the_check(joint, "Gap along the road")
    assert found.demand / MM_PER_IN == pytest.approx(4.041, abs=0.0005)
    assert found.use > 1.0


def test_a_range_along_the_road_is_held_against_the_gap_along_the_road():
    design = {"opening_max_mm": 100.0, "opening_min_mm": 1.0, "opening_axis": "road"}
    joint = device_with("sliding_plate", design, gap(50.0), place={"skew_deg": 60.0})
    assert the_check(joint, "Largest opening").demand == pytest.approx(100.0)  # 50 / cos 60


def test_a_compression_seal_works_from_0_40_to_0_85_of_its_width():
    joint = device_with("compression_seal", {"seal_width_mm": 4 * MM_PER_IN}, gap(2.4 * MM_PER_IN))
    assert the_check(joint, "Seal held, widest gap").use == pytest.approx(2.4 / 3.4)
    assert the_check(joint, "Seal crushed, least gap").use == pytest.approx(1.6 / 2.4)
    assert the_check(joint, "Width of the seal", "Idaho").use == pytest.approx(1.0)
    # about 2 in between both extremes: 97.5 of 50.8 mm
    total = the_check(joint, "Movement, small movement joint", "Idaho")
    assert total.use == pytest.approx((COLDER_MM + HOTTER_MM) / 50.8)
    assert the_check(joint, "Skew", "MoDOT").use == 0.0
    assert uses(joint, "Seal sheared along the joint") == [0.0, 0.0, 0.0]  # it is square


def test_racking_of_a_skewed_strip_seal_now_and_at_both_extremes():
    # 100 m at 30 deg: the end moves 1.17 mm a degC, half of it along the joint (sin 30)
    design = {"opening_min_mm": 0.0, "opening_max_mm": 101.6, "racking_limit_mm": 25.0}
    joint = device_with(
        "strip_seal", design, gap(50.0), 20.0, place={"skew_deg": 30.0}, installation=SET_AT_50
    )
    slips = [0.5 * 1.17 * (each - 10.0) for each in (20.0, COLDEST_C, HOTTEST_C)]
    assert uses(joint, "Racking") == pytest.approx([abs(each) / 25.0 for each in slips])
    # with a figure of its own the 15 % of joints without a graph are not asked for
    names = CapacityCheck.objects.filter(element=joint).values_list("name", flat=True)
    assert "Racking without a graph" not in names


def test_racking_without_a_figure_is_held_against_15_percent():
    design = {"opening_min_mm": 0.0, "opening_max_mm": 101.6}  # 15 % of 4 in is 0.60 in
    joint = device_with(
        "strip_seal", design, gap(50.0), 20.0, place={"skew_deg": 30.0}, installation=SET_AT_50
    )
    found = the_check(joint, "Racking without a graph")
    assert (found.demand, found.capacity) == (pytest.approx(5.85), pytest.approx(15.24))


def test_racking_needs_a_temperature_and_says_so():
    joint = device_with(
        "compression_seal", {"seal_width_mm": 90.0}, gap(50.0), None,
        place={"skew_deg": 30.0}, installation=SET_AT_50,
    )  # fmt: skip
    lacking = the_check(joint, "Seal sheared along the joint").lacking
    assert lacking == "a temperature taken with the reading"


def test_a_poured_joint_by_width_and_by_movement():
    # silicone of +100 and -50 %: 25 to 100 mm of 50; 38 mm either way and in all
    joint = device_with("poured", {"installed_width_mm": 50.0}, gap(45.0), installation=SET_AT_50)
    assert the_check(joint, "Sealant stretched").use == pytest.approx(0.45)
    assert the_check(joint, "Sealant squeezed").use == pytest.approx(25 / 45)
    total = the_check(joint, "Total movement of a poured seal")
    assert total.use == pytest.approx((COLDER_MM + HOTTER_MM) / 38.0)
    opened = the_check(joint, "Movement of a poured seal", when="at_min")
    assert opened.use == pytest.approx((COLDER_MM - 5.0) / 38.0)


def test_a_plug_joint_moves_20_mm_to_each_side():
    joint = device_with("plug", None, gap(62.0), installation=SET_AT_50)
    assert the_check(joint, "Opening of a plug joint").use == pytest.approx(0.6)
    assert the_check(joint, "Closing of a plug joint").use == 0.0


def test_without_a_setting_a_plug_joint_asks_for_it():
    joint = device_with("plug", None)
    visit(joint, gap(62.0), None)
    lacking = the_check(joint, "Opening of a plug joint").lacking
    assert lacking == "setting_gap_mm"


def test_a_modular_joint_of_eight_cells():
    # n 8, 2.5 in beams: G_min 17.5, G_max 17.5 + 8 x 3 = 41.5 in; (30 - 17.5) / 8 a cell
    joint = device_with(
        "modular",
        {"cells": 8, "cell_movement_mm": 3 * MM_PER_IN, "beam_width_mm": 2.5 * MM_PER_IN},
        gap(30 * MM_PER_IN),
    )
    assert the_check(joint, "Overall opening, greatest").use == pytest.approx(30 / 41.5)
    assert the_check(joint, "Overall opening, least").use == pytest.approx(17.5 / 30)
    assert the_check(joint, "Gap of one cell", "AASHTO").use == pytest.approx(12.5 / 8 / 3.0)


def test_fingers_lose_overlap_as_the_joint_opens():
    # 90 mm of overlap as set at 50; at 70 there are 70, at the coldest 18; 1.5 in are asked
    joint = device_with(
        "finger",
        {"finger_overlap_mm": 90.0, "finger_width_mm": 2.5 * MM_PER_IN},
        gap(70.0),
        installation=SET_AT_50,
    )
    now, cold, _hot = uses(joint, "Overlap of fingers")
    assert (now, cold) == (pytest.approx(38.1 / 70), pytest.approx(38.1 / (70 - COLDER_MM)))
    assert the_check(joint, "Opening between fingers").use == pytest.approx(2.5 / 3.0)


def test_fingers_of_an_unknown_setting_ask_for_it():
    joint = device_with("finger", {"finger_overlap_mm": 90.0})
    assert "setting_gap_mm" in the_check(joint, "Overlap of fingers").lacking


def test_another_joint_has_its_own_range_and_racking_alone():
    design = {"opening_min_mm": 10.0, "opening_max_mm": 120.0, "racking_limit_mm": 30.0}
    joint = device_with(
        "other_joint", design, gap(60.0), 20.0, place={"skew_deg": 30.0}, installation=SET_AT_50
    )
    assert the_check(joint, "Largest opening").use == pytest.approx(0.5)
    assert the_check(joint, "Racking").use == pytest.approx(5.85 / 30)
    families = CapacityCheck.objects.filter(element=joint).values_list("family", flat=True)
    assert set(families) == {"design"}


def test_a_gap_taken_along_the_road_is_turned_square_for_the_seal():
    joint = device_with("compression_seal", {"seal_width_mm": 80.0}, place={"skew_deg": 60.0})
    read(
        make_inspection(joint.bridge), joint, "gap", 100.0, 10.0,
        point="left", axis="road", accept=True,
    )  # fmt: skip
    assert the_check(joint, "Gap along the road").demand == pytest.approx(100.0)
    assert the_check(joint, "Seal held, widest gap").demand == pytest.approx(50.0)  # cos 60


def test_racking_is_that_of_the_point_whose_temperature_is_known():
    design = {"opening_min_mm": 0.0, "opening_max_mm": 101.6, "racking_limit_mm": 25.0}
    joint = device_with("strip_seal", design, place={"skew_deg": 30.0}, installation=SET_AT_50)
    inspection = make_inspection(joint.bridge)
    read(inspection, joint, "gap", 50.0, point="left", axis="square", hour=2)
    read(inspection, joint, "gap", 50.0, 20.0, point="right", axis="square", hour=14, accept=True)
    assert uses(joint, "Racking")[0] == pytest.approx(5.85 / 25.0)
    assert None not in uses(joint, "Racking")
