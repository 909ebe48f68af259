"""Heat balance of a section: what physics asks of it, and what it says of a poor record."""

from itertools import pairwise

import numpy as np
import pytest

from movement.errors import InputError
from movement.heat_balance.climate import Exchange, Weather, on_regular_hours
from movement.heat_balance.effective import (
    HeatUncertainty,
    HourNote,
    effective_temperature,
)
from movement.heat_balance.march import Tridiagonal, march, surroundings
from movement.heat_balance.sections import (
    ASPHALT,
    CONCRETE,
    STEEL,
    Layer,
    Material,
    composite_girders,
    concrete_box,
    concrete_girders,
    concrete_slab,
    cut,
    steel_box,
)

NAN = np.nan
EVERY_DECK = [
    steel_box(),
    composite_girders(),
    concrete_slab(0.6),
    concrete_girders(1.2),
    concrete_box(2.0),
]


def days(count, mean=10.0, swing=8.0):
    """Return air that is coldest at 3 and warmest at 15 o'clock."""
    hour = np.arange(24 * count + 1)
    return mean - swing * np.cos((hour - 3) * np.pi / 12.0)


def sunny(count, noon=900.0):
    """Return the sun of clear days, 6 to 18 o'clock."""
    hour = np.arange(24 * count + 1) % 24
    return np.maximum(noon * np.sin((hour - 6) * np.pi / 12.0), 0.0)


def last_day(history):
    return history.temperature_c[:, -25:]


