"""What planted causes show, and what too little information is called."""

import numpy as np
import pytest

from movement.errors import InputError
from movement.history.findings import Expected, Finding, HistoryThresholds, Missing, Response
from movement.history.ragged import Readings
from tests.movement.invented_histories import histories, read

S = 2000


def share(mask):
    return float(np.mean(mask))


def has(history, kind):
    return history.findings & np.uint16(kind) != 0


@pytest.mark.parametrize("visits", [4, 6, 10])
@pytest.mark.parametrize("ratio", [1.0, 0.5, 0.0])
def test_intervals_stated_as_95_percent_hold_the_truth_in_93_to_97_percent(visits, ratio):
    columns, _ = histories(S, visits, seed=visits, ratio=ratio)
    found = read(columns, S)
    inside = share((found.ratio.lower <= ratio) & (ratio <= found.ratio.upper))
    assert 0.93 <= inside <= 0.97
    assert abs(np.median(found.ratio.value) - ratio) < 0.01


def test_a_healthy_history_is_flagged_at_most_once_in_two_hundred():
    columns, _ = histories(6000, 9, seed=1)
    found = read(columns, 6000)
    wrong = ~np.isin(found.response, [Response.FREE, Response.NOT_ENOUGH_INFORMATION])
    assert share(wrong | (found.findings != 0)) <= 0.005
    assert share(found.response == Response.FREE) > 0.95


@pytest.mark.parametrize(
    ("ratio", "words"),
    [
        (0.0, {Response.FROZEN}),
        (0.5, {Response.SLUGGISH, Response.SLUGGISH_OR_FROZEN}),
        (1.9, {Response.MORE_THAN_FREE}),
        (-1.0, {Response.WRONG_SIGN}),
    ],
)
def test_an_element_that_follows_wrongly_is_named(ratio, words):
    columns, _ = histories(500, 12, seed=3, ratio=ratio)
    found = read(columns, 500)
    assert share(np.isin(found.response, list(words))) > 0.95
    assert share(found.response == Response.FREE) <= 0.002


def test_a_drift_is_found_with_the_date_of_its_limit():
    columns, _ = histories(500, 16, seed=4, drift=4.0)
    found = read(columns, 500)
    assert share(has(found, Finding.DRIFT)) > 0.95
    assert abs(np.median(found.drift_per_year.value) - 4.0) < 0.1
    # By hand: 60 + 1.2 (12 + 25) = 104.4 mm at -25 degC, 15.6 mm short of 120: 3.9 years
    # after the start of the record, 6.1 before the present.
    assert abs(np.nanmedian(found.limit_in_years.value) + 6.1) < 0.2
    inside = (found.limit_in_years.lower <= -6.1) & (found.limit_in_years.upper >= -6.1)
    assert share(inside[~np.isnan(found.limit_in_years.value)]) > 0.9
    assert share(has(found, Finding.REACHES_LIMIT)) > 0.9


def test_a_step_is_found_with_its_size_and_date():
    columns, _ = histories(500, 12, seed=5, step=30.0)
    found = read(columns, 500)
    assert share(has(found, Finding.STEP)) > 0.97
    assert abs(np.nanmedian(found.step.size.value) - 30.0) < 0.5
    between = (found.step.after_years < 3.0) & (found.step.before_years >= 3.0)
    assert share(between) > 0.95
    assert (found.step.p_value[has(found, Finding.STEP)] < 0.003).all()


def test_a_step_in_the_last_visit_alone_may_be_a_blunder_and_both_are_named():
    columns, _ = histories(500, 12, seed=6, step=35.0, at=11)
    found = read(columns, 500)
    both = np.uint16(Finding.STEP | Finding.BLUNDER)
    assert share(found.alternatives & both == both) > 0.95
    assert abs(np.nanmedian(found.step.size.value) - 35.0) < 2.0


def test_a_blunder_is_found_by_its_row_and_does_not_bend_the_line():
    columns, wrong = histories(500, 12, seed=7, blunder=40.0)
    found = read(columns, 500)
    row = np.arange(500) * 12 + wrong
    assert share(found.blunder.row == row) > 0.97
    assert share(found.left_out[row]) > 0.75  # at either end a step explains it as well
    assert abs(np.nanmedian(found.blunder.size) - 40.0) < 2.0
    assert share(found.response == Response.FREE) > 0.9


def test_a_blunder_is_told_by_the_row_that_was_given():
    columns, _ = histories(1, 12, seed=8)
    columns["value"][5] += 80.0
    backwards = {name: values[::-1] for name, values in columns.items()}
    assert read(columns, 1).blunder.row.tolist() == [5]
    assert read(backwards, 1).blunder.row.tolist() == [6]


def test_equally_uncertain_readings_are_read_as_those_that_differ_by_a_hair():
    columns, _ = histories(400, 10, seed=10, drift=1.0, step=8.0)
    hair = 1.0 + 1e-10 * np.random.default_rng(1).random(4000)
    hair[columns["series"] % 4 == 0] = 1.0
    alike = read(columns, 400)
    unlike = read(columns | {"u_value": columns["u_value"] * hair}, 400)
    assert (alike.findings == unlike.findings).all()
    assert (alike.response == unlike.response).all()
    for name in ("slope", "level", "drift_per_year"):
        for end in ("value", "lower", "upper"):
            pair = (getattr(getattr(found, name), end) for found in (alike, unlike))
            np.testing.assert_allclose(*pair, rtol=1e-6, atol=1e-6)


