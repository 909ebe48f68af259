"""The usual sun of a place: what everyone knows of seasons, and what two years measured."""

import numpy as np
import pytest

from movement.errors import InputError
from movement.heat_balance.effective import effective_temperature
from movement.heat_balance.sections import composite_girders, concrete_box, cut, steel_box
from movement.heat_balance.sun import usual_sun_w_per_m2
from tests.weather import typical_year, year_2017

HOUR = np.arange(8760.0)
DAY_OF_YEAR = HOUR // 24 + 1
YEARS = {
    # air, sun and latitude; the clock of both records is within half an hour of the sun's
    "typical": (*typical_year(), 36.1),
    "2017": (*year_2017()[:2], 40.0),
}
DECKS = {"steel": steel_box(), "composite": composite_girders(), "box": concrete_box(2.0)}


def test_noon_is_brightest_and_midnight_dark():
    day = usual_sun_w_per_m2(80, np.arange(24.0), 45.0)
    assert day.argmax() == 12
    assert day[[0, 1, 23]].tolist() == [0, 0, 0]


def test_a_polar_summer_has_sun_at_midnight_and_its_winter_none_at_noon():
    assert usual_sun_w_per_m2(172, 0.0, 75.0) > 0
    assert usual_sun_w_per_m2(355, 12.0, 75.0) == 0


def test_the_south_has_its_summer_in_december():
    june, december = usual_sun_w_per_m2([172, 355], 12.0, -40.0)
    assert december > 2.0 * june


@pytest.mark.parametrize("year", YEARS)
def test_a_year_of_it_brings_about_as_much_as_was_measured(year):
    _, sun, latitude = YEARS[year]
    usual = usual_sun_w_per_m2(DAY_OF_YEAR, HOUR % 24, latitude)
    assert usual.mean() == pytest.approx(sun.mean(), rel=0.2)


@pytest.mark.parametrize("deck", DECKS)
@pytest.mark.parametrize("year", YEARS)
def test_it_halves_what_a_record_without_sun_costs_and_the_rest_is_in_the_uncertainty(year, deck):
    air, sun, latitude = YEARS[year]
    cells = cut([DECKS[deck]])
    truth = effective_temperature(cells, air, sun).temperature_c
    usual = usual_sun_w_per_m2(DAY_OF_YEAR, HOUR % 24, latitude)
    placed = effective_temperature(cells, air, usual_sun_w_per_m2=usual)
    nowhere = effective_temperature(cells, air)
    by_day = (HOUR % 24 >= 7) & (HOUR % 24 <= 18)

    def lost(found):
        return np.sqrt(np.nanmean((found.temperature_c - truth)[:, by_day] ** 2))

    assert lost(placed) < 0.6 * lost(nowhere)
    for found in (placed, nowhere):
        assert lost(found) < np.nanmean(found.u_temperature_k[:, by_day])
    assert np.nanmean(placed.u_temperature_k) < np.nanmean(nowhere.u_temperature_k)


def test_sun_on_record_goes_before_the_usual_one():
    air, sun, latitude = YEARS["2017"]
    usual = usual_sun_w_per_m2(DAY_OF_YEAR, HOUR % 24, latitude)
    cells = cut([steel_box()])
    with_both = effective_temperature(cells, air, sun, usual_sun_w_per_m2=usual)
    recorded = effective_temperature(cells, air, sun)
    assert with_both.temperature_c == pytest.approx(recorded.temperature_c, nan_ok=True)
    assert with_both.u_temperature_k == pytest.approx(recorded.u_temperature_k, nan_ok=True)


def test_a_place_that_is_not_known_gives_no_sun():
    assert np.isnan(usual_sun_w_per_m2(100, 12.0, np.nan))


@pytest.mark.parametrize(
    ("given", "field"),
    [((1, 12.0, 91.0), "latitude_deg"), ((1, 12.0, 45.0, 1.5), "clearness")],
)
def test_no_latitude_beyond_a_pole_and_no_more_sun_than_there_is(given, field):
    with pytest.raises(InputError) as refused:
        usual_sun_w_per_m2(*given)
    assert refused.value.field == field