class TestPhysics:
    def test_in_air_that_does_not_change_every_deck_takes_its_temperature(self):
        dull = Exchange(clear_share=0.0)
        found = effective_temperature(
            cut(EVERY_DECK), np.full(400, 12.5), np.zeros(400), exchange=dull
        )
        assert found.temperature_c[:, -1] == pytest.approx([12.5] * 5, abs=1e-6)

    def test_a_thin_sheet_follows_a_jump_of_the_air_as_worked_by_hand(self):
        # 12 mm of steel in the air on both sides: C = 0.012 x 7850 x 440 = 41 448 J/m2K.
        # Without wind and radiation h = 4 W/m2K a side: time constant 5 181 s = 1.439 h; of a
        # jump of 10 K, exp(-4/1.439) = 6.2 % are left after four hours.
        still = Exchange(wind_m_per_s=0.0, emissivity=0.0)
        sheet = cut([[Layer(STEEL, 0.012, soffit_area=1.0, cells=1)]])
        weather = Weather.of(np.full(5, 10.0), np.zeros(5))
        around = surroundings(weather, still)
        *_, last = march(sheet, around, np.zeros((1, 1)), steps_per_hour=400)
        assert float(last[0, 0]) == pytest.approx(9.38, abs=0.01)

    def test_a_wall_between_sun_and_air_settles_where_its_resistances_say(self):
        # 300 W/m2 taken up by the road; no radiation, no wind: 4 W/m2K at each face; 0.34 m of
        # concrete of 1.7 W/mK: 0.2 m2K/W.  Below: 0.25 + 0.2 = 0.45, so the road stands at
        # 300 / (4 + 1/0.45) = 48.21 K, the soffit at 48.21 x 0.25/0.45 = 26.79 K; mean 37.5 K.
        still = Exchange(wind_m_per_s=0.0, emissivity=0.0, absorptivity=1.0, reflected_share=0.0)
        slab = cut([[Layer(CONCRETE, 0.34, soffit_area=1.0, cells=40)]])
        found = effective_temperature(slab, np.zeros(1500), np.full(1500, 300.0), exchange=still)
        assert float(found.temperature_c[0, -1]) == pytest.approx(37.5, abs=0.05)

    def test_over_a_day_that_repeats_as_much_heat_leaves_as_comes(self):
        # First law, from the temperatures alone: each cell's faces and the road, with the
        # resistance of half a cell behind a face.  Smooth days, so that sums over 24 hours are
        # exact but for the steps in time.
        slab = Layer(CONCRETE, 0.4, soffit_area=0.8, side_area=0.3, cells=8)
        cells = cut([[slab]])
        hour = np.arange(24 * 30 + 1)
        sun = 300.0 - 300.0 * np.cos((hour - 1) * np.pi / 12.0)
        weather = Weather.of(days(30), sun)
        around = surroundings(weather, Exchange())
        history = np.array(list(march(cells, around, np.full((8, 1), 10.0), 8)))[-24:, :, 0]
        half = 0.025 / CONCRETE.conductivity_w_per_mk
        road_h, shaded_h = around.road_w_per_m2k[0, 0], around.shaded_w_per_m2k[0, 0]
        air, road, shaded = (
            each[0, -24:] for each in (around.air_c, around.road_w_per_m2, around.shaded_w_per_m2)
        )
        at_road = (road + road_h * (air - history[:, 0])) / (1.0 + road_h * half)
        at_soffit = (shaded + shaded_h * (air - history[:, -1])) * 0.8 / (1.0 + shaded_h * half)
        at_sides = 0.3 * (shaded + shaded_h * (air - history.mean(axis=1)))
        total = at_road + at_soffit + at_sides
        assert abs(total.sum()) < 1e-3 * np.abs(total).sum()
        # and in between, what came since dawn is what is stored, to the rule of trapezoids
        stored = 0.4 * 2400.0 * 900.0 * (history.mean(axis=1) - history[0].mean())
        came = 3600.0 * np.concatenate([[0.0], np.cumsum((total[1:] + total[:-1]) / 2.0)])
        assert came == pytest.approx(stored, abs=0.02 * np.ptp(stored))

    def test_a_thicker_slab_lags_and_damps_more(self):
        depths = [0.2, 0.4, 0.8, 1.6]
        found = last_day(
            effective_temperature(cut([concrete_slab(d, 0.0) for d in depths]), days(40))
        )
        swing = np.ptp(found, axis=1)
        hottest = found.argmax(axis=1)
        assert (np.diff(swing) < 0).all()
        assert (np.diff(hottest) >= 0).all()
        # the air is warmest at 15 o'clock; a thin slab follows within half a day
        assert 15 < hottest[0] <= hottest[-1] <= 27

    def test_sun_raises_every_deck_and_a_steel_one_most(self):
        dull = effective_temperature(cut(EVERY_DECK), days(8), sunny(8, 200.0))
        clear = effective_temperature(cut(EVERY_DECK), days(8), sunny(8))
        more = last_day(clear).max(axis=1) - last_day(dull).max(axis=1)
        assert (more > 0).all()
        assert more.argmax() == 0

    def test_wind_brings_a_sunny_deck_nearer_to_the_air(self):
        calm, windy = (
            effective_temperature(cut(EVERY_DECK), days(8), sunny(8), np.full(193, wind))
            for wind in (1.0, 8.0)
        )
        assert (last_day(windy).max(axis=1) < last_day(calm).max(axis=1)).all()

    def test_wind_that_is_not_known_counts_as_the_usual_one(self):
        usual = effective_temperature(cut(EVERY_DECK), days(6), sunny(6))
        unknown = effective_temperature(cut(EVERY_DECK), days(6), sunny(6), np.full(145, NAN))
        assert unknown.temperature_c == pytest.approx(usual.temperature_c, nan_ok=True)

    def test_a_clear_night_cools_a_deck_below_the_air(self):
        night = effective_temperature(cut(EVERY_DECK), np.full(300, 5.0), np.zeros(300))
        assert (night.temperature_c[:, -1] < 5.0).all()

    def test_halving_the_step_quarters_what_is_left_of_its_error(self):
        runs = [
            last_day(effective_temperature(cut(EVERY_DECK), days(8), sunny(8), steps_per_hour=n))
            for n in (1, 2, 4, 8)
        ]
        change = [np.abs(fine - coarse).max() for coarse, fine in pairwise(runs)]
        for coarse, fine in pairwise(change):
            assert fine < 0.4 * coarse
        # one step an hour, as is usual, is near enough to the limit for any thermometer
        assert np.abs(runs[-1] - runs[0]).max() < 0.15

    def test_finer_cells_change_little(self):
        def slab(times):
            return [
                Layer(ASPHALT, 0.1, cells=3 * times),
                Layer(CONCRETE, 0.6, soffit_area=1.0, cells=12 * times),
            ]

        found = last_day(effective_temperature(cut([slab(1), slab(4)]), days(10), sunny(10)))
        assert found[0] == pytest.approx(found[1], abs=0.1)

    def test_surfacing_counts_for_its_heat_but_not_for_the_length(self):
        cells = cut([concrete_slab(0.6, 0.1)])
        assert cells.weight[:3, 0].tolist() == [0, 0, 0]
        assert float(cells.weight.sum()) == pytest.approx(1.0)

    def test_steel_weighs_by_its_modulus_and_coefficient(self):
        # by hand: slab 0.25 x 33 000 x 10 = 82 500; girder 0.05/3 x 210 000 x 12 = 42 000
        cells = cut([composite_girders(surfacing_m=0.0)])
        assert float(cells.weight[:6, 0].sum()) == pytest.approx(82_500 / 124_500)


