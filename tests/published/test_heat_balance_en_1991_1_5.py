"""Heat balance over a year of hours against EN 1991-1-5:2003, Figure 6.1, and the JCSS.

Figure 6.1 adds to the shade air extremes (min / max): steel -3 / +16 K, composite +4 / +4 K,
concrete +8 / +2 K; offsets read in two independent implementations.  The figure draws one line
for all depths and shapes of a type, and stands for extremes of 50 years; here are one year's.

Target: within 3 K.  The typical year was looked at when the usual exchange of surfaces was
chosen; 2017 was not.  Why decks leave the figure where they do is shown, by days of which only
one thing is changed, in test_heat_balance_reference_days.
"""

import numpy as np
import pytest

from movement.heat_balance.climate import on_regular_hours
from movement.heat_balance.effective import HourNote, effective_temperature
from movement.heat_balance.sections import (
    composite_girders,
    concrete_box,
    concrete_girders,
    concrete_slab,
    cut,
    steel_box,
)
from movement.standards.en_1991_1_5_2003 import uniform_temperature
from movement.temperature import DeckType, mean_of_preceding
from tests.weather import air_2013, typical_year, year_2017

WITHIN_K = 3.0
STEEL, COMPOSITE, CONCRETE = DeckType.STEEL, DeckType.COMPOSITE, DeckType.CONCRETE
DECKS = {
    "steel box": (STEEL, steel_box()),
    "composite, 1.5 m": (COMPOSITE, composite_girders(1.5)),
    "composite, 2.5 m": (COMPOSITE, composite_girders(2.5, 0.09, spacing_m=3.5)),
    "slab, 0.6 m": (CONCRETE, concrete_slab(0.6)),
    "slab, 1.2 m": (CONCRETE, concrete_slab(1.2)),
    "T-girders, 1.2 m": (CONCRETE, concrete_girders(1.2)),
    "T-girders, 2.4 m": (CONCRETE, concrete_girders(2.4)),
    "box, 2.0 m": (CONCRETE, concrete_box(2.0)),
    "box, 4.7 m": (CONCRETE, concrete_box(4.7)),
}

# Where the balance leaves the figure by more than 3 K, by how much it does [K], and why.
LEAVES_THE_FIGURE_K = {
    # A slab of 1.2 m hardly follows a cold spell of a day or two, open girders do, and fall below
    # the figure when it lasts; the figure has one line between them.
    ("typical", "slab, 1.2 m", "min"): 4.8,
    ("2017", "slab, 1.2 m", "min"): 7.7,
    ("typical", "T-girders, 1.2 m", "min"): -3.7,
    ("typical", "T-girders, 2.4 m", "min"): -3.3,
    # 2017 fell to -27.7 degC for one night; a slab of 0.6 m under 0.1 m of asphalt was slow.
    ("2017", "slab, 0.6 m", "min"): 3.2,
    # A dry climate, whose hottest days swing by 18 K; the figure supposes 10 K a day.
    ("2017", "slab, 1.2 m", "max"): -3.3,
    ("2017", "box, 4.7 m", "max"): -3.2,
}


@pytest.fixture(scope="module")
def years():
    found = {}
    for name, (air, sun) in {"typical": typical_year(), "2017": year_2017()[:2]}.items():
        cells = cut([layers for _, layers in DECKS.values()])
        history = effective_temperature(cells, air, sun)
        found[name] = (air, dict(zip(DECKS, history.temperature_c, strict=True)))
    return found


def off_the_figure(air, temperature, deck_type):
    figure = uniform_temperature(deck_type, air.min(), air.max())
    return {
        "min": float(np.nanmin(temperature) - figure.min_c),
        "max": float(np.nanmax(temperature) - figure.max_c),
    }


@pytest.mark.parametrize("name", DECKS)
@pytest.mark.parametrize("year", ["typical", "2017"])
@pytest.mark.parametrize("end", ["min", "max"])
def test_extremes_of_a_year_lie_within_three_kelvin_or_as_far_off_as_is_said(
    years, year, name, end
):
    air, temperatures = years[year]
    off = off_the_figure(air, temperatures[name], DECKS[name][0])[end]
    said = LEAVES_THE_FIGURE_K.get((year, name, end))
    if said is None:
        assert abs(off) <= WITHIN_K
    else:
        assert abs(off) > WITHIN_K  # nothing is excused that meets the target
        assert off == pytest.approx(said, abs=0.2)


def test_the_hottest_days_swing_by_eighteen_kelvin_in_2017_and_by_twelve_in_the_typical_year():
    for (air, _sun), swing_k in ((typical_year(), 12.0), (year_2017()[:2], 18.0)):
        days = air.reshape(-1, 24)
        hottest = np.argsort(days.max(axis=1))[-10:]
        assert np.ptp(days[hottest], axis=1).mean() == pytest.approx(swing_k, abs=0.5)


@pytest.mark.parametrize("year", ["typical", "2017"])
def test_the_common_deck_of_each_type_meets_the_figure_at_both_ends(years, year):
    air, temperatures = years[year]
    for name in ("steel box", "composite, 1.5 m", "composite, 2.5 m", "box, 2.0 m"):
        assert (year, name, "min") not in LEAVES_THE_FIGURE_K
        off = off_the_figure(air, temperatures[name], DECKS[name][0])
        assert max(abs(each) for each in off.values()) <= WITHIN_K


