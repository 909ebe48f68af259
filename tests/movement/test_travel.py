"""Travel of sliding surfaces, worked by hand or by another summation."""

import numpy as np
import pytest

from movement.errors import InputError
from movement.travel import life_used, travel_from_cycles, travel_from_record


def test_one_cycle_alone_travels_there_and_back():
    # 1.2 mm/K, 8 K a day: 2 x 9.6 mm on each of 365.25 days; 30 K a year: 2 x 36 mm.
    np.testing.assert_allclose(travel_from_cycles(-1.2, 8.0, 0.0).mm_per_year, 7012.8)
    np.testing.assert_allclose(travel_from_cycles(1.2, 0.0, 30.0).mm_per_year, 72.0, rtol=1e-5)


@pytest.mark.parametrize("daily", [0.05, 0.5, 6.0])
def test_both_cycles_together_equal_a_year_summed_by_the_hour(daily):
    hours = np.arange(0, 24 * 365.25 * 4, 0.25)
    year = 15 * np.sin(2 * np.pi * hours / 8766)
    record = year + daily / 2 * np.sin(2 * np.pi * hours / 24)
    found = travel_from_cycles(2.0, daily, 30.0)
    summed = 2.0 * np.abs(np.diff(record)).sum() / 4
    np.testing.assert_allclose(found.mm_per_year, summed, rtol=0.01)
    assert found.lowest_mm_per_year <= found.mm_per_year <= found.highest_mm_per_year
    from_record = travel_from_record(2.0, hours[::4], record[::4])
    np.testing.assert_allclose(from_record.mm_per_year, summed, rtol=0.03)


def test_a_gap_of_the_record_widens_the_bounds():
    hours = np.arange(24.0 * 20)
    t = 5 * np.sin(2 * np.pi * hours / 24)
    t[100:172] = np.nan
    found = travel_from_record([1.0, np.nan], hours[::-1], t[::-1])
    np.testing.assert_allclose(found.highest_mm_per_year[0], 20 * 365.25, rtol=0.05)
    assert found.lowest_mm_per_year[0] <= found.mm_per_year[0] < found.highest_mm_per_year[0]
    assert np.isnan(found.mm_per_year[1])
    assert np.isnan(travel_from_record(1.0, [0.0, 1.0], [1.0, np.nan]).mm_per_year)
    assert travel_from_record(1.0, [0.0, 9.0], [1.0, 3.0]).lowest_mm_per_year == 0.0


def test_the_share_of_the_service_life_says_what_is_left():
    used = life_used([5000.0, 0.0, np.nan], 20.0, 400.0, "judgement")
    np.testing.assert_allclose(used.travelled_m, [100.0, 0.0, np.nan])
    np.testing.assert_allclose(used.share, [0.25, 0.0, np.nan])
    np.testing.assert_allclose(used.years_left, [60.0, np.nan, np.nan])


@pytest.mark.parametrize(
    ("call", "field"),
    [
        (lambda: life_used(1.0, 1.0, 0.0, "judgement"), "rated_travel_m"),
        (lambda: life_used(1.0, 1.0, 9.0, " "), "source"),
        (lambda: travel_from_cycles(1.0, -1.0, 1.0), "daily_range_k"),
        (lambda: travel_from_record(1.0, [0.0, 0.0], [1.0, 2.0]), "record_h"),
        (lambda: travel_from_record(1.0, [0.0, 1.0], [1.0]), "temperature_c"),
    ],
)
def test_impossible_input_is_refused_by_name(call, field):
    with pytest.raises(InputError) as refused:
        call()
    assert refused.value.field == field
