"""Limits of deck joint openings; source and provenance beside each case.

14.5.3.2 of AASHTO LRFD from memory but for the single gap, read in MoDOT EPG 751.13 (2014).
"""

import numpy as np
import pytest

from movement.capacity import joints, modular, preformed_seals, seals
from movement.capacity.results import Carried
from movement.errors import InputError
from tests.published.source_units import MM_PER_IN


def inches(now: float, cold: float = np.nan, hot: float = np.nan, name: str = "gap_mm") -> Carried:
    return Carried.of(name, now * MM_PER_IN, cold * MM_PER_IN, hot * MM_PER_IN)


def uses(checks) -> list[float]:
    return [float(each.use) for each in checks]


def demands_in(checks) -> list[float]:
    return [float(each.demand) / MM_PER_IN for each in checks]


def test_single_gap_of_one_to_four_inches_along_the_road():
    gap = inches(2.0, 4.0, 0.5)
    assert uses(joints.single_gap(gap)) == pytest.approx([0.5, 1.0, 0.125])
    assert uses(joints.least_gap_of_steel(gap)) == pytest.approx([0.5, 0.25, 2.0])


def test_a_skewed_gap_is_longer_along_the_road_than_square():
    # 3.5 in square at 30 deg is 4.04 in along the road (W_max = limit / cos(skew), read)
    along = joints.gap_on_axis(inches(3.5), 30.0, True, False)
    assert float(along.now) / MM_PER_IN == pytest.approx(4.041, abs=0.0005)
    assert uses(joints.single_gap(along))[0] > 1.0
    back = joints.gap_on_axis(along, 30.0, False, True)
    assert float(back.now) / MM_PER_IN == pytest.approx(3.5)
    same = joints.gap_on_axis(inches(3.5), 30.0, True, True)
    assert float(same.now) / MM_PER_IN == pytest.approx(3.5)


def test_fingers_may_stand_three_inches_apart_over_short_slots_only():
    # 2 in where the slot is longer than 8 in, 3 in where it is not (from memory)
    checks = joints.finger_openings(2.5 * MM_PER_IN, inches(6.0, 8.1, 8.0))
    limits = [float(each.capacity) / MM_PER_IN for each in checks]
    assert limits == pytest.approx([3.0, 2.0, 3.0])


def test_fingers_keep_an_inch_and_a_half_of_overlap_when_the_joint_opens():
    # 4 in of overlap at a gap of 3; at 5 in there are 2, at 6 in there is 1
    checks = joints.finger_overlap(4.0 * MM_PER_IN, inches(3.0, 5.0, 6.0))
    assert [float(each.capacity) / MM_PER_IN for each in checks] == pytest.approx([4.0, 2.0, 1.0])
    assert demands_in(checks) == pytest.approx([1.5] * 3)
    assert uses(checks)[2] == pytest.approx(1.5)


def test_compression_seal_works_from_0_40_to_0_85_of_its_width():
    # WSDOT BDM 9.1.3.A (read): 4 in seal: 1.60 to 3.40 in square to the joint, 0.88 in of shear
    checks = seals.compression_seal_range(
        inches(2.4, 3.40, 1.60), 4.0 * MM_PER_IN, seals.SealRange()
    )
    assert uses(checks) == pytest.approx([2.4 / 3.4, 1.0, 1.6 / 3.4, 1.6 / 2.4, 1.6 / 3.4, 1.0])
    shear = seals.compression_seal_shear(
        inches(-0.44, 0.88, name="slip_mm"), 4.0 * MM_PER_IN, seals.SealRange()
    )
    assert uses(shear)[:2] == pytest.approx([0.5, 1.0])
    # Idaho (read): no wider than 4 in
    assert float(seals.compression_seal_width(4.5 * MM_PER_IN).use) == pytest.approx(1.125)


def test_a_joint_along_the_road_is_an_inch_wide_at_most():
    # 14.5.3.2, longitudinal joints; from memory
    assert uses(joints.longitudinal_gap(inches(0.5, 1.0, 1.2))) == pytest.approx([0.5, 1.0, 1.2])