def test_histories_of_many_lengths_are_read_as_each_alone():
    parts = [histories(1, visits, seed=visits, step=20.0)[0] for visits in range(2, 40)]
    parts = [part | {"series": part["series"] + row} for row, part in enumerate(parts)]
    together = read({name: np.concatenate([p[name] for p in parts]) for name in parts[0]}, 38)
    for row, part in enumerate(parts):
        alone = read(part | {"series": np.zeros_like(part["series"])}, 1)
        assert (together.response[row], together.findings[row]) == (
            alone.response[0],
            alone.findings[0],
        )
        np.testing.assert_allclose(together.slope.lower[row], alone.slope.lower[0], rtol=1e-9)
        np.testing.assert_allclose(together.drift_p_value[row], alone.drift_p_value[0], rtol=1e-9)


def one(**changes):
    columns = {
        "value": [50.0, 62.0, 51.0, 61.0],
        "u_value": [1.0] * 4,
        "temperature_c": [20.0, 10.0, 19.0, 11.0],
        "u_temperature_k": [0.5] * 4,
        "time_years": [0.0, 0.5, 1.0, 1.5],
        "series": [0] * 4,
    }
    return {name: np.array(changes.get(name, values)) for name, values in columns.items()}


def first(columns, readings):
    return {name: values[:readings] for name, values in columns.items()}


@pytest.mark.parametrize(
    ("columns", "slope", "missing"),
    [
        (first(one(), 0), -1.2, Missing.NO_READING),
        (first(one(), 1), -1.2, Missing.TOO_FEW_VISITS),
        (first(one(), 2), -1.2, Missing.TOO_FEW_VISITS),
        (one(temperature_c=[15.0] * 4), -1.2, Missing.NO_TEMPERATURE_SPREAD),
        (one(u_temperature_k=[9.0] * 4), -1.2, Missing.SPREAD_WITHIN_ITS_ERROR),
        (one(u_value=[30.0] * 4), -1.2, Missing.INTERVAL_TOO_WIDE),
        (one(time_years=[1.0] * 4), -1.2, Missing.NO_SPREAD_OF_TIME),
        (one(), 0.0, Missing.NO_EXPECTED_SLOPE),
        (one(), np.nan, Missing.NO_EXPECTED_SLOPE),
        (one(value=[np.nan] * 4), -1.2, Missing.NO_READING),
    ],
)
def test_too_little_information_is_named_and_never_called_free(columns, slope, missing):
    found = read(columns, 1, slope=slope)
    assert found.response[0] == Response.NOT_ENOUGH_INFORMATION
    assert found.missing[0] & missing


def test_more_spread_or_more_visits_are_asked_for_until_they_suffice():
    narrow = one(temperature_c=[15.0, 13.5, 14.8, 13.7], value=[56.0, 57.8, 56.2, 57.6])
    found = read(narrow, 1)
    assert found.response[0] == Response.NOT_ENOUGH_INFORMATION
    assert found.spread_needed_k[0] > found.spread_k[0]
    assert found.visits_needed[0] >= 1
    plenty = read(histories(1, 20, seed=1)[0], 1)
    assert plenty.visits_needed[0] == 0
    assert plenty.spread_needed_k[0] == plenty.spread_k[0]
    assert read(first(one(), 1), 1).visits_needed[0] == 2
    assert np.isnan(read(one(), 1, u_slope=1.0).spread_needed_k[0])


def test_without_stated_uncertainty_the_scatter_alone_gives_the_interval():
    columns, _ = histories(S, 8, seed=9, ratio=0.0)
    columns["u_value"][:] = 0.0
    found = read(columns, S)
    assert 0.93 <= share((found.ratio.lower <= 0) & (found.ratio.upper >= 0)) <= 0.97


@pytest.mark.parametrize(
    ("call", "field"),
    [
        (lambda: HistoryThresholds(frozen_below=0.9), "frozen_below"),
        (lambda: HistoryThresholds(chance=0.0), "chance"),
        (lambda: HistoryThresholds(fewest_visits=2), "fewest_visits"),
        (lambda: Expected.of(np.inf), "expected_slope"),
        (lambda: Expected.of(1.0, -1.0), "u_expected_slope"),
        (lambda: Readings.of([1.0], 1.0, 1.0, 1.0, 1.0, [1], 1), "series"),
        (lambda: Readings.of([1.0], 1.0, 1.0, 1.0, 1.0, [0.5], 1), "series"),
        (lambda: Readings.of([1.0, 2.0], 1.0, 1.0, 1.0, 1.0, [0], 1), "value"),
        (lambda: Readings.of([1.0], -1.0, 1.0, 1.0, 1.0, [0], 1), "u_value"),
        (lambda: read(one(), 1, now=[1.0, 2.0]), "now_years"),
        (lambda: read(one(), 1, now=np.nan), "now_years"),
    ],
)
def test_impossible_input_is_refused_by_name(call, field):
    with pytest.raises(InputError) as refused:
        call()
    assert refused.value.field == field