class TestYearlyMaximaOfTheJcss:
    """JCSS Probabilistic Model Code, thermal actions, bridges in the UK and Germany; read.

    Mean of the yearly maximum of the uniform temperature, each with a standard deviation of
    2 K: slab 0.6 m 34 degC; T-girder 1.2 m 35, 2.4 m 33; box 2.0 m 33, 4.7 m 32; slab 1.2 m
    31; composite 35; steel 40.  Their summers are milder, so decks are compared with each
    other: difference from the slab of 0.6 m, whose own spread counts as well.  A summer as
    mild as theirs stands in test_heat_balance_reference_days.
    """

    SPREAD_K = 2.0
    ABOVE_THIN_SLAB_K = {
        "T-girders, 1.2 m": 1.0,
        "T-girders, 2.4 m": -1.0,
        "box, 2.0 m": -1.0,
        "box, 4.7 m": -2.0,
        "slab, 1.2 m": -3.0,
        "composite, 1.5 m": 1.0,
    }

    @pytest.mark.parametrize("year", ["typical", "2017"])
    @pytest.mark.parametrize("name", ABOVE_THIN_SLAB_K)
    def test_decks_differ_as_measured(self, years, year, name):
        _, temperatures = years[year]
        above = np.nanmax(temperatures[name]) - np.nanmax(temperatures["slab, 0.6 m"])
        assert above == pytest.approx(self.ABOVE_THIN_SLAB_K[name], abs=self.SPREAD_K)

    def test_deeper_sections_are_cooler_by_one_to_three_kelvin(self, years):
        _, temperatures = years["typical"]
        top = {name: np.nanmax(temperatures[name]) for name in DECKS}
        for shallow, deep in (
            ("slab, 0.6 m", "slab, 1.2 m"),
            ("box, 2.0 m", "box, 4.7 m"),
            ("T-girders, 1.2 m", "T-girders, 2.4 m"),
        ):
            assert 1.0 <= top[shallow] - top[deep] <= 3.0

    def test_thicker_surfacing_takes_a_little_off(self):
        air, sun = typical_year()
        summer = slice(24 * 160, 24 * 240)
        cells = cut([concrete_box(2.0, depth) for depth in (0.05, 0.1, 0.2)])
        found = effective_temperature(cells, air[summer], sun[summer])
        top = np.nanmax(found.temperature_c, axis=1)
        assert top[0] - top[2] < 4.0  # "slightly" for 0.15 m more
        assert top[0] > top[1] > top[2]

    def test_steel_stays_with_the_figure_where_the_two_sources_part(self, years):
        # JCSS 40 - 34 = 6 K above the slab; Figure 6.1 sets steel 14 K above concrete
        _, temperatures = years["typical"]
        above = np.nanmax(temperatures["steel box"]) - np.nanmax(temperatures["slab, 0.6 m"])
        assert above == pytest.approx(14.0, abs=WITHIN_K)


class TestAirAlone:
    def test_without_sun_the_stated_uncertainty_is_about_what_is_lost(self, years):
        # against the same balance with the sun recorded, over a whole year
        air, temperatures = years["typical"]
        names = [name for name in DECKS if name != "steel box"]
        unknown = effective_temperature(cut([DECKS[name][1] for name in names]), air)
        for row, name in enumerate(names):
            off = unknown.temperature_c[row] - temperatures[name]
            lost = np.sqrt(np.nanmean(off**2))
            assert lost < np.nanmean(unknown.u_temperature_k[row]) < 2.5 * lost

    @pytest.mark.parametrize(("name", "span_h"), [("composite, 1.5 m", 24.0), ("box, 2.0 m", 48.0)])
    @pytest.mark.parametrize("year", ["typical", "2017"])
    def test_it_beats_the_plain_mean_of_the_hours_before(self, years, year, name, span_h):
        air, temperatures = years[year]
        hour = np.arange(float(air.size))
        plain = mean_of_preceding(hour, air, hour, span_h) - temperatures[name]
        balance = effective_temperature(cut([DECKS[name][1]]), air).temperature_c[0]
        lost = balance - temperatures[name]
        assert np.nanmean(lost**2) < 0.6 * np.nanmean(plain**2)

    def test_a_station_with_missing_hours_still_gives_its_winter(self):
        hours, values = air_2013()
        air = on_regular_hours(hours, values, 0.0, int(hours[-1]) + 1)
        found = effective_temperature(cut([DECKS["composite, 1.5 m"][1]]), air)
        assert 20 < np.isnan(air).sum() < 40  # as the record itself says
        holes = np.isnan(air)
        named = HourNote.AIR_BRIDGED | HourNote.AIR_MISSING
        assert ((found.notes[0] & named > 0) == holes).all()
        figure = uniform_temperature(COMPOSITE, np.nanmin(air), np.nanmax(air))
        assert np.nanmin(found.temperature_c) == pytest.approx(float(figure.min_c), abs=WITHIN_K)
        # the sun makes the maximum: without it the figure is missed by more
        assert np.nanmax(found.temperature_c) < float(figure.max_c) - WITHIN_K
