"""EN 1992-1-1:2004, 3.1.4 and Annex B, against its Table 3.2 and another implementation.

The other implementation is structuralcodes 0.7.2 (Apache-2.0), its module ec2_2004.
"""

import numpy as np
import pytest
from structuralcodes.codes import ec2_2004 as reference

from movement.concrete import Concrete, ShorteningBasis
from movement.errors import InputError
from movement.expected import expected_line
from movement.inputs import Setting
from movement.shortening import shortening_between
from movement.standards import en_1992_1_1_2004_shortening as en
from movement.temperature import DeckType
from tests.published.joint_at_abutment import gap_sides

HUMIDITIES = (20.0, 40.0, 60.0, 80.0, 90.0)


@pytest.mark.parametrize(
    ("strength_mpa", "per_mille"),
    [
        # Table 3.2, class N; from memory (high confidence), formula recomputed to 0.01
        (20.0, (0.62, 0.58, 0.49, 0.30, 0.17)),
        (40.0, (0.48, 0.46, 0.38, 0.24, 0.13)),
        (60.0, (0.38, 0.36, 0.30, 0.19, 0.10)),
    ],
)
def test_nominal_drying_shrinkage_is_that_of_the_table(strength_mpa, per_mille):
    found = 1000.0 * en.basic_drying_shrinkage(strength_mpa, HUMIDITIES)
    assert found == pytest.approx(per_mille, abs=0.01)


def test_nominal_drying_shrinkage_of_a_published_calculation():
    # Public summary of a CIRIA C660 calculation: C30/37, class N, 60 %: 432 microstrain; read
    assert float(en.basic_drying_shrinkage(30.0, 60.0)) == pytest.approx(432e-6, abs=0.5e-6)


class TestOldViaduct:
    """C40/50, RH 80 %, h0 300 mm, cured 7 days, after 100 years (calc from the clause)."""

    YEARS_100_D = 36_500.0

    def test_drying_and_autogenous_shrinkage_over_eighty_metres(self):
        drying = float(en.drying_shrinkage(self.YEARS_100_D - 7.0, 40.0, 300.0, 80.0))
        own = float(en.autogenous_shrinkage(self.YEARS_100_D, 40.0))
        assert drying == pytest.approx(178e-6, abs=1e-6)
        assert own == pytest.approx(75e-6, abs=0.5e-6)
        assert (drying + own) * 80_000.0 == pytest.approx(20.2, abs=0.05)  # mm

    def test_creep_of_a_deck_loaded_at_28_days(self):
        found = en.creep_coefficient(self.YEARS_100_D - 28.0, 28.0, 40.0, 300.0, 80.0)
        assert float(found) == pytest.approx(1.37, abs=0.005)


class TestShorteningStillToCome:
    """The viaduct above after its joint is set: use of the rules from memory, high; by hand.

    5 MPa of prestress on E_c = 1.05 x 22 000 x 4.8^0.3 = 36 980 MPa: phi 1.37 gives 185e-6.
    """

    YEARS_20_D, YEARS_100_D = 7_305.0, 36_500.0

    def opened_mm(self, setting_age_d, stress_mpa):
        concrete = Concrete.of(
            strength_mpa=40.0,
            humidity_percent=80.0,
            notional_size_mm=300.0,
            curing_end_d=7.0,
            stress_mpa=stress_mpa,
            loading_d=28.0,
        )
        found = shortening_between(
            concrete, DeckType.CONCRETE, setting_age_d, self.YEARS_100_D, ShorteningBasis.EN_2004
        )
        sides = gap_sides(80_000.0, 10e-6, shortening=float(found.strain))
        line = expected_line(sides, Setting.of(30.0, 10.0))
        return float(line.value(10.0)) - 30.0

    def test_a_joint_set_at_28_days_opens_by_creep_and_by_what_is_left_of_shrinkage(self):
        # shrinkage by then 16.4e-6 drying, 49.0e-6 own: 187.6e-6 to come; 373e-6 x 80 m
        assert self.opened_mm(28.0, 5.0) == pytest.approx(29.8, abs=0.15)

    def test_a_deck_without_prestress_does_not_creep_shorter(self):
        assert self.opened_mm(28.0, 0.0) == pytest.approx(15.0, abs=0.1)

    def test_an_old_deck_hardly_shortens_any_more(self):
        # after 20 years: creep 0.4 mm and shrinkage 0.3 mm of 80 m are left
        assert 0.0 < self.opened_mm(self.YEARS_20_D, 5.0) < 1.0


