"""Capacity as found: what an engineer is told, and what is refused."""

import numpy as np
import pytest

from movement.capacity import elastomeric, joints, rods, sliding
from movement.capacity.bearing_inputs import Deformed, Loads, Pad
from movement.capacity.elastomeric_aashto import shear_deflection
from movement.capacity.ptfe_tables import friction_aashto
from movement.capacity.restraints import clamp_friction, gap_stays_open
from movement.capacity.results import Carried, Provenance, When
from movement.capacity.rocker_roller import line_contact_aashto
from movement.capacity.rods import RodGrade, rod_overstress
from movement.capacity.rotation import rotation_aashto
from movement.capacity.sliding import Slider
from movement.errors import InputError

ROUND = Pad.of(
    plan_diameter_mm=400.0,
    layer_thickness_mm=10.0,
    cover_thickness_mm=5.0,
    rubber_thickness_mm=60.0,
    interior_layers=5,
    shear_modulus_mpa=0.9,
    shim_thickness_mm=3.0,
    shim_yield_mpa=235.0,
)


def test_a_check_carries_its_clause_and_how_well_it_is_known():
    check = shear_deflection(ROUND, Deformed.of(36.0))
    assert check.name == "Shear deformation"
    assert (check.clause, check.unit) == ("14.7.5.3.2-1, 14.7.6.3.4-1", "mm")
    assert check.provenance == Provenance.READ
    assert float(check.use) == pytest.approx(1.2)


def test_what_lacks_is_asked_for_by_name_and_only_where_it_lacks():
    pad = Pad.of(rubber_thickness_mm=[60.0, np.nan, np.nan])
    check = shear_deflection(pad, Deformed.of([15.0, 15.0, np.nan]))
    assert check.use == pytest.approx([0.5, np.nan, np.nan], nan_ok=True)
    assert check.cannot_check(0) == ""
    assert check.cannot_check(1) == "cannot check: needs rubber_thickness_mm"
    assert check.cannot_check(2) == "cannot check: needs offset_along_mm, rubber_thickness_mm"


def test_a_bearing_of_the_register_alone_says_what_the_register_lacks():
    pad = Pad.of(300.0, 400.0, np.nan, 10.0, 5.0, 60.0, 5, 0.9)
    loads = Loads.of(vertical_service_min_kn=400.0, vertical_service_max_kn=900.0)
    checks = elastomeric.reinforced_aashto(pad, loads, Deformed.of(20.0))
    made = {check.name for check in checks if not check.lacks()}
    assert made == {
        "Shear deformation",
        "Cover layer",
        "Compressive stress, method A",
        "Method A without rotation, S²/n",
        "Stability",
    }
    lacking = {name for check in checks for name in check.lacks()}
    assert lacking == {
        "shim_thickness_mm",
        "shim_yield_mpa",
        "permanent_kn",
        "live_kn",
        "rotation_along_mrad",
        "live_rotation_mrad",
        "horizontal_along_kn",
    }


def test_a_round_bearing_is_checked_by_aashto_and_not_by_en_1337():
    loads = Loads.of(600.0, 300.0, 450.0, 900.0, 1300.0)
    found = Deformed.of(20.0, rotation_along_mrad=4.0, live_rotation_mrad=1.0)
    for check in elastomeric.reinforced_aashto(ROUND, loads, found, horizontal_along_kn=50.0):
        assert check.lacks() == (), check.name
    for check in elastomeric.reinforced_en(ROUND, loads, found):
        if check.name != "Shear strain":
            assert "plan_length_mm" in check.lacks(), check.name


def test_a_bearing_sheared_off_its_plates_has_nothing_left():
    pad = Pad.of(
        200.0,
        200.0,
        side_cover_mm=5.0,
        layer_thickness_mm=10.0,
        interior_layers=3,
        rubber_thickness_mm=35.0,
        shear_modulus_mpa=0.9,
        shim_yield_mpa=235.0,
        shim_thickness_mm=3.0,
    )
    loads = Loads.of(300.0, 0.0, 300.0, 300.0, 400.0)
    checks = elastomeric.reinforced_en(pad, loads, Deformed.of(250.0, rotation_along_mrad=1.0))
    use = {check.name: float(check.use) for check in checks}
    for name in ("Total strain", "Buckling", "Plate thickness"):
        assert use[name] == np.inf
    assert use["Slip of the bearing"] > 1.0


def test_a_bearing_in_uplift_slips_under_any_shear():
    pad = Pad.of(
        200.0,
        200.0,
        side_cover_mm=5.0,
        rubber_thickness_mm=35.0,
        shear_modulus_mpa=0.9,
    )
    loads = Loads.of(vertical_service_min_kn=-20.0)
    slip = elastomeric.reinforced_en(pad, loads, Deformed.of(5.0))[4]
    assert slip.name == "Slip of the bearing"
    assert slip.use == np.inf