def test_closed_cell_seal_stays_in_compression():
    # NHDOT Design Memo 2018-02 (read): over the full design range, whatever a maker's table says
    # of stretching by 30 %: a 3 in seal at 3.3 in is past it
    checks = preformed_seals.stays_compressed(inches(2.4, 3.3, 1.6), 3.0 * MM_PER_IN)
    assert uses(checks) == pytest.approx([0.8, 1.1, 1.6 / 3.0])


@pytest.mark.parametrize(
    ("check", "most_deg"),
    [
        (preformed_seals.preformed_skew, 45.0),  # state summary of preformed seals, read
        (preformed_seals.small_movement_skew, 30.0),  # Idaho, silicone and compression seals, read
    ],
)
def test_skew_of_preformed_and_of_small_joints(check, most_deg):
    assert float(check(most_deg).use) == 1.0
    assert float(check(-most_deg - 3.0).use) > 1.0
    assert check(np.nan).cannot_check() == "cannot check: needs skew_deg"


@pytest.mark.parametrize(
    ("limit_in", "skew_deg", "along_in"),
    # State summary (read): limit / cos(skew), no more than 4 in
    [(3.0, 0.0, 3.0), (3.0, 30.0, 3.464), (3.0, 45.0, 4.0), (5.0, 0.0, 4.0)],
)
def test_largest_gap_of_a_preformed_seal_along_the_road(limit_in, skew_deg, along_in):
    found = preformed_seals.preformed_largest_gap_mm(limit_in * MM_PER_IN, skew_deg)
    assert float(found) / MM_PER_IN == pytest.approx(along_in, abs=0.0005)


def test_small_movement_joints_are_for_two_inches_in_all():
    # Idaho bridge manual (read): total about 1 to 2 in
    check = preformed_seals.small_movement_total(inches(2.0, 3.2, 1.0))
    assert float(check.use) == pytest.approx(1.1)
    lacking = preformed_seals.small_movement_total(inches(2.0, 3.2))
    assert lacking.cannot_check() == "cannot check: needs gap_mm_at_max"


def test_the_owner_sets_the_working_range_of_a_seal():
    narrow = seals.SealRange(least=0.5, most=0.8, shear=0.1)
    checks = seals.compression_seal_range(inches(2.0), 4.0 * MM_PER_IN, narrow)
    assert float(checks[0].capacity) / MM_PER_IN == pytest.approx(3.2)
    with pytest.raises(InputError, match=r"seal_range: 0.9 to 0.8"):
        seals.SealRange(least=0.9, most=0.8)


@pytest.mark.parametrize(("joint", "most_deg"), [("compression seal", 20.0), ("strip seal", 45.0)])
def test_skew_of_seals_by_modot_751_13(joint, most_deg):
    assert float(joints.skew_of_type(-most_deg, joint).use) == 1.0


def test_preformed_seal_at_30_degrees_fails_by_racking():
    # State summary (read): D 2.0 in along the bridge is 1.732 in square, 1.000 in along the
    # joint; 15 % of a 4 in rating is 0.60 in.  0.5 in least gap.
    square = joints.gap_on_axis(inches(2.0), 30.0, False, True)
    assert float(square.now) / MM_PER_IN == pytest.approx(1.732, abs=0.0005)
    check = seals.preformed_racking(inches(1.0, name="slip_mm"), 0.0, 4.0 * MM_PER_IN)[0]
    assert float(check.capacity) / MM_PER_IN == pytest.approx(0.60)
    assert float(check.use) > 1.0
    assert uses(seals.preformed_least_gap(inches(1.0)))[0] == pytest.approx(0.5)


@pytest.mark.parametrize(
    ("installed_in", "open_in", "closed_in", "stretched_ok", "squeezed_ok"),
    [(1.0, 1.45, 0.70, True, True), (0.5, 0.95, 0.20, True, False)],
)
def test_silicone_of_plus_100_minus_50_percent(
    installed_in, open_in, closed_in, stretched_ok, squeezed_ok
):
    # Idaho bridge manual (rule read, arithmetic calc)
    gap = inches(installed_in, open_in, closed_in)
    stretched, squeezed = np.split(np.array(uses(seals.poured_strain(gap, gap.now))), 2)
    # twice and half of the installed width; an inch: 1.45 of 2.0, 0.5 of 0.70
    assert stretched[1] == pytest.approx(open_in / (2.0 * installed_in))
    assert squeezed[2] == pytest.approx(0.5 * installed_in / closed_in)
    assert (stretched[1] <= 1.0) == stretched_ok
    assert (squeezed[2] <= 1.0) == squeezed_ok


