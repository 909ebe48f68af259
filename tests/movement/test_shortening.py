"""Strain of a unit between its setting and a reading, and why there may be none."""

import numpy as np
import pytest

from movement.concrete import Concrete, Scatter, ShorteningBasis, ShorteningNote
from movement.errors import InputError
from movement.shortening import shortening_between

NAN = np.nan
EN, AASHTO = ShorteningBasis.EN_2004, ShorteningBasis.AASHTO_2015
FIFTY_YEARS_D = 18_250.0


def girder(**change):
    """Return an invented prestressed deck: f_ck 40, 75 %, h0 300 mm, cured 7 d, 6 MPa at 28 d."""
    given = {
        "strength_mpa": 40.0,
        "humidity_percent": 75.0,
        "notional_size_mm": 300.0,
        "curing_end_d": 7.0,
        "stress_mpa": 6.0,
        "loading_d": 28.0,
    }
    return Concrete.of(**(given | change))


class TestSize:
    def test_by_hand_for_a_deck_without_prestress(self):
        # C40/50, RH 80, h0 300, cured 7 d: 178e-6 + 75e-6 in 100 years (worked from the
        # clause); from casting, when nothing had come yet
        plain = girder(humidity_percent=80.0, stress_mpa=0.0, loading_d=NAN)
        found = shortening_between(plain, "concrete", 0.0, 36_500.0, EN)
        assert float(found.strain) == pytest.approx(253e-6, abs=1e-6)
        assert float(found.creep) == 0.0
        assert int(found.notes) == 0

    def test_by_hand_for_the_creep_of_a_prestressed_one(self):
        # phi(100 years, 28 d) = 1.37 for C40/50, RH 80, h0 300 (worked from the clause);
        # 7 MPa / 35 000 MPa = 200e-6; 1.37 x 200e-6 = 274e-6
        deck = girder(humidity_percent=80.0, stress_mpa=7.0, modulus_mpa=35_000.0)
        found = shortening_between(deck, "concrete", 28.0, 36_500.0, EN)
        assert float(found.creep) == pytest.approx(274e-6, abs=1e-6)

    @pytest.mark.parametrize("deck", ["steel", "composite"])
    def test_steel_girders_neither_creep_nor_shrink(self, deck):
        unknown = Concrete.of(NAN, NAN, NAN, NAN)
        found = shortening_between(unknown, deck, NAN, NAN, AASHTO)
        assert float(found.strain) == 0.0
        assert float(found.u_strain) == 0.0
        assert int(found.notes) == 0

    def test_two_codes_agree_within_their_scatter(self):
        # both predict the same concrete, each to about 30 %
        found = shortening_between(girder(), "concrete", 60.0, FIFTY_YEARS_D, [EN, AASHTO])
        difference = abs(float(found.strain[0] - found.strain[1]))
        assert difference < 2.0 * float(np.hypot(*found.u_strain))

    def test_a_joint_set_late_sees_less_of_it(self):
        found = shortening_between(girder(), "concrete", [30.0, 365.0, 7300.0], FIFTY_YEARS_D, EN)
        assert (np.diff(found.strain) < 0).all()
        # after twenty years next to nothing is left: a tenth of a millimetre a metre at most
        assert float(found.strain[2]) < 0.05e-3

    def test_before_the_end_of_curing_and_before_loading_only_the_own_shrinkage_comes(self):
        found = shortening_between(girder(), "concrete", 1.0, 6.0, [EN, AASHTO])
        assert found.creep.tolist() == [0.0, 0.0]
        assert float(found.shrinkage[0]) > 0.0  # autogenous
        assert float(found.shrinkage[1]) == 0.0

    def test_concrete_dried_early_shrinks_a_fifth_more_by_aashto(self):
        late, early = (
            float(
                shortening_between(
                    girder(curing_end_d=age, stress_mpa=0.0), "concrete", 0.0, 1e7, AASHTO
                ).strain
            )
            for age in (7.0, 3.0)
        )
        assert early / late == pytest.approx(1.2, rel=1e-4)

    def test_editions_differ_in_time_not_at_the_end(self):
        both = [ShorteningBasis.AASHTO_2007, ShorteningBasis.AASHTO_2015]
        soon = shortening_between(girder(), "concrete", 28.0, 90.0, both).strain
        late = shortening_between(girder(), "concrete", 28.0, 1e8, both)
        assert abs(soon[0] / soon[1] - 1.0) > 0.01
        # final creep alone: shrinkage had begun before the setting, by each at its own pace
        assert float(late.creep[0]) == pytest.approx(float(late.creep[1]), rel=1e-4)


class TestUncertainty:
    def test_parts_are_independent_and_scale_with_what_came(self):
        found = shortening_between(
            girder(), "concrete", 60.0, FIFTY_YEARS_D, EN, Scatter(creep=0.4, shrinkage=0.3)
        )
        creep, shrinkage = 0.4 * float(found.creep), 0.3 * float(found.shrinkage)
        assert float(found.u_strain) ** 2 == pytest.approx(creep**2 + shrinkage**2)

    def test_no_time_no_strain_no_doubt(self):
        found = shortening_between(girder(), "concrete", 400.0, 400.0, EN)
        assert float(found.strain) == 0.0
        assert float(found.u_strain) == 0.0

    @pytest.mark.parametrize("bad", [-0.1, NAN, np.inf])
    def test_a_scatter_is_a_finite_share(self, bad):
        with pytest.raises(InputError, match="creep"):
            Scatter(creep=bad)