def test_the_solver_solves_many_systems():
    rng = np.random.default_rng(5)
    off = -rng.uniform(0.0, 2.0, (7, 4))
    diagonal = 4.5 + rng.uniform(0.0, 3.0, (7, 4))
    right = rng.normal(size=(7, 4))
    found = Tridiagonal.of(diagonal, off).solve(right)
    for system in range(4):
        full = np.diag(diagonal[:, system])
        full += np.diag(off[:-1, system], 1) + np.diag(off[:-1, system], -1)
        assert found[:, system] == pytest.approx(np.linalg.solve(full, right[:, system]))


class TestPoorRecord:
    def test_a_short_gap_is_bridged_and_named(self):
        air = days(10)
        air[200:203] = NAN
        found = effective_temperature(cut([steel_box()]), air, sunny(10))
        whole = effective_temperature(cut([steel_box()]), days(10), sunny(10))
        assert (found.notes[0, 200:203] & HourNote.AIR_BRIDGED > 0).all()
        assert found.temperature_c[0, 204:] == pytest.approx(whole.temperature_c[0, 204:], abs=0.5)

    def test_a_long_gap_gives_nothing_until_the_section_has_forgotten_it(self):
        air = days(20)
        air[200:230] = NAN
        found = effective_temperature(cut([concrete_slab(0.6)]), air)
        whole = effective_temperature(cut([concrete_slab(0.6)]), days(20))
        again = 229 + int(found.warm_up_h[0]) + 1
        assert (found.notes[0, 200:230] & HourNote.AIR_MISSING > 0).all()
        assert (found.notes[0, 230:again] & HourNote.WARMING_UP > 0).all()
        assert np.isnan(found.temperature_c[0, 200:again]).all()
        assert np.isnan(found.u_temperature_k[0, 200:again]).all()
        assert found.temperature_c[0, again:] == pytest.approx(
            whole.temperature_c[0, again:], abs=0.3
        )

    @pytest.mark.parametrize("end", [slice(0, 2), slice(-2, None)])
    def test_a_gap_at_an_end_is_not_bridged(self, end):
        air = days(10)
        air[end] = NAN
        found = effective_temperature(cut([steel_box()]), air)
        assert (found.notes[0, end] & HourNote.AIR_MISSING > 0).all()

    def test_the_start_of_a_record_is_named_as_such(self):
        found = effective_temperature(cut([concrete_slab(0.6)]), days(10))
        assert found.notes[0, 0] & HourNote.WARMING_UP
        assert not found.notes[0, -1] & HourNote.WARMING_UP

    def test_a_record_too_short_gives_no_number(self):
        found = effective_temperature(cut([concrete_slab(1.2)]), [10.0, 11.0])
        assert np.isnan(found.temperature_c).all()

    def test_sun_that_is_not_known_is_named_and_widens_the_band(self):
        known = effective_temperature(cut(EVERY_DECK), days(10), np.zeros(241))
        unknown = effective_temperature(cut(EVERY_DECK), days(10))
        assert (unknown.notes & HourNote.SUN_NOT_KNOWN > 0).all()
        assert not (known.notes & HourNote.SUN_NOT_KNOWN).any()
        assert (unknown.u_temperature_k[:, -1] > known.u_temperature_k[:, -1]).all()

    def test_the_band_of_unknown_sun_does_not_depend_on_the_hour_the_record_starts(self):
        air = np.full(400, 10.0)
        found = effective_temperature(cut(EVERY_DECK), air).u_temperature_k[:, -25:]
        assert np.ptp(found, axis=1) == pytest.approx(np.zeros(5), abs=1e-3)

    def test_records_of_any_order_come_to_regular_hours(self):
        found = on_regular_hours([12.0, 10.0, 10.4, 13.1, 99.0], [5.0, 1.0, 3.0, NAN, 7.0], 10.0, 4)
        assert found.tolist()[:1] == [2.0]
        assert found[2] == 5.0
        assert np.isnan(found[[1, 3]]).all()


