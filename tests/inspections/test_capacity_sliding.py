"""Capacity of sliding surfaces as found, by both families, through the service.

Sources and provenance of the figures stand in tests/published/test_sliding_and_contact.py.
The decks are as in test_capacity_bearings: 1.17 mm for each degC, -30 to 120 degF.
"""

import math

import pytest

from tests.inspections.capacity_rows import KN_PER_KIP, MM_PER_IN, device_with, the_check, uses

pytestmark = pytest.mark.django_db
COLDEST_C, HOTTEST_C = -310.0 / 9.0, 440.0 / 9.0  # -30 and 120 degF
SLIDER = {
    "ptfe_area_mm2": math.pi * 200.0**2,
    "ptfe_kind": "confined_unfilled",
    "sliding_surface": "dimpled_lubricated",
    "ptfe_thickness_mm": 5.0,
    "vertical_service_max_kn": 3000.0,
    "vertical_strength_max_kn": 3000.0,
    "horizontal_along_kn": 150.0,
    "movement_back_mm": 80.0,
    "movement_ahead_mm": 100.0,
    "sliding_plate_length_mm": 560.0,
    "ptfe_length_mm": 400.0,
}


def test_a_flat_sliding_bearing_by_en_1337_2():
    bearing = device_with("flat_sliding", SLIDER, [("offset_along", 30.0), ("sliding_gap", 0.5)])
    # 3000 kN on a sheet of 400 mm: sigma 23.87 MPa, mu 0.0354, H 106.3 kN; f_k falls 2 % a
    # degC above 30: 90 x (1 - 0.02 x 18.889) / 1.4 = 40.0 MPa (tests/published, by hand)
    stress = the_check(bearing, "Contact stress", "EN 1337-2")
    assert stress.demand == pytest.approx(23.87, abs=0.005)
    assert stress.capacity == pytest.approx(40.0, abs=0.005)
    assert the_check(bearing, "Friction force", "EN 1337-2").demand == pytest.approx(
        106.3, abs=0.05
    )
    assert the_check(bearing, "PTFE protrusion, act below").use == pytest.approx(0.4)
    assert the_check(bearing, "PTFE sheet, least").demand == pytest.approx(4.84)


def test_a_flat_sliding_bearing_by_aashto_lrfd():
    # 50 in2 under 100 kip: 2 ksi; lubricated 0.04 at -13 F and 0.06 at -49 F, so at -30 F
    # 0.04 + 0.02 x 17 / 36 = 0.049444: 4.944 kip of 5
    bearing = device_with(
        "flat_sliding",
        SLIDER
        | {
            "ptfe_area_mm2": 50 * MM_PER_IN**2,
            "permanent_kn": 75 * KN_PER_KIP,
            "vertical_service_max_kn": 100 * KN_PER_KIP,
            "horizontal_along_kn": 5 * KN_PER_KIP,
        },
    )
    force = the_check(bearing, "Friction force", "AASHTO")
    assert force.demand / KN_PER_KIP == pytest.approx(4.944, abs=0.001)
    assert the_check(bearing, "Mean contact stress, permanent").use == pytest.approx(1.5 / 3.0)
    assert the_check(bearing, "Mean contact stress, all loads").use == pytest.approx(2.0 / 4.5)


def test_travel_and_cover_of_a_sliding_bearing_at_both_extremes():
    bearing = device_with("flat_sliding", SLIDER, [("offset_along", 30.0)])
    cold, hot = (30.0 + 1.17 * (each - 10.0) for each in (COLDEST_C, HOTTEST_C))
    # -22.0 mm of 80 behind; 75.5 mm of 100 ahead, and of the 80 mm by which the plate overlaps
    assert uses(bearing, "Movement") == pytest.approx([0.3, -cold / 80, hot / 100])
    assert uses(bearing, "PTFE covered by its plate") == pytest.approx(
        [30 / 80, -cold / 80, hot / 80]
    )


def test_a_filled_sheet_is_no_sheet_of_en_1337_2():
    bearing = device_with("flat_sliding", SLIDER | {"ptfe_kind": "filled"})
    assert "unfilled recessed PTFE" in the_check(bearing, "Contact stress", "EN 1337-2").lacking


def test_a_spherical_bearing_turns_and_slides():
    bearing = device_with(
        "spherical",
        {"rotation_mrad": 20.0, "live_rotation_mrad": 0.0, "ptfe_area_mm2": 50 * MM_PER_IN**2,
         "ptfe_kind": "reinforced_woven", "permanent_kn": 100 * KN_PER_KIP},
        [("rotation", -12.0)],
    )  # fmt: skip
    assert the_check(bearing, "Rotation", "AASHTO").demand == pytest.approx(22.0)
    assert the_check(bearing, "Mean contact stress, permanent").use == pytest.approx(2.0 / 4.0)