def test_creep_and_shrinkage_as_computed_elsewhere():
    # structuralcodes 0.7.2: f_ck 35, RH 80, A_c 1.0e6 mm2, u 5000 mm, t0 28, ts 3, t 36 500
    size = en.notional_size_mm(1.0e6, 5000.0)
    phi = en.creep_coefficient(36_500.0 - 28.0, 28.0, 35.0, size, 80.0)
    shrinkage = en.drying_shrinkage(36_500.0 - 3.0, 35.0, size, 80.0) + en.autogenous_shrinkage(
        36_500.0, 35.0
    )
    assert float(phi) == pytest.approx(1.46984, abs=5e-6)
    assert float(shrinkage) == pytest.approx(2.44539e-4, abs=5e-10)


@pytest.mark.parametrize("cement", ["S", "N", "R"])
@pytest.mark.parametrize("strength_mpa", [16.0, 27.0, 50.0, 90.0])
@pytest.mark.parametrize(("size_mm", "humidity"), [(100.0, 40.0), (260.0, 65.0), (900.0, 95.0)])
@pytest.mark.parametrize(("t0", "t"), [(1.0, 10.0), (3.0, 400.0), (90.0, 20_000.0)])
def test_every_class_size_and_age_agrees_with_another_implementation(
    cement, strength_mpa, size_mm, humidity, t0, t
):
    fcm = strength_mpa + 8.0
    alpha_1, alpha_2, alpha_3 = (
        of(fcm) for of in (reference.alpha_1, reference.alpha_2, reference.alpha_3)
    )
    adjusted = reference.t0_adj(t0, reference.alpha_cement(cement))
    notional = reference.phi_0(
        reference.phi_RH(size_mm, fcm, humidity, alpha_1, alpha_2),
        reference.beta_fcm(fcm),
        reference.beta_t0(adjusted),
    )
    beta_h = reference.beta_H(size_mm, fcm, humidity, alpha_3)
    phi = reference.phi(notional, reference.beta_c(t0, t, beta_h))
    assert float(
        en.creep_coefficient(t - t0, t0, strength_mpa, size_mm, humidity, cement)
    ) == pytest.approx(float(np.squeeze(phi)), rel=1e-9)

    drying_0 = reference.eps_cd_0(
        reference.alpha_ds1(cement),
        reference.alpha_ds2(cement),
        fcm,
        reference.beta_RH(humidity),
    )
    drying = reference.eps_cd(reference.beta_ds(t, t0, size_mm), reference.k_h(size_mm), drying_0)
    found = en.drying_shrinkage(t - t0, strength_mpa, size_mm, humidity, cement)
    assert float(found) == pytest.approx(float(np.squeeze(drying)), rel=1e-9)
    own = reference.eps_ca(reference.beta_as(t), reference.eps_ca_inf(strength_mpa))
    assert float(en.autogenous_shrinkage(t, strength_mpa)) == pytest.approx(
        float(np.squeeze(own)), rel=1e-9
    )


def test_tangent_modulus_is_a_twentieth_above_the_secant_one_of_table_3_1():
    # Table 3.1: E_cm 33 GPa for C30/37, 35 GPa for C40/50; from memory (high confidence)
    assert en.tangent_modulus_mpa([30.0, 40.0]) / 1.05 == pytest.approx(
        [33_000.0, 35_000.0], abs=500.0
    )


def test_concrete_kept_in_water_does_not_dry():
    assert float(en.drying_shrinkage(1e5, 30.0, 300.0, 100.0)) == 0.0


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"strength_mpa": 10.0}, "strength_mpa"),
        ({"strength_mpa": 95.0}, "strength_mpa"),
        ({"humidity_percent": 39.0}, "humidity_percent"),
        ({"notional_size_mm": 90.0}, "notional_size_mm"),
        ({"age_at_loading_d": 0.2}, "age_at_loading_d"),
        ({"cement": "X"}, "cement"),
        ({"duration_d": -1.0}, "duration_d"),
    ],
)
def test_outside_the_range_of_the_rule_is_refused(change, field):
    given = {
        "duration_d": 100.0,
        "age_at_loading_d": 7.0,
        "strength_mpa": 35.0,
        "notional_size_mm": 300.0,
        "humidity_percent": 70.0,
    }
    assert float(en.creep_coefficient(**given)) > 0
    with pytest.raises(InputError) as refused:
        en.creep_coefficient(**(given | change))
    assert refused.value.field == field
