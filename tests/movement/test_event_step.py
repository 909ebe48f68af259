"""Steps between two visits, held against the normal distribution and against planted steps."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from movement.errors import InputError
from movement.event_step import StepWord, Visit, steps_between

rng = np.random.default_rng(20260214)
MANY = 200_000
B, U_B, U_V, U_T = 1.17, 0.03, 1.2, 2.0
"""A bearing 100 m from the fixed point, in mm/degC, mm and K."""


def visits(step_mm: float, delta_k: float) -> tuple[Visit, Visit]:
    """Many pairs of visits whose errors are just what is stated."""
    true_b = B + rng.normal(0, U_B, MANY)
    temperature = [rng.normal(10.0, 8.0, MANY)]
    temperature.append(temperature[0] + delta_k)
    common = rng.normal(0, 50.0, MANY)  # the setting, which both share
    return tuple(
        Visit(
            common + true_b * t + step + rng.normal(0, U_V, MANY),
            np.full(MANY, U_V),
            t + rng.normal(0, U_T, MANY),
            np.full(MANY, U_T),
        )
        for t, step in zip(temperature, (0.0, step_mm), strict=True)
    )


def compared(before: Visit, after: Visit, **changes):
    return steps_between(
        before,
        after,
        **{"slope_per_c": B, "u_slope_per_c": U_B, "watch_k": 2.0, "out_k": 3.0} | changes,
    )


@pytest.mark.parametrize("delta_k", [0.0, 35.0])
def test_without_a_step_one_is_named_as_often_as_the_normal_distribution_says(delta_k):
    found = compared(*visits(0.0, delta_k))
    for word, chance in (
        (StepWord.STEPPED, 2 * stats.norm.sf(3.0)),
        (StepWord.WATCH, 2 * (stats.norm.sf(2.0) - stats.norm.sf(3.0))),
    ):
        share = np.mean(found.word == word)
        # five standard errors of a share of so many
        assert share == pytest.approx(chance, abs=5 * np.sqrt(chance / MANY))


@pytest.mark.parametrize("delta_k", [-30.0, 0.0, 30.0])
def test_a_step_is_found_without_bias_whatever_the_temperatures(delta_k):
    found = compared(*visits(20.0, delta_k))
    assert np.mean(found.size) == pytest.approx(20.0, abs=5 * np.mean(found.u) / np.sqrt(MANY))
    # how often it is named: the normal distribution about the step
    power = np.mean(stats.norm.sf(3.0 - 20.0 / found.u))
    assert np.mean(found.word == StepWord.STEPPED) == pytest.approx(power, abs=0.005)


reading = st.floats(-200, 200)
temperature = st.floats(-40, 60)


@given(v1=reading, v2=reading, t1=temperature, t2=temperature)
def test_exchanging_the_visits_turns_the_step_round(v1, v2, t1, t2):
    one, other = (Visit([v], [U_V], [t], [U_T]) for v, t in ((v1, t1), (v2, t2)))
    there, back = compared(one, other), compared(other, one)
    assert there.size == pytest.approx(-back.size)
    assert there.u == pytest.approx(back.u)
    assert there.word == back.word


@given(v1=reading, v2=reading, t1=temperature, t2=temperature, shared=reading)
def test_what_both_readings_share_changes_nothing(v1, v2, t1, t2, shared):
    plain = compared(Visit([v1], [U_V], [t1], [U_T]), Visit([v2], [U_V], [t2], [U_T]))
    moved = compared(
        Visit([v1 + shared], [U_V], [t1], [U_T], [7.0]),
        Visit([v2 + shared], [U_V], [t2], [U_T], [7.0]),
    )
    assert moved.size == pytest.approx(plain.size, abs=1e-9)


def test_the_further_apart_the_temperatures_the_less_sure_a_step():
    apart = np.array([0.0, 10.0, 20.0, 40.0])
    still = np.zeros(4)
    found = compared(
        Visit(still, still + U_V, still, still + U_T),
        Visit(B * apart, still + U_V, apart, still + U_T),
    )
    assert np.all(np.diff(found.u) > 0)
    assert found.size == pytest.approx(0.0, abs=1e-12)


def test_what_does_not_follow_the_temperature_needs_none():
    nowhere = [np.nan]
    found = compared(
        Visit([45.0], [0.5], nowhere, nowhere),
        Visit([52.5], [0.5], nowhere, nowhere),
        slope_per_c=[0.0],
        u_slope_per_c=[0.0],
    )
    assert found.size == pytest.approx(7.5)
    assert found.u == pytest.approx(np.hypot(0.5, 0.5))
    assert found.word == StepWord.STEPPED


@pytest.mark.parametrize("changes", [{"temperature_c": [np.nan]}, {"value": [np.nan]}])
def test_what_is_not_known_cannot_be_compared(changes):
    values = {"value": [1.0], "u_value": [1.0], "temperature_c": [5.0], "u_temperature_k": [2.0]}
    found = compared(Visit(**values | changes), Visit(**values))
    assert found.word == StepWord.CANNOT_COMPARE
    assert np.isnan(found.in_u)


def test_thresholds_that_do_not_rise_are_refused():
    visit = Visit([1.0], [1.0], [5.0], [2.0])
    with pytest.raises(InputError):
        compared(visit, visit, watch_k=3.0, out_k=2.0)


@pytest.mark.parametrize("missing", ["u_value", "u_temperature_k", "u_slope"])
def test_an_unknown_uncertainty_is_not_taken_for_none(missing):
    values = {"value": [9.0], "u_value": [1.0], "temperature_c": [5.0], "u_temperature_k": [2.0]}
    later = values | {"value": [90.0], "temperature_c": [25.0]}
    lacking, slope = dict(later), {}
    if missing == "u_slope":
        slope = {"u_slope_per_c": np.nan}
    else:
        lacking[missing] = [np.nan]
    assert compared(Visit(**values), Visit(**later)).word == StepWord.STEPPED
    assert compared(Visit(**values), Visit(**lacking), **slope).word == StepWord.CANNOT_COMPARE


def test_an_uncertainty_that_does_not_enter_need_not_be_known():
    before, after = Visit([0.0], [1.0], [5.0], [2.0]), Visit([50.0], [1.0], [5.0], [2.0])
    assert compared(before, after, u_slope_per_c=np.nan).word == StepWord.STEPPED


def still_channels(in_u, family):
    """Channels that do not follow the temperature, so many uncertainties apart."""
    in_u = np.asarray(in_u, dtype=float)
    nothing, none = np.zeros(in_u.shape), np.full(in_u.shape, np.nan)
    before = Visit(nothing, nothing, none, none)
    after = Visit(in_u, nothing + 1.0, none, none)
    return compared(before, after, slope_per_c=0.0, u_slope_per_c=0.0, family=family)


@pytest.mark.parametrize("alike", [0.0, 0.8])
def test_the_chance_of_any_false_step_at_a_bridge_is_held_however_many_channels(alike):
    chance, bridges, channels = 2 * stats.norm.sf(2.0), 4000, 20
    dice = np.random.default_rng(19790614)
    error = np.sqrt(1 - alike) * dice.normal(size=(bridges, channels))
    error += np.sqrt(alike) * dice.normal(size=(bridges, 1))
    family = np.repeat(np.arange(bridges), channels)

    def any_false(found):
        return np.mean(np.any(found.word.reshape(bridges, channels) >= StepWord.WATCH, axis=1))

    slack = 4 * np.sqrt(chance / bridges)
    assert any_false(still_channels(error.ravel(), family)) < chance + slack
    if not alike:
        assert any_false(still_channels(error.ravel(), family)) > chance - slack
        # One by one the same channels would cry at most of the bridges.
        assert any_false(still_channels(error.ravel(), None)) > 0.5


def test_words_are_those_of_the_step_down_procedure_by_its_definition():
    dice = np.random.default_rng(6)
    for _ in range(200):
        in_u = dice.normal(0, 3.0, size=dice.integers(1, 12))
        p = np.sort(2 * stats.norm.sf(np.abs(in_u)))
        level, many = 2 * stats.norm.sf(3.0), len(in_u)
        within = [rank for rank in range(many) if p[rank] > level / (many - rank)]
        stepped = within[0] if within else many
        found = still_channels(in_u, np.zeros(many, dtype=int))
        assert np.sum(found.word == StepWord.STEPPED) == stepped


def test_a_family_neither_counts_nor_burdens_another():
    found = still_channels([3.1, np.nan, 3.1, 0.0], [1, 1, 2, 2])
    assert found.word.tolist() == [
        StepWord.STEPPED, StepWord.CANNOT_COMPARE, StepWord.WATCH, StepWord.NONE,
    ]  # fmt: skip


def test_a_step_far_beyond_any_bound_is_named_among_hundreds():
    found = still_channels([50.0, *np.zeros(499)], np.zeros(500, dtype=int))
    assert found.word[0] == StepWord.STEPPED