class TestNotKnown:
    @pytest.mark.parametrize(
        ("change", "note"),
        [
            ({"strength_mpa": NAN}, ShorteningNote.NO_STRENGTH),
            ({"humidity_percent": NAN}, ShorteningNote.NO_HUMIDITY),
            ({"notional_size_mm": NAN}, ShorteningNote.NO_SIZE),
            ({"curing_end_d": NAN}, ShorteningNote.NO_CURING_AGE),
            ({"stress_mpa": NAN}, ShorteningNote.NO_STRESS),
            ({"loading_d": NAN}, ShorteningNote.NO_LOADING_AGE),
        ],
    )
    @pytest.mark.parametrize("basis", [EN, AASHTO])
    def test_what_is_missing_is_named_and_leaves_the_others_alone(self, change, note, basis):
        name, value = next(iter(change.items()))
        good = getattr(girder(), name)
        rows = girder(**{name: [float(good), value]})
        found = shortening_between(rows, "concrete", 60.0, 600.0, basis)
        assert ShorteningNote(int(found.notes[1])) & note
        assert np.isnan([found.strain[1], found.u_strain[1], found.creep[1]]).all()
        assert np.isfinite([found.strain[0], found.u_strain[0]]).all()

    @pytest.mark.parametrize(("first", "second"), [(NAN, 600.0), (60.0, NAN)])
    def test_an_unknown_age_is_named(self, first, second):
        found = shortening_between(girder(), "concrete", first, second, EN)
        assert ShorteningNote(int(found.notes)) & ShorteningNote.NO_AGE
        assert np.isnan(found.strain)

    def test_without_stress_the_age_at_loading_is_not_asked_for(self):
        found = shortening_between(
            girder(stress_mpa=0.0, loading_d=NAN), "concrete", 60.0, 600.0, EN
        )
        assert int(found.notes) == 0
        assert float(found.strain) > 0


class TestOutsideTheRule:
    @pytest.mark.parametrize(
        ("change", "basis", "note"),
        [
            ({"strength_mpa": 95.0}, EN, ShorteningNote.STRENGTH_OUTSIDE),
            ({"strength_mpa": 15.0}, AASHTO, ShorteningNote.STRENGTH_OUTSIDE),
            ({"humidity_percent": 10.0}, EN, ShorteningNote.HUMIDITY_OUTSIDE),
            ({"humidity_percent": 30.0}, EN, ShorteningNote.HUMIDITY_OUTSIDE),
            ({"humidity_percent": 20.0}, AASHTO, ShorteningNote.HUMIDITY_OUTSIDE),
            ({"notional_size_mm": 80.0}, EN, ShorteningNote.SIZE_OUTSIDE),
            ({"notional_size_mm": 0.0}, AASHTO, ShorteningNote.SIZE_OUTSIDE),
            ({"loading_d": 0.1}, EN, ShorteningNote.LOADING_AGE_OUTSIDE),
        ],
    )
    def test_gives_no_strain_but_the_reason(self, change, basis, note):
        found = shortening_between(girder(**change), "concrete", 60.0, 600.0, basis)
        assert ShorteningNote(int(found.notes)) & note
        assert np.isnan(found.strain)

    def test_dry_air_bars_creep_by_en_but_not_the_shrinkage_of_a_plain_deck(self):
        plain = girder(humidity_percent=30.0, stress_mpa=0.0)
        found = shortening_between(plain, "concrete", 60.0, 600.0, EN)
        assert float(found.strain) > 0


class TestSaidBesideTheNumber:
    @pytest.mark.parametrize(
        ("change", "basis", "note"),
        [
            ({"stress_mpa": 19.0}, EN, ShorteningNote.STRESS_NOT_LINEAR),
            ({}, EN, ShorteningNote.MODULUS_FROM_RULE),
            ({}, AASHTO, ShorteningNote.STRENGTH_AT_LOADING_ASSUMED),
            ({"notional_size_mm": 320.0}, AASHTO, ShorteningNote.SIZE_BEYOND_TESTS),
        ],
    )
    def test_a_figure_assumed_is_named_and_the_strain_stands(self, change, basis, note):
        found = shortening_between(girder(**change), "concrete", 60.0, 600.0, basis)
        assert ShorteningNote(int(found.notes)) & note
        assert float(found.strain) > 0

    def test_with_everything_entered_nothing_is_said(self):
        deck = girder(modulus_mpa=33_000.0, strength_at_loading_mpa=33.0)
        found = shortening_between(deck, "concrete", 60.0, 600.0, AASHTO)
        assert int(found.notes) == 0


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"strength_mpa": -1.0}, "strength_mpa"),
        ({"stress_mpa": -1.0}, "stress_mpa"),
        ({"modulus_mpa": 0.0}, "modulus_mpa"),
        ({"loading_d": np.inf}, "loading_d"),
    ],
)
def test_impossible_data_is_refused_at_the_door(change, field):
    with pytest.raises(InputError) as refused:
        girder(**change)
    assert refused.value.field == field


@pytest.mark.parametrize(
    ("deck", "basis", "field"), [("stone", EN, "deck_type"), ("concrete", "aci", "basis")]
)
def test_an_unknown_deck_or_rule_is_refused(deck, basis, field):
    with pytest.raises(InputError) as refused:
        shortening_between(girder(), deck, 60.0, 600.0, basis)
    assert refused.value.field == field
