"""When one more reading narrows the slope most."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from movement.best_time import best_times, error_ratio, gain_in_spread
from movement.errors import InputError

TEMPERATURES = st.lists(st.floats(-30, 50), min_size=1, max_size=12)
CANDIDATE = st.floats(-40, 60)


def climate(mean_c: float = 10.0, yearly_k: float = 12.0, daily_k: float = 5.0) -> np.ndarray:
    """Coldest in January at 5 o'clock, hottest in July at 17."""
    month = np.arange(12)[:, np.newaxis]
    hour = np.arange(24)[np.newaxis]
    return (
        mean_c
        - yearly_k * np.cos(2 * np.pi * month / 12)
        - daily_k * np.cos(2 * np.pi * (hour - 5) / 24)
    )


@given(earlier=TEMPERATURES, candidate=CANDIDATE)
def test_the_gain_is_the_rise_of_the_sum_of_squares(earlier, candidate):
    both = [np.array(earlier), np.array([*earlier, candidate])]
    before, after = (np.var(each) * each.size for each in both)
    assert gain_in_spread(earlier, candidate) == pytest.approx(after - before, abs=1e-6, rel=1e-6)


@given(earlier=TEMPERATURES, candidate=CANDIDATE, shift=st.floats(-20, 20))
def test_only_differences_of_temperature_count(earlier, candidate, shift):
    moved = [each + shift for each in earlier]
    assert gain_in_spread(moved, candidate + shift) == pytest.approx(
        gain_in_spread(earlier, candidate), abs=1e-6
    )


@given(earlier=TEMPERATURES, one=CANDIDATE, other=CANDIDATE)
def test_the_farther_from_the_mean_the_more_is_gained(earlier, one, other):
    mean = np.mean(earlier)
    near, far = sorted((one, other), key=lambda each: abs(each - mean))
    gains = gain_in_spread(earlier, [near, far])
    assert gains[1] >= gains[0] - 1e-9


@given(earlier=st.lists(st.floats(-30, 50), min_size=2, max_size=12), candidate=CANDIDATE)
def test_a_further_reading_never_widens_the_slope(earlier, candidate):
    ratio = float(error_ratio(earlier, candidate))
    assert math.isnan(ratio) or 0 < ratio <= 1


def test_the_ratio_is_that_of_the_standard_errors_of_a_regression():
    random = np.random.default_rng(4)
    earlier = np.array([8.0, 11.0, 9.5, 14.0, 12.0])
    for candidate in (-12.0, 10.0, 33.0):
        later = np.append(earlier, candidate)
        errors = []
        for temperatures in (earlier, later):
            # The regression's own scatter is taken out, since the ratio takes it as unchanged.
            readings = 0.8 * temperatures + random.normal(0, 1, temperatures.size)
            fit = stats.linregress(temperatures, readings)
            residual = readings - fit.intercept - fit.slope * temperatures
            scatter = np.sqrt((residual**2).sum() / (temperatures.size - 2))
            errors.append(fit.stderr / scatter)
        assert error_ratio(earlier, candidate) == pytest.approx(errors[1] / errors[0], rel=1e-9)


def test_the_ratio_is_that_of_the_covariances_of_a_least_squares_fit():
    earlier, candidate = np.array([-3.0, 21.0, 5.0]), -18.0

    def slope_variance(temperatures):
        rows = np.column_stack([np.ones_like(temperatures), temperatures])
        return np.linalg.inv(rows.T @ rows)[1, 1]

    expected = np.sqrt(slope_variance(np.append(earlier, candidate)) / slope_variance(earlier))
    assert error_ratio(earlier, candidate) == pytest.approx(expected, rel=1e-12)


def test_after_summer_visits_a_january_morning_tells_most():
    found = best_times([24.0, 26.0, 25.0], climate())
    assert (found.best.month, found.best.best_hour) == (1, 5)
    # 10 - 12 - 5 = -7, against a mean of 25.
    assert found.best.delta_k == pytest.approx(-32.0)
    assert found.best in found.cold
    assert [each.month for each in found.cold[:3]] == [1, 2, 12]


def test_after_winter_visits_a_july_afternoon_tells_most_and_the_cold_side_follows():
    found = best_times([-2.0, 0.0], climate())
    assert (found.best.month, found.best.best_hour) == (7, 17)
    assert found.best.delta_k == pytest.approx(28.0)
    assert found.cold[0].month == 1
    assert found.cold[0].gain_k2 < found.best.gain_k2


def test_windows_are_ranked_by_what_they_gain_and_stay_on_their_side():
    found = best_times([10.0, 12.0], climate())
    for windows, side in ((found.cold, -1), (found.hot, 1)):
        gains = [each.gain_k2 for each in windows]
        assert gains == sorted(gains, reverse=True)
        assert all(each.delta_k * side > 0 for each in windows)
    assert list(found.ranked) == sorted(found.ranked, key=lambda each: -each.gain_k2)


def test_a_window_holds_the_hours_that_gain_nearly_as_much_as_its_best():
    table = np.full((12, 24), 20.0)
    table[0, [22, 23, 0, 1, 2]] = [1.0, 0.0, -1.0, 0.0, 1.0]
    window = best_times([20.0, 20.0], table).best
    # 21 K gain 441, 20 K 400, which is 91 % of it, and 19 K 361.
    assert (window.first_hour, window.best_hour, window.last_hour) == (23, 0, 1)


def test_hours_without_a_record_are_in_no_window():
    table = climate()
    table[0] = np.nan
    table[1, 5] = np.nan
    found = best_times([25.0, 24.0], table)
    assert 1 not in {each.month for each in found.ranked}
    february = next(each for each in found.cold if each.month == 2)
    assert february.best_hour != 5
    assert found.best.month == 12


def test_with_one_earlier_visit_there_is_a_window_but_no_slope_to_narrow():
    window = best_times([20.0], climate()).best
    assert math.isnan(window.error_ratio)
    assert window.gain_k2 == pytest.approx(0.5 * window.delta_k**2)


def test_before_the_first_visit_no_hour_is_better_than_another():
    found = best_times([], climate())
    assert found.best is None
    assert found.ranked == ()
    assert math.isnan(found.mean_c)


def test_where_the_year_holds_no_other_temperature_there_is_no_window():
    assert best_times([10.0, 10.2], np.full((12, 24), 10.0)).best is None


def test_a_mirrored_climate_gives_the_mirrored_windows():
    table, earlier = climate(), np.array([9.0, 13.0, 20.0])
    found, mirrored = best_times(earlier, table), best_times(-earlier, -table)
    assert [(each.month, each.best_hour) for each in found.cold] == [
        (each.month, each.best_hour) for each in mirrored.hot
    ]


@pytest.mark.parametrize(
    ("earlier", "table", "field"),
    [
        ([10.0, float("nan")], climate(), "earlier_c"),
        ([10.0], np.zeros((24, 12)), "climate_c"),
        ([10.0], np.full((12, 24), np.inf), "climate_c"),
    ],
)
def test_what_cannot_be_is_refused_at_its_field(earlier, table, field):
    with pytest.raises(InputError) as refusal:
        best_times(earlier, table)
    assert refusal.value.field == field


def test_the_gain_of_no_visits_is_refused():
    with pytest.raises(InputError, match="empty"):
        gain_in_spread([], 3.0)
