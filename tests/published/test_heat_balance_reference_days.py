"""Heat balance of days made up of one swing of air and a clear sky, against published figures.

EN 1991-1-5:2003, Figure 6.1 (offsets read): it supposes a swing of 10 K a day (read).  JCSS
Probabilistic Model Code, thermal actions (read): yearly maxima of bridges in the UK and
Germany.  Emerson, TRRL LR 696 and SR479 (windows from memory): mornings.  The days themselves
are invented: air a cosine with its top at 15 h, sun a sine of daylight.
"""

import numpy as np
import pytest

from movement.heat_balance.climate import Exchange, Weather, on_regular_hours
from movement.heat_balance.effective import effective_temperature
from movement.heat_balance.march import march, surroundings
from movement.heat_balance.sections import (
    composite_girders,
    concrete_box,
    concrete_slab,
    cut,
    steel_box,
)
from movement.standards.en_1991_1_5_2003 import uniform_temperature
from movement.temperature import DeckType, mean_of_preceding
from tests.published.test_heat_balance_en_1991_1_5 import DECKS, WITHIN_K
from tests.weather import air_2013, typical_year, year_2017

CELLS = cut([layers for _, layers in DECKS.values()])
TWO_DEVIATIONS_K = 4.0  # 2 K each (JCSS)
CLEAR_JUNE_W_PER_M2, JUNE_DAY_H = 800.0, 16.0  # about 52 degrees of latitude; judgement
CLEAR_JANUARY_W_PER_M2, JANUARY_DAY_H = 200.0, 8.0


def swing(hour, swing_k):
    return swing_k / 2.0 * np.cos(2.0 * np.pi * (hour % 24 - 15.0) / 24.0)


def clear_sun(hour, noon_w_per_m2, daylight_h):
    since_dawn = (hour % 24 - 12.0) / daylight_h + 0.5
    day = (since_dawn > 0.0) & (since_dawn < 1.0)
    return np.where(day, noon_w_per_m2 * np.sin(np.pi * np.clip(since_dawn, 0.0, 1.0)), 0.0)


def hot_day_maxima(hottest_c, swing_k):
    """Return the highest temperature of each deck when such days have lasted for weeks."""
    hour = np.arange(24.0 * 30)
    air = hottest_c - swing_k / 2.0 + swing(hour, swing_k)
    sun = clear_sun(hour, CLEAR_JUNE_W_PER_M2, JUNE_DAY_H)
    found = effective_temperature(CELLS, air, sun).temperature_c[:, -24:].max(axis=1)
    return dict(zip(DECKS, found, strict=True))


def off_the_hot_figure(hottest_c, swing_k):
    maxima = hot_day_maxima(hottest_c, swing_k)
    return {
        name: maxima[name] - float(uniform_temperature(deck, -10.0, hottest_c).max_c)
        for name, (deck, _) in DECKS.items()
    }


def off_the_cold_figure(days):
    """Return how far each deck stands off the figure after a spell of so many cold days."""
    hour = np.arange(24.0 * 30)
    start, mild_c, cold_c = 24.0 * 20, 4.0, -10.0
    ends = [0.0, start, start + 12.0, start + 24.0 * days, start + 24.0 * days + 12.0, hour[-1]]
    air = np.interp(hour, ends, [mild_c, mild_c, cold_c, cold_c, mild_c, mild_c])
    air = air + swing(hour, 10.0)
    sun = clear_sun(hour, CLEAR_JANUARY_W_PER_M2, JANUARY_DAY_H)
    coldest = np.nanmin(effective_temperature(CELLS, air, sun).temperature_c, axis=1)
    return {
        name: low - float(uniform_temperature(deck, air.min(), 30.0).min_c)
        for (name, (deck, _)), low in zip(DECKS.items(), coldest, strict=True)
    }


class TestHotDays:
    def test_with_the_swing_of_the_figure_every_deck_lies_within_three_kelvin_of_it(self):
        off = off_the_hot_figure(33.0, 10.0)
        assert max(abs(each) for each in off.values()) <= WITHIN_K

    def test_with_the_swing_of_a_dry_climate_deep_decks_lie_below_it(self):
        # what is seen in 2017 on the plateau: mean air 4 K lower under the same maximum
        off = off_the_hot_figure(33.0, 18.0)
        assert all(off[name] < -WITHIN_K for name in ("T-girders, 2.4 m", "box, 4.7 m"))
        assert max(abs(each) for each in off.values()) < WITHIN_K + 0.5

    @pytest.mark.parametrize(
        ("name", "yearly_maximum_c"),
        [
            ("steel box", 40.0),
            ("composite, 1.5 m", 35.0),
            ("composite, 2.5 m", 35.0),
            ("box, 2.0 m", 33.0),
            ("box, 4.7 m", 32.0),
            ("T-girders, 1.2 m", 35.0),
            ("T-girders, 2.4 m", 33.0),
            ("slab, 0.6 m", 34.0),
            ("slab, 1.2 m", 31.0),
        ],
    )
    def test_a_summer_of_thirty_degrees_gives_the_yearly_maxima_of_the_jcss(
        self, name, yearly_maximum_c
    ):
        # 30 degC: the yearly maximum of air in those countries (from memory, medium)
        found = hot_day_maxima(30.0, 10.0)[name]
        assert found == pytest.approx(yearly_maximum_c, abs=TWO_DEVIATIONS_K)
        # The two sources part over steel by 8 K (40 - 30 against 16 + 2): it stands between them.
        if name != "steel box":
            assert found == pytest.approx(yearly_maximum_c, abs=WITHIN_K)


