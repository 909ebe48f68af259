"""EN 1337-3:2005, a bearing 300 x 400 mm worked by hand; rules from memory, arithmetic calc."""

import pytest

from movement.capacity import elastomeric_en as en
from movement.capacity.bearing_inputs import Deformed, Loads, Pad
from movement.capacity.elastomer_scope import NOMINAL_MODULUS_MPA, draft_scope

PAD = Pad.of(
    plan_length_mm=300.0,
    plan_width_mm=400.0,
    side_cover_mm=5.0,  # plates 290 x 390
    layer_thickness_mm=8.0,
    interior_layers=5,
    rubber_thickness_mm=45.0,
    shear_modulus_mpa=0.9,
    shim_thickness_mm=3.0,
    shim_yield_mpa=235.0,
)
LOADS = Loads.of(permanent_kn=500.0, vertical_service_min_kn=500.0, vertical_strength_max_kn=1200.0)
FOUND = Deformed.of(25.0, rotation_along_mrad=5.0)


def test_strains_and_their_sum():
    assert float(en.shape_factor(PAD)) == pytest.approx(10.395, abs=0.001)
    assert float(en.reduced_area_mm2(PAD, FOUND)) == pytest.approx(103_350.0)
    assert float(en.compression_strain(PAD, LOADS, FOUND)) == pytest.approx(1.862, abs=0.0005)
    shear = en.shear_strain(PAD, FOUND)
    assert (float(shear.demand), float(shear.capacity)) == (pytest.approx(0.556, abs=0.0005), 1.0)
    assert float(en.rotation_strain(PAD, FOUND)) == pytest.approx(0.657, abs=0.0005)
    total = en.total_strain(PAD, LOADS, FOUND)
    assert (float(total.demand), float(total.capacity)) == (pytest.approx(3.074, abs=0.001), 7.0)


def test_buckling_and_lift_of_an_edge():
    buckling = en.buckling(PAD, LOADS, FOUND)
    assert float(buckling.demand) == pytest.approx(11.6, abs=0.05)
    assert float(buckling.capacity) == pytest.approx(40.2, abs=0.05)
    rotation = en.rotation_limit(PAD, LOADS, FOUND)
    assert float(rotation.capacity) == pytest.approx(1.085, abs=0.0005)
    assert float(rotation.demand) == pytest.approx(0.483, abs=0.0005)


def test_slip_and_least_stress():
    # mu_e = 0.1 + 1.5 x 0.6 / 4.838 = 0.286; 143 kN hold against 0.9 x 120 000 x 25/45 = 60 kN
    slip = en.slip(PAD, LOADS, FOUND)
    assert float(slip.capacity) == pytest.approx(143.0, abs=0.05)
    assert float(slip.demand) == pytest.approx(60.0)
    # on steel K_f is 0.2: mu_e = 0.1 + 0.3 / 4.838 = 0.162, 81.0 kN
    on_steel = en.slip(PAD, LOADS, FOUND, en.K_F_OTHER)
    assert float(on_steel.capacity) == pytest.approx(81.0, abs=0.05)
    stress = en.least_stress(PAD, LOADS, FOUND)
    assert (float(stress.demand), float(stress.capacity)) == (3.0, pytest.approx(4.838, abs=0.0005))


def test_plates_of_two_millimetres_at_least():
    # 1.3 x 1 200 000 x 16 / (103 350 x 235) = 1.028 mm, so 2 mm govern
    plates = en.plates(PAD, LOADS, FOUND)
    assert (float(plates.demand), float(plates.capacity)) == (2.0, 3.0)
    # Holes: K_h 2.  At 3000 kN 1.3 x 3e6 x 16 x 2 / (103 350 x 235) = 5.1385 mm
    heavy = en.plates(PAD, Loads.of(vertical_strength_max_kn=3000.0), FOUND, hole_factor=2.0)
    assert float(heavy.demand) == pytest.approx(5.1385, abs=0.0005)


def test_rotation_across_adds_its_own_strain_and_lift():
    # e_a: 0.657 + 390^2 x 0.002 / (2 x 5 x 64) = 0.657 + 0.475; lift + 390 x 0.002 / 3 = 0.26 mm
    both = Deformed.of(25.0, rotation_along_mrad=5.0, rotation_across_mrad=-2.0)
    assert float(en.rotation_strain(PAD, both)) == pytest.approx(1.132, abs=0.001)
    lift = en.rotation_limit(PAD, LOADS, both)
    assert float(lift.demand) == pytest.approx(0.743, abs=0.0005)


@pytest.mark.parametrize(
    ("coldest_c", "hottest_c", "low_grade", "width_mm", "within"),
    [
        # prEN 1337-3:2018, scope, by a standards catalogue (read)
        (-25.0, 50.0, False, 1200.0, True),
        (-25.5, 50.0, False, 400.0, False),
        (-40.0, 50.0, True, 400.0, True),
        (-41.0, 50.0, True, 400.0, False),
        (-25.0, 51.0, False, 400.0, False),
        (5.0, 40.0, False, 400.0, True),
        (-25.0, 50.0, False, 1210.0, False),
    ],
)
def test_scope_of_the_draft_of_2018(coldest_c, hottest_c, low_grade, width_mm, within):
    pad = Pad.of(plan_length_mm=300.0, plan_width_mm=width_mm)
    checks = draft_scope(pad, coldest_c, hottest_c, low_grade)
    assert all(float(each.use) <= 1.0 for each in checks) == within


def test_a_bearing_of_each_nominal_modulus_shears_with_its_own_force():
    # 0.7, 0.9, 1.15 MPa (from memory): G A v / T = 120 000 x 25/45 x G = 46.7, 60.0, 76.7 kN
    pads = [
        Pad.of(300.0, 400.0, rubber_thickness_mm=45.0, shear_modulus_mpa=each, side_cover_mm=5.0)
        for each in NOMINAL_MODULUS_MPA
    ]
    forces = [float(en.slip(each, LOADS, FOUND).demand) for each in pads]
    assert forces == pytest.approx([46.67, 60.0, 76.67], abs=0.005)
