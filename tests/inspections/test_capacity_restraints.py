"""Capacity of restraints and rods as found: published and hand-worked figures.

Their sources stand in tests/published/test_restraint_hardware.py.  The end of the deck moves
1.17 mm for each degC; its extremes are -30 and 120 degF.
"""

import pytest

from inspections.models import CapacityCheck
from tests.inspections.capacity_rows import KN_PER_KIP, MM_PER_IN, device_with, the_check, uses

pytestmark = pytest.mark.django_db
COLDEST_C, HOTTEST_C = -310.0 / 9.0, 440.0 / 9.0  # -30 and 120 degF


@pytest.mark.parametrize(
    ("device_type", "quantity", "name"),
    [
        ("shear_key", "key_gap", "Gap stays open"),
        ("lock_up", "key_gap", "Gap stays open"),
        ("restrainer_cable", "slack", "Slack remains"),
    ],
)
def test_a_key_stays_open_in_the_heat_and_in_the_cold(device_type, quantity, name):
    key = device_with(
        device_type,
        {"gap_back_mm": 60.0, "gap_ahead_mm": 60.0, "gap_min_mm": 5.0},
        [(quantity, 70.0, "back"), (quantity, 40.0, "ahead")],
    )
    # 10 degC: 45.5 mm still to come ahead, 52.0 mm behind; 5 mm must stay
    ahead = uses(key, f"{name}, ahead")
    assert ahead == pytest.approx([5 / 40, 5 / 40, (1.17 * (HOTTEST_C - 10) + 5) / 40])
    assert ahead[2] > 1.0
    behind = uses(key, f"{name}, back")
    assert behind[1] == pytest.approx((1.17 * (10 - COLDEST_C) + 5) / 70)


def test_a_key_is_checked_on_the_sides_that_it_has():
    key = device_with("shear_key", {"gap_left_mm": 20.0, "gap_right_mm": 20.0})
    names = set(CapacityCheck.objects.filter(element=key).values_list("name", flat=True))
    assert names == {"Gap stays open, left", "Gap stays open, right"}
    assert the_check(key, "Gap stays open, left").lacking == "key_gap_left_mm"


def test_a_key_is_held_against_its_own_strength():
    key = device_with("shear_key", {"horizontal_kn": 800.0, "horizontal_demand_kn": 600.0})
    assert the_check(key, "Horizontal force").use == pytest.approx(0.75)


HOLD_DOWN = {
    "uplift_demand_kn": 60.0,
    "vertical_kn": 100.0,
    "rod_count": 4,
    "projection_mm": 50.0,
    "slip_limit_mm": 5.0,
}


def test_a_hold_down_with_a_broken_rod_holds_less():
    readings = [("broken_rods", 1), ("projection", 52.0, "rod 1"), ("projection", 46.0, "rod 2")]
    device = device_with(
        "hold_down",
        HOLD_DOWN,
        readings,
        installation={"setting_source": "measured", "setting_temperature_c": 10.0},
    )
    assert the_check(device, "Uplift").use == pytest.approx(60 / 75)
    assert the_check(device, "Whole rods").use == pytest.approx(4 / 3)
    # the worst rod: 4 mm of 5
    assert the_check(device, "Change of rod projection").use == pytest.approx(0.8)


def test_a_hold_down_whose_rods_were_not_counted_asks_for_it():
    device = device_with("hold_down", HOLD_DOWN)
    assert the_check(device, "Uplift").lacking == "rods_broken"
    assert the_check(device, "Change of rod projection").lacking == "projection_reading"


THREE_INCH_BD = {
    "rod_grade": "ASTM A354 grade BD",
    "rod_diameter_mm": 3 * MM_PER_IN,
    "rod_pretension_kn": 580 * KN_PER_KIP,
    "rod_count": 8,
}


def test_three_inch_a354_bd_rods_and_their_trap():
    # 0.70 F_u 584.8 kip with the 140 ksi of thick rods; 600 kip would pass with 150 ksi
    rods = device_with(
        "anchor_rods",
        THREE_INCH_BD,
        [
            ("rod_tension", 600 * KN_PER_KIP, "rod 1"),
            ("rod_tension", 500 * KN_PER_KIP, "rod 2"),
            ("broken_rods", 1),
        ],
    )
    worst = the_check(rods, "Tension of a rod")
    assert worst.demand / KN_PER_KIP == pytest.approx(600.0)
    assert worst.capacity / KN_PER_KIP == pytest.approx(584.8, abs=0.1)
    assert worst.edition == "ASTM A354 grade BD"
    assert worst.family == "other"
    # the slackest rod, and the mean of the two on the seven that are whole
    assert the_check(rods, "Pretension kept").use == pytest.approx(580 / 500)
    group = the_check(rods, "Tension of the group")
    assert group.use == pytest.approx(8 * 580 / (7 * 550))


def test_the_mean_tension_stands_for_the_group_where_it_alone_was_read():
    rods = device_with(
        "anchor_rods", THREE_INCH_BD, [("rod_tension", 2000.0, "mean"), ("broken_rods", 0)]
    )
    group = the_check(rods, "Tension of the group")
    assert group.capacity == pytest.approx(16_000.0)


def test_rods_of_an_unknown_grade_ask_for_it():
    rods = device_with("anchor_rods", THREE_INCH_BD | {"rod_grade": "A325"})
    assert the_check(rods, "Tension of a rod").lacking == "rod_grade"


CLAMP = {
    "clamp_force_kn": 703.2 * KN_PER_KIP,
    "slip_coefficient": 0.40,
    "clamp_loss_share": 0.2,
    "faces": 2,
    "horizontal_demand_kn": 200 * KN_PER_KIP,
    "slip_limit_mm": 4.0,
}


def test_friction_clamp_of_twenty_strands():
    # N 703.2 kip, mu 0.40, 20 % lost, two faces: 450.0 kip
    clamp = device_with("clamp", CLAMP, [("slip", -3.0)])
    friction = the_check(clamp, "Friction of the clamp")
    assert friction.capacity / KN_PER_KIP == pytest.approx(450.0, abs=0.1)
    assert the_check(clamp, "Slip").use == pytest.approx(0.75)


def test_a_clamp_whose_rods_were_read_needs_no_losses():
    # three of four rods whole, 500 kN each: 0.4 x 1500 x 2
    design = CLAMP | {"rod_count": 4, "clamp_loss_share": None}
    clamp = device_with("clamp", design, [("rod_tension", 500.0, "mean"), ("broken_rods", 1)])
    assert the_check(clamp, "Friction of the clamp").capacity == pytest.approx(1200.0)


def test_what_does_not_move_with_temperature_is_checked_as_found_alone():
    clamp = device_with("clamp", CLAMP, [("slip", -3.0)])
    moments = CapacityCheck.objects.filter(element=clamp).values_list("when", flat=True)
    assert set(moments) == {"now"}
