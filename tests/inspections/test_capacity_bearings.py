"""Capacity of bearings as found: published and hand-worked figures through the service.

The cases are those of tests/published, where their sources and provenance stand.  Rows are
at the end of 100 m of deck on steel, 1.17 mm for each degC; its cold-climate extremes by
AASHTO LRFD 9th ed., Table 3.12.2.1-1 are -30 and 120 degF.
"""

import pytest

from inspections.models import CapacityCheck
from tests.inspections.capacity_rows import (
    KN_PER_KIP,
    MM_PER_IN,
    MPA_PER_KSI,
    device_with,
    the_check,
    uses,
)

pytestmark = pytest.mark.django_db
IN3 = 0.0005  # worked to three decimals
COLDEST_C, HOTTEST_C = -310.0 / 9.0, 440.0 / 9.0  # -30 and 120 degF
THE_14_BY_20 = {
    "plan_length_mm": 14 * MM_PER_IN,
    "plan_width_mm": 20 * MM_PER_IN,
    "layer_thickness_mm": 0.5 * MM_PER_IN,
    "cover_thickness_mm": 0.25 * MM_PER_IN,
    "rubber_thickness_mm": 3.0 * MM_PER_IN,
    "interior_layers": 5,
    "shear_modulus_mpa": 0.130 * MPA_PER_KSI,
    "permanent_kn": 80 * KN_PER_KIP,
    "live_kn": 60 * KN_PER_KIP,
    "live_rotation_mrad": 3.0,
    "horizontal_along_kn": 20 * KN_PER_KIP,
}
SHEARED = [("offset_along", 1.2 * MM_PER_IN), ("rotation", -9.0)]


def test_the_14_by_20_inch_bearing_by_methods_a_and_b():
    bearing = device_with("reinforced_elastomeric", THE_14_BY_20, SHEARED)
    # as worked by hand in tests/published/test_aashto_elastomeric_capacity.py
    strain = the_check(bearing, "Combined shear strain, method B")
    assert (strain.demand, strain.capacity) == (pytest.approx(2.195, abs=0.001), 5.0)
    assert strain.use == pytest.approx(2.195 / 5.0, abs=0.001)
    stress = the_check(bearing, "Compressive stress, method A", "AASHTO LRFD, 9th")
    assert stress.demand / MPA_PER_KSI == pytest.approx(0.500)
    assert stress.capacity / MPA_PER_KSI == pytest.approx(1.25)
    older = the_check(bearing, "Compressive stress, method A", "AASHTO LRFD, 3rd")
    assert older.capacity / MPA_PER_KSI == pytest.approx(1.00)
    force = the_check(bearing, "Horizontal force of shear")
    assert force.demand / KN_PER_KIP == pytest.approx(14.56, abs=0.005)
    stability = the_check(bearing, "Stability")
    assert stability.capacity / MPA_PER_KSI == pytest.approx(3.463, abs=0.005)
    total = the_check(bearing, "Total load stress", "TxDOT")
    assert total.capacity / MPA_PER_KSI == pytest.approx(1.5)
    assert (total.family, stress.family) == ("other", "aashto")


def test_shear_is_carried_to_both_extremes():
    bearing = device_with("reinforced_elastomeric", THE_14_BY_20, SHEARED)
    # 30.48 mm at 10 degC; half of 76.2 mm is 38.1 mm
    offsets = [30.48, 30.48 + 1.17 * (COLDEST_C - 10), 30.48 + 1.17 * (HOTTEST_C - 10)]
    assert uses(bearing, "Shear deformation") == pytest.approx(
        [abs(each) / 38.1 for each in offsets]
    )


def test_clause_edition_and_how_well_a_rule_is_known_are_stored():
    bearing = device_with("reinforced_elastomeric", THE_14_BY_20, SHEARED)
    check = the_check(bearing, "Shear deformation")
    assert check.clause == "14.7.5.3.2-1, 14.7.6.3.4-1"
    assert check.edition == "AASHTO LRFD, 9th ed. (2020)"
    assert check.provenance == "read in the source"
    assert check.unit == "mm"
    assert check.inspection.readings.count() == 2