class TestColdSpells:
    def test_after_two_days_only_a_deep_slab_is_more_than_three_kelvin_off(self):
        off = off_the_cold_figure(2.0)
        assert off.pop("slab, 1.2 m") > WITHIN_K
        assert max(abs(each) for each in off.values()) <= WITHIN_K

    def test_after_five_days_the_slab_is_there_and_other_concrete_lies_below(self):
        # With a swing of 10 K the mean of the air is 5 K above its minimum, the figure 8 K: it
        # stands for spells too short for concrete.  A design for long ones goes lower.
        off = off_the_cold_figure(5.0)
        assert abs(off.pop("slab, 1.2 m")) < 1.0
        for name, each in off.items():
            if DECKS[name][0] == DeckType.CONCRETE:
                assert -5.0 < each < -WITHIN_K
            else:
                assert abs(each) <= WITHIN_K

    def test_a_winter_of_a_third_station_had_such_a_spell(self):
        # 2013, 41 degrees of latitude, -11.7 degC within a week of frost; the sun is not
        # recorded: 80 W/m2, its usual mean in January there (judgement)
        hours, values = air_2013()
        air = on_regular_hours(hours, values, 0.0, int(hours[-1]) + 1)
        found = effective_temperature(CELLS, air, exchange=Exchange(mean_sun_w_per_m2=80.0))
        coldest = dict(zip(DECKS, np.nanmin(found.temperature_c, axis=1), strict=True))
        for name, (deck, _) in DECKS.items():
            figure = float(uniform_temperature(deck, np.nanmin(air), 30.0).min_c)
            if deck == DeckType.COMPOSITE:
                assert coldest[name] == pytest.approx(figure, abs=WITHIN_K)
            elif deck == DeckType.CONCRETE:
                assert -5.5 < coldest[name] - figure < 0.0


class TestSunlitSurface:
    @pytest.mark.parametrize(
        "layers", [concrete_slab(0.6, 0.0), concrete_box(2.0, 0.0), composite_girders(1.5)]
    )
    def test_it_is_ten_to_twenty_kelvin_hotter_than_the_section_mean(self, layers):
        # from memory, medium; the reason why it never stands for the section
        hour = np.arange(24.0 * 20)
        air = 28.0 + swing(hour, 10.0)
        weather = Weather.of(air, clear_sun(hour, CLEAR_JUNE_W_PER_M2, JUNE_DAY_H))
        cells = cut([layers])
        start = np.full((cells.capacity.shape[0], 1), 28.0)
        all_cells = np.array(list(march(cells, surroundings(weather, Exchange()), start)))[..., 0]
        above = (all_cells[:, 0] - all_cells @ cells.weight[:, 0])[-24:]
        assert 10.0 <= above.max() <= 20.0
        assert 12 <= above.argmax() <= 15
        assert abs(above[7]) < 5.0  # by 07 h it is nearly gone


@pytest.fixture(scope="module", params=["typical", "2017"])
def a_year(request):
    air, sun = typical_year() if request.param == "typical" else year_2017()[:2]
    names = ("concrete", "composite", "steel")
    cells = cut([concrete_box(2.0), composite_girders(1.5), steel_box()])
    history = effective_temperature(cells, air, sun)
    return air, dict(zip(names, history.temperature_c, strict=True))


def off(air, temperature, guess, at_hour=None):
    """Return root mean square of a guess less the balance, of one hour of the day or of all."""
    hour = np.arange(air.size)
    rows = slice(None) if at_hour is None else hour % 24 == at_hour
    return float(np.sqrt(np.nanmean((guess - temperature)[rows] ** 2)))


class TestAirOfTheHour:
    """Why a reading needs the hours before: concrete answers the air with a lag (read)."""

    def test_concrete_lags_by_hours_and_steel_hardly(self, a_year):
        air, temperature = a_year

        def lag_h(name):
            inside = slice(240, air.size - 48)
            same = [
                np.corrcoef(air[inside], np.roll(temperature[name], -each)[inside])[0, 1]
                for each in range(24)
            ]
            return int(np.argmax(same))

        assert lag_h("concrete") >= 4 > lag_h("composite") > lag_h("steel")

    def test_for_concrete_the_air_of_the_hour_is_worse_than_the_mean_of_two_days(self, a_year):
        air, temperature = a_year
        hour = np.arange(float(air.size))
        mean = mean_of_preceding(hour, air, hour, 48.0)
        now, before = (off(air, temperature["concrete"], each) for each in (air, mean))
        assert now > 1.3 * before

    @pytest.mark.parametrize(("name", "span_h"), [("concrete", 48.0), ("composite", 24.0)])
    def test_about_eight_in_the_morning_the_mean_of_the_span_holds_within_two_kelvin(
        self, a_year, name, span_h
    ):
        air, temperature = a_year
        hour = np.arange(float(air.size))
        mean = mean_of_preceding(hour, air, hour, span_h)
        morning = off(air, temperature[name], mean, 8)
        assert morning < 2.0
        # and in the afternoon it is out by more than twice as much: clear ones are to be avoided
        assert off(air, temperature[name], mean, 15) > 2.0 * morning

    def test_a_fortnight_holds_two_fifths_of_the_swing_of_a_year(self, a_year):
        # Three-span integral bridge over 16 months (TRR 1892, abstract, read): single fortnights
        # came close to the swing of the seasons: one reading needs its own temperature
        _air, temperature = a_year
        for each in temperature.values():
            year = np.nanmax(each) - np.nanmin(each)
            fortnights = [np.ptp(each[k : k + 336]) for k in range(240, each.size - 336, 24)]
            assert max(fortnights) > 0.4 * year