def test_no_interior_layer_is_asked_for_and_not_divided_by():
    bare = Pad.of(300.0, 400.0, np.nan, 10.0, 2.0, 10.0, 0, 0.9)
    checks = elastomeric.reinforced_aashto(bare, Loads.of(500.0, 100.0), Deformed.of(2.0))
    applies = next(each for each in checks if each.name.startswith("Method A without"))
    assert applies.lacks() == ("interior_layers",)


def test_a_slider_is_carried_towards_the_side_it_moves_to():
    position = Carried.of("offset_mm", 20.0, -50.0, 70.0)
    checks = sliding.travel(position, 40.0, 80.0)
    assert [each.when for each in checks] == [When.NOW, When.AT_MIN, When.AT_MAX]
    assert [float(each.use) for each in checks] == pytest.approx([0.25, 1.25, 0.875])


def test_only_the_side_that_a_slider_stands_on_needs_its_figure():
    checks = sliding.travel(Carried.of("offset_mm", 20.0, -50.0, np.nan), np.nan, 80.0)
    assert [each.lacks() for each in checks] == [(), ("movement_back_mm",), ("offset_mm_at_max",)]


def test_the_plate_must_reach_over_the_ptfe():
    # plate 500, PTFE 300 mm: 100 mm each way
    slider = Slider.of(sliding_plate_length_mm=500.0, ptfe_length_mm=300.0)
    checks = sliding.plate_overlap(slider, Carried.of("offset_mm", 50.0, -120.0, 100.0))
    assert [float(each.use) for each in checks] == pytest.approx([0.5, 1.2, 1.0])


def test_a_rod_of_an_odd_thread_asks_for_its_threads():
    odd = rod_overstress(RodGrade.A354_BD, 70.5, 900.0)
    assert odd.cannot_check() == "cannot check: needs threads_per_in"
    assert rod_overstress(RodGrade.A354_BD, 70.5, 900.0, 8.0).lacks() == ()


def test_a_rod_thicker_than_its_grade_is_not_guessed():
    check = rods.pretension_specified(RodGrade.F1554_105, 88.9, 900.0)
    assert check.lacks() == ("rod_diameter_mm within 76.2 of ASTM F1554 grade 105",)


@pytest.mark.parametrize(
    ("text", "grade"),
    [
        ("ASTM F1554 grade 105", RodGrade.F1554_105),
        ("f1554 Gr. 36", RodGrade.F1554_36),
        ("A354-BD", RodGrade.A354_BD),
        ("ASTM F3125 Grade A325", RodGrade.F3125_A325),
        ("A325", None),  # which edition?
        ("8.8", None),
        ("", None),
    ],
)
def test_the_grade_of_a_rod_is_read_from_the_words_of_the_register(text, grade):
    assert rods.grade_from_text(text) == grade


@pytest.mark.parametrize(
    ("call", "field", "message"),
    [
        (lambda: Pad.of(300.0, plan_diameter_mm=300.0), "plan_diameter_mm", "beside a length"),
        (lambda: Pad.of(300.0, 400.0, side_cover_mm=150.0), "side_cover_mm", "no plate"),
        (lambda: Pad.of(layer_thickness_mm=[8.0, 0.0]), "layer_thickness_mm", "0 is not above"),
        (lambda: Loads.of(live_kn=-1.0), "live_kn", "-1 is below zero"),
        (lambda: Deformed.of(rotation_along_mrad=-800.0), "rotation_along_mrad", "800 is not 0"),
        (lambda: rotation_aashto(700.0, 20.0), "rotation_mrad_found", "not in degrees"),
        (lambda: Slider.of(ptfe=9), "ptfe", "9 is no Ptfe"),
        (lambda: Slider.of(edge_to_mean_stress=0.5), "edge_to_mean_stress less 1", "-0.5"),
        (lambda: friction_aashto(7, 10.0, 0.0), "surface", "7 is no SlidingSurface"),
        (lambda: clamp_friction(1.0, 1.0, 3.0), "slip_coefficient", "3 is not 0 to 2"),
        (lambda: clamp_friction(1.0, 1.0, 0.4, 20.0), "losses_share", "0.2 for 20 %"),
        (lambda: gap_stays_open(Carried.of("gap_mm", -1.0)), "gap_mm", "-1 is below zero"),
        (
            lambda: joints.skew_of_type(85.0, "strip seal"),
            "skew_deg",
            "85 is beyond 80",
        ),
        (
            lambda: line_contact_aashto(Loads.of(), 150.0, 400.0, 250.0, 1 / 300.0),
            "mating_curvature_per_mm",
            "no wider",
        ),
    ],
)
def test_impossible_input_is_refused(call, field, message):
    with pytest.raises(InputError, match=message) as refused:
        call()
    assert refused.value.field == field
    assert refused.value.remedy