def test_method_a_does_not_count_where_b_is_met():
    bearing = device_with("reinforced_elastomeric", THE_14_BY_20, SHEARED)
    others = CapacityCheck.objects.filter(element=bearing, counts=False)
    assert {each.name for each in others} == {
        "Compressive stress, method A", "Method A without rotation, S²/n"
    }  # fmt: skip


def test_method_a_counts_where_b_is_not_met():
    # 9 mrad on thin layers: 392 x 4 x 0.009 / 6 alone is 2.35; 60 mrad is far beyond 5
    bearing = device_with(
        "reinforced_elastomeric", THE_14_BY_20, [("offset_along", 10.0), ("rotation", 80.0)]
    )
    assert the_check(bearing, "Combined shear strain, method B").use > 1.0
    assert the_check(bearing, "Compressive stress, method A", "AASHTO LRFD, 9th").counts
    # one edition or the other: the ninth's is met
    assert not the_check(bearing, "Compressive stress, method A", "AASHTO LRFD, 3rd").counts


def test_the_300_by_400_bearing_by_en_1337_3():
    bearing = device_with(
        "reinforced_elastomeric",
        {
            "plan_length_mm": 300.0,
            "plan_width_mm": 400.0,
            "side_cover_mm": 5.0,
            "layer_thickness_mm": 8.0,
            "interior_layers": 5,
            "rubber_thickness_mm": 45.0,
            "shear_modulus_mpa": 0.9,
            "shim_thickness_mm": 3.0,
            "shim_yield_mpa": 235.0,
            "permanent_kn": 500.0,
            "vertical_service_min_kn": 500.0,
            "vertical_strength_max_kn": 1200.0,
        },
        [("offset_along", 25.0), ("rotation", 5.0)],
    )
    # worked by hand in tests/published/test_en_1337_3.py
    total = the_check(bearing, "Total strain", "EN 1337-3")
    assert (total.demand, total.capacity) == (pytest.approx(3.074, abs=0.001), 7.0)
    slip = the_check(bearing, "Slip of the bearing", "EN 1337-3")
    assert (slip.demand, slip.capacity) == (pytest.approx(60.0), pytest.approx(143.0, abs=0.05))
    assert slip.family == "en"


def test_a_round_bearing_is_never_asked_for_length_and_width():
    design = {"plan_diameter_mm": 400.0, "layer_thickness_mm": 10.0}
    bearing = device_with("reinforced_elastomeric", design, SHEARED)
    lacking = CapacityCheck.objects.filter(element=bearing).values_list("lacking", flat=True)
    assert not any("plan_length" in each or "plan_width" in each for each in lacking)


def test_a_plain_pad_by_both_editions():
    # 10 x 10 x 0.5 in, G 0.1 ksi: G S 0.5 ksi by the ninth, 0.80 by the third (published tests)
    pad = device_with(
        "plain_elastomeric",
        {
            "plan_length_mm": 254.0,
            "plan_width_mm": 254.0,
            "rubber_thickness_mm": 12.7,
            "shear_modulus_mpa": 0.1 * MPA_PER_KSI,
            "vertical_service_max_kn": 30 * KN_PER_KIP,
        },
        [("offset_along", 6.35)],
    )
    by_edition = {
        edition: the_check(pad, "Compressive stress, method A", f"AASHTO LRFD, {edition}").use
        for edition in ("3rd", "9th")
    }
    assert by_edition == pytest.approx({"3rd": 0.3 / 0.8, "9th": 0.3 / 0.5})
    assert the_check(pad, "Shear deformation").use == pytest.approx(1.0)
    assert the_check(pad, "Shear strain", "EN 1337-3").use == pytest.approx(0.5)


POT = {
    "plan_diameter_mm": 14 * MM_PER_IN,
    "rubber_thickness_mm": 2 * MM_PER_IN,
    "vertical_service_max_kn": 400 * KN_PER_KIP,
    "vertical_strength_max_kn": 600 * KN_PER_KIP,
    "rotation_mrad": 25.0,
    "live_rotation_mrad": 3.0,
}