class TestUncertainty:
    def test_is_widest_in_the_sun(self):
        found = effective_temperature(cut([steel_box()]), days(8), sunny(8))
        u = found.u_temperature_k[0, -25:]
        assert 11 <= int(u.argmax()) <= 16

    def test_with_nothing_in_doubt_only_the_form_is_left(self):
        sure = HeatUncertainty(*[0.0] * 7, form_k=0.7)
        found = effective_temperature(cut([steel_box()]), days(8), sunny(8), uncertainty=sure)
        assert found.u_temperature_k[0, -25:] == pytest.approx(np.full(25, 0.7))

    def test_covers_a_deck_whose_surface_takes_up_less(self):
        # every case within the doubt stated: a road of 0.8 instead of 0.9
        nominal = effective_temperature(cut(EVERY_DECK), days(8), sunny(8))
        paler = effective_temperature(
            cut(EVERY_DECK), days(8), sunny(8), exchange=Exchange(absorptivity=0.8)
        )
        off = np.abs(last_day(paler) - last_day(nominal))
        assert (off <= nominal.u_temperature_k[:, -25:]).all()

    @pytest.mark.parametrize("bad", [-1.0, NAN, np.inf])
    def test_is_finite_and_not_negative(self, bad):
        with pytest.raises(InputError, match="air_k"):
            HeatUncertainty(air_k=bad)


class TestManyRows:
    def test_many_sections_and_weathers_are_each_alone(self):
        air = np.stack([days(9, mean) for mean in (-5.0, 8.0, 20.0)])
        sun = np.stack([sunny(9, noon) for noon in (200.0, 600.0, 950.0)])
        decks = [steel_box(), composite_girders(), concrete_box(3.0)]
        together = effective_temperature(cut(decks), air, sun)
        for row, deck in enumerate(decks):
            alone = effective_temperature(cut([deck]), air[row], sun[row])
            assert together.temperature_c[row] == pytest.approx(
                alone.temperature_c[0], nan_ok=True, abs=1e-9
            )
            assert together.u_temperature_k[row] == pytest.approx(
                alone.u_temperature_k[0], nan_ok=True, abs=1e-9
            )

    def test_sections_of_a_register_are_picked_by_number(self):
        air = np.stack([days(5), days(5)])
        picked = effective_temperature(cut(EVERY_DECK).of([4, 0]), air)
        direct = effective_temperature(cut([EVERY_DECK[4], EVERY_DECK[0]]), air)
        assert picked.temperature_c == pytest.approx(direct.temperature_c, nan_ok=True)


class TestRefused:
    @pytest.mark.parametrize(
        ("change", "field"),
        [
            ({"air_c": [[10.0, 80.0]]}, "air_c"),
            ({"air_c": [10.0, -95.0]}, "air_c"),
            ({"air_c": [NAN, NAN]}, "air_c"),
            ({"air_c": [10.0, np.inf]}, "air_c"),
            ({"sun_w_per_m2": [0.0, -5.0]}, "sun_w_per_m2"),
            ({"sun_w_per_m2": [0.0, 2000.0]}, "sun_w_per_m2"),
            ({"sun_w_per_m2": [0.0]}, "sun_w_per_m2"),
            ({"wind_m_per_s": [0.0, 200.0]}, "wind_m_per_s"),
            ({"steps_per_hour": 0}, "steps_per_hour"),
            ({"air_c": np.zeros((3, 2))}, "cells"),
        ],
    )
    def test_what_is_no_weather(self, change, field):
        given = {"cells": cut([steel_box(), steel_box()]), "air_c": [10.0, 11.0]}
        with pytest.raises(InputError) as refused:
            effective_temperature(**(given | change))
        assert refused.value.field == field

    @pytest.mark.parametrize(
        ("make", "field"),
        [
            (lambda: Layer(CONCRETE, 0.0), "depth_m"),
            (lambda: Layer(ASPHALT, 0.0005), "depth_m"),
            (lambda: Layer(CONCRETE, 0.2, solid_share=1.2), "solid_share"),
            (lambda: Layer(CONCRETE, 0.2, side_area=-1.0), "side_area"),
            (lambda: Layer(CONCRETE, 0.2, cells=0), "cells"),
            (lambda: Material(0.0, 2400.0, 900.0, 0.3), "conductivity_w_per_mk"),
            (lambda: Material(1.7, 2400.0, 900.0, -0.3), "alpha_e_mpa_per_k"),
            (lambda: Exchange(absorptivity=1.1), "absorptivity"),
            (lambda: Exchange(wind_m_per_s=NAN), "wind_m_per_s"),
            (lambda: cut([]), "sections"),
            (lambda: cut([[]]), "sections"),
            (lambda: cut([[Layer(ASPHALT, 0.1)]]), "sections"),
            (lambda: on_regular_hours([1.0], [1.0, 2.0], 0.0, 5), "values"),
            (lambda: on_regular_hours([1.0], [1.0], 0.0, 0), "hours"),
        ],
    )
    def test_what_is_no_section_or_surface(self, make, field):
        with pytest.raises(InputError) as refused:
            make()
        assert refused.value.field == field
