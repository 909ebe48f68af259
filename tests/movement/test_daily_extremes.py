"""Hours rebuilt from daily extremes, against the hours that the extremes were taken from."""

import numpy as np
import pytest

from movement.errors import InputError
from movement.heat_balance.daily import REBUILT_U_K, hours_from_days
from movement.heat_balance.effective import effective_temperature
from movement.heat_balance.sections import (
    composite_girders,
    concrete_box,
    concrete_girders,
    concrete_slab,
    cut,
    steel_box,
)
from movement.temperature import DeckType
from tests.weather import typical_year, year_2017

YEARS = {"typical": typical_year, "2017": year_2017}
DECKS = {
    DeckType.STEEL: [steel_box()],
    DeckType.COMPOSITE: [composite_girders(1.5), composite_girders(2.5, 0.09, spacing_m=3.5)],
    DeckType.CONCRETE: [concrete_slab(0.6), concrete_girders(1.2), concrete_box(2.0)],
}


def rebuilt(air):
    by_day = air.reshape(-1, 24)
    return hours_from_days(
        np.arange(len(by_day)), by_day.min(axis=1), by_day.max(axis=1), np.arange(air.size)
    )


@pytest.mark.parametrize("year", YEARS)
@pytest.mark.parametrize("deck", DECKS)
def test_what_a_deck_loses_by_rebuilt_hours_is_what_is_stated(year, deck):
    air = YEARS[year]()[0]
    cells = cut(DECKS[deck])
    lost = (
        effective_temperature(cells, rebuilt(air)).temperature_c
        - effective_temperature(cells, air).temperature_c
    )
    rms = np.sqrt(np.nanmean(lost**2))
    assert 0.5 * REBUILT_U_K[deck] < rms < 1.05 * REBUILT_U_K[deck]
    assert abs(np.nanmean(lost)) < 0.5


@pytest.mark.parametrize("year", YEARS)
def test_rebuilt_hours_keep_the_extremes_of_each_day(year):
    air = YEARS[year]()[0].reshape(-1, 24)
    found = rebuilt(air.ravel()).reshape(-1, 24)
    assert found[:, 5] == pytest.approx(air.min(axis=1))
    assert found[:, 14] == pytest.approx(air.max(axis=1))


def test_half_way_between_two_extremes_the_air_is_half_way():
    # 9.5 h is half way from 5 to 14 h: (2 + 12) / 2; 21.5 h half way to 5 h: (12 + 4) / 2
    found = hours_from_days([7, 8], [2.0, 4.0], [12.0, 9.0], [7 * 24 + 9.5, 7 * 24 + 21.5])
    assert found == pytest.approx([7.0, 8.0])


def test_a_day_alone_lends_its_own_extremes_to_its_nights():
    found = hours_from_days([3], [2.0], [12.0], 72.0 + np.arange(24.0))
    assert not np.isnan(found).any()
    assert found[[0, 23]].max() < 12.0
    assert found.min() == pytest.approx(2.0)


def test_an_hour_of_a_day_that_is_not_known_is_not_known():
    found = hours_from_days([3, 5], [2.0, 2.0], [12.0, 12.0], [71.9, 72.0, 96.0, 119.9, 120.0, 144])
    assert np.isnan(found).tolist() == [True, False, True, True, False, True]


def test_order_of_the_days_does_not_matter():
    at = np.arange(24.0, 96.0)
    days, low, high = np.array([1, 2, 3]), np.array([0.0, 5.0, -3.0]), np.array([9.0, 12.0, 4.0])
    back = slice(None, None, -1)
    assert hours_from_days(days[back], low[back], high[back], at) == pytest.approx(
        hours_from_days(days, low, high, at)
    )


def test_no_day_tells_nothing():
    assert np.isnan(hours_from_days([], [], [], [1.0, 2.0])).all()


@pytest.mark.parametrize(
    ("given", "field"),
    [
        (([1], [5.0], [4.0], [24.0]), "min_c"),
        (([1, 1], [1.0, 2.0], [4.0, 5.0], [24.0]), "day"),
        (([1, 2], [1.0], [4.0], [24.0]), "min_c"),
        (([1], [np.nan], [4.0], [24.0]), "min_c"),
        (([1], [1.0], [4.0], [24.0], 15.0, 14.0), "coldest_at_h"),
    ],
)
def test_what_cannot_be_extremes_of_days_is_refused(given, field):
    with pytest.raises(InputError) as refused:
        hours_from_days(*given)
    assert refused.value.field == field