def test_a_pot_by_both_families():
    pot = device_with("pot", POT, [("rotation", 12.0)])
    # tests/published/test_sliding_and_contact.py
    stress = the_check(pot, "Elastomer stress", "AASHTO")
    assert stress.use == pytest.approx(2.598 / 3.5, abs=IN3)
    strength = the_check(pot, "Elastomer stress", "EN 1337-5")
    assert strength.demand == pytest.approx(26.87, abs=0.005)
    assert the_check(pot, "Rotation", "EN 1337-5").use == pytest.approx(0.5)
    # 12 + 3 + 5 + 5 mrad of 25; the bearing's own figure knows no allowance
    assert the_check(pot, "Rotation", "AASHTO").use == pytest.approx(1.0)
    own = the_check(pot, "Rotation", "register")  # stands in both families' lists, stored once
    assert (own.use, own.family) == (pytest.approx(12 / 25), "design")


def test_a_fixed_pot_is_not_asked_for_a_sliding_surface():
    pot = device_with("pot", POT, [("rotation", 12.0)])
    checks = CapacityCheck.objects.filter(element=pot)
    assert not checks.filter(clause="Table 14.7.2.4-1").exists()
    sliding = device_with("pot", POT | {"movement_back_mm": 60.0, "movement_ahead_mm": 60.0})
    assert CapacityCheck.objects.filter(element=sliding, clause="Table 14.7.2.4-1").exists()


def test_a_disc_of_five_ksi():
    disc = device_with(
        "disc", {"plan_diameter_mm": 254.0, "vertical_service_max_kn": 392.7 * KN_PER_KIP}
    )
    assert the_check(disc, "Disc stress").use == pytest.approx(1.0, abs=1e-4)


ROCKER = {
    "rocker_radius_mm": 12 * MM_PER_IN,
    "contact_length_mm": 10 * MM_PER_IN,
    "contact_yield_mpa": 36 * MPA_PER_KSI,
    "contact_ultimate_mpa": 490.0,
    "vertical_service_max_kn": 30 * KN_PER_KIP,
    "vertical_strength_max_kn": 500.0,
    "tilt_limit_deg": 8.0,
}


def test_a_rocker_by_both_families():
    rocker = device_with("rocker", ROCKER | {"rocker_radius_mm": 6 * MM_PER_IN}, [("tilt", 2.0)])
    # 12 in across: 4.29 kip/in; R 152.4 mm: 23 x 152.4 x 490^2 / 210 000 = 4007.6 N/mm
    contact = the_check(rocker, "Line contact", "AASHTO")
    assert contact.capacity / KN_PER_KIP / 10 == pytest.approx(4.29, abs=0.005)
    other = the_check(rocker, "Line contact", "EN 1337-6")
    assert other.capacity == pytest.approx(4.0076 * 254.0, rel=1e-4)
    # 152.4 mm: 1.17 mm are 0.43987 deg
    cold, hot = (2.0 + 0.43987 * (each - 10.0) for each in (COLDEST_C, HOTTEST_C))
    assert uses(rocker, "Tilt") == pytest.approx([0.25, abs(cold) / 8, hot / 8], rel=1e-4)


@pytest.mark.parametrize(("kind", "tilt_deg"), [("rocker", 4.77), ("roller", 2.39)])
def test_an_offset_stands_in_for_a_tilt_that_was_not_read(kind, tilt_deg):
    # R 12 in, 1.0 in: 4.77 and 2.39 deg (tests/published)
    device = device_with(kind, ROCKER, [("offset_along", MM_PER_IN)])
    assert the_check(device, "Tilt").demand == pytest.approx(tilt_deg, abs=0.005)


def test_a_roller_is_checked_by_its_own_part_of_en_1337():
    roller = device_with("roller", ROCKER | {"rocker_radius_mm": 150.0, "contact_length_mm": 400.0})
    assert the_check(roller, "Line contact", "EN 1337-4").capacity == pytest.approx(
        3.9445 * 400.0, rel=1e-4
    )


@pytest.mark.parametrize("device_type", ["fixed_pin", "other_bearing"])
def test_a_bearing_that_no_rule_is_held_for_has_its_own_figures(device_type):
    design = {"rotation_mrad": 20.0, "movement_left_mm": 4.0, "movement_right_mm": 5.0}
    readings = [("rotation", -15.0), ("offset_across", -3.0)]
    bearing = device_with(device_type, design, readings)
    assert the_check(bearing, "Rotation").use == pytest.approx(0.75)
    assert the_check(bearing, "Movement across").use == pytest.approx(3 / 5)
    families = CapacityCheck.objects.filter(element=bearing).values_list("family", flat=True)
    assert set(families) == {"design"}