def test_poured_seal_moves_38_mm_at_most():
    # General highway handbook (read): 1.5 in
    checks = seals.poured_movement(Carried.of("gap_mm", 30.0, 68.0, 11.0), 30.0)
    assert uses(checks) == pytest.approx([0.0, 0.0, 1.0, 0.0, 0.0, 0.5])


def test_poured_seal_moves_38_mm_in_all():
    # The same, read: 35 mm of opening and 10 of closing, each below 38 mm, are 45 in all
    gap = Carried.of("gap_mm", 50.0, 85.0, 40.0)
    assert max(uses(seals.poured_movement(gap, 50.0))) < 1.0
    assert float(seals.poured_total_movement(gap).use) == pytest.approx(45.0 / 38.0)
    assert seals.poured_total_movement(gap).name in {
        each.name for each in seals.poured(gap, gap, 50.0, 50.0)
    }


def test_plug_that_fails_in_closing_although_the_sum_would_pass():
    # UK BD 33/94 (trade summary, read): 20 mm each side; opens 15, closes 23 mm, total 38 <= 40
    checks = seals.plug(Carried.of("gap_mm", 40.0, 55.0, 17.0), 40.0)
    worst = {
        side: max(float(each.use) for each in checks if each.name.startswith(side))
        for side in ("Opening", "Closing")
    }
    assert worst == {"Opening": pytest.approx(15 / 20), "Closing": pytest.approx(23 / 20)}


@pytest.mark.parametrize(
    ("joint", "each_side_mm"),
    [("buried", 10.0), ("plug", 20.0), ("nosing", 20.0), ("reinforced elastomeric", 165.0)],
)
def test_movement_of_joint_types_by_bd_33(joint, each_side_mm):
    check = seals.each_side_bd_33(Carried.of("gap_mm", 200.0 + each_side_mm), 200.0, joint)[0]
    assert float(check.use) == pytest.approx(1.0)


def test_nosing_gap_of_65_mm():
    assert uses(seals.nosing_gap(Carried.of("gap_mm", 65.0)))[0] == 1.0


def test_modular_joint_of_22_inches():
    # From memory: n 8, G_min 17.5 in, G_max 39.5 in (of the movement; eight cells reach 41.5)
    cells = modular.modular_cells(22 * MM_PER_IN, 3 * MM_PER_IN)
    assert float(cells) == 8.0
    least = modular.modular_least_opening_mm(cells, 2.5 * MM_PER_IN, 0.0)
    assert float(least) / MM_PER_IN == pytest.approx(17.5)
    assert (float(least) + 22 * MM_PER_IN) / MM_PER_IN == pytest.approx(39.5)
    checks = modular.modular_range(
        inches(30.0, 41.5, 17.5, "overall_mm"), 8, 3 * MM_PER_IN, 2.5 * MM_PER_IN
    )
    assert [float(each.capacity) / MM_PER_IN for each in checks[:3]] == pytest.approx([41.5] * 3)
    assert [uses(checks)[1], uses(checks)[5]] == pytest.approx([1.0, 1.0])


def test_modular_gap_of_three_inches_in_each_cell():
    # 8 cells: (41.5 - 17.5) / 8 = 3.0 in (14.5.3.2, from memory)
    checks = modular.modular_cell_gap(inches(41.5, name="overall_mm"), 8, 2.5 * MM_PER_IN)
    assert uses(checks)[0] == pytest.approx(1.0)
    assert float(modular.modular_cells(18 * MM_PER_IN, 3 * MM_PER_IN)) == 6.0


def test_the_design_range_of_any_joint():
    checks = joints.open_joint(
        Carried.of("gap_mm", 40.0), Carried.of("gap_mm", 40.0, 80.0, 10.0), 20.0, 80.0
    )
    assert uses(checks)[:6] == pytest.approx([0.5, 1.0, 0.125, 0.5, 0.25, 2.0])
    plate = joints.sliding_plate(Carried.of("gap_mm", 120.0), 10.0, 150.0)
    assert len(plate) == 6  # a plate covers the gap: the 4 in limit is not asked of it
