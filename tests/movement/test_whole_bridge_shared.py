"""Errors of the register that all elements of a unit share are no faults of the bridge."""

from dataclasses import replace

import numpy as np
import pytest

from movement.whole_bridge import Cause, Elements, Outcome, Readings, Units, diagnose
from movement.whole_bridge.covariance import (
    apply,
    dense_columns,
    shaped_columns,
    whiten,
)
from movement.whole_bridge.grids import GridMaker, locate
from movement.whole_bridge.shared import shared_errors
from tests.movement.test_whole_bridge_covariance import blocks, dense_inverse
from tests.movement.three_spans import ALPHA, LONG, SET_C, Bridge, assert_named, moved_mm

UNITS, ELEMENTS, VISITS = 3, 4, 5


def unsure(bridge, *, set_k=0.0, alpha=0.0, strain=0.0, held_m=0.0, days=0.0):
    """Return what is found where the register states such uncertainties."""
    units, supports, elements, visits, readings = bridge.tables()
    return diagnose(
        Units.of(units.fixed_support, units.fixed_station_m, held_m),
        supports,
        Elements.of(
            elements.unit,
            elements.support,
            elements.lever_mm,
            elements.deck_effect,
            elements.expansion_per_c,
            elements.setting_mm,
            elements.setting_temperature_c,
            setting_time_days=days,
            can_stick=elements.can_stick,
            u_setting_temperature_k=set_k,
            u_expansion_per_c=alpha,
        ),
        visits,
        Readings.of(
            readings.element, readings.visit, readings.value_mm, u_known_strain=strain
        ),
    )  # fmt: skip


def set_at(temperature_c):
    """Return a bridge that was set at another temperature than the register states."""
    return Bridge(value_mm=moved_mm() - moved_mm(temperature_c))


def test_a_setting_temperature_off_by_what_it_is_known_to_is_not_called_shortening():
    bridge = set_at(SET_C + 8.0)
    assert unsure(bridge).ranked.cause[0, 0] == Cause.SHORTENING
    assert unsure(bridge).outcome.tolist() == [Outcome.EXPLAINED]
    assert unsure(bridge, set_k=4.0).outcome.tolist() == [Outcome.HEALTHY]


def test_what_was_set_on_different_days_was_not_set_in_error_together():
    bridge = set_at(SET_C + 8.0)
    many_days = np.arange(10.0)
    apart = unsure(bridge, set_k=4.0, days=many_days).ranked.score[0, 0]
    together = unsure(bridge, set_k=4.0).ranked.score[0, 0]
    assert together < apart < unsure(bridge).ranked.score[0, 0]


@pytest.mark.parametrize(
    ("shown_mm", "told"),
    [
        (moved_mm(alpha=1.4 * ALPHA), {"alpha": 0.2 * ALPHA}),
        (moved_mm() - 3e-4 * moved_mm(SET_C + 1.0)[:, :1] / ALPHA, {"strain": 2e-4}),
    ],
)
def test_a_register_off_by_what_it_states_is_no_fault(shown_mm, told):
    bridge = Bridge(value_mm=np.broadcast_to(shown_mm, moved_mm().shape).copy())
    assert unsure(bridge).outcome.tolist() == [Outcome.EXPLAINED]
    assert unsure(bridge, **told).outcome.tolist() == [Outcome.HEALTHY]


def test_a_fixed_point_whose_station_is_hardly_known_is_no_fault():
    bridge = Bridge(lever_mm=Bridge().lever_mm + 25_000.0 * Bridge().effect)
    assert unsure(bridge).outcome.tolist() != [Outcome.HEALTHY]
    assert unsure(bridge, held_m=15.0).outcome.tolist() == [Outcome.HEALTHY]


def test_a_frozen_bearing_is_still_found_where_the_whole_register_is_unsure():
    bridge = set_at(SET_C + 5.0)
    bridge.value_mm[LONG] = 0.0
    found = unsure(bridge, set_k=4.0, alpha=1e-6, strain=6e-5, held_m=1.0)
    assert_named(found, Cause.FROZEN, 0.0, element=LONG, visit=-1)


def test_a_deck_that_keeps_shortening_since_late_is_told_without_a_wrong_temperature():
    bridge = Bridge()
    since = np.array([0.0, 0.0, 0.0, 0.0, 0.25, 0.5, 0.75, 1.0])
    bridge.value_mm -= bridge.lever_mm[:, None] * 6e-4 * since
    found = bridge.diagnose()
    assert_named(found, Cause.SHORTENING, 6e-4)
    assert found.beside.cause[0, 0] == Cause.HEALTHY


def test_an_uncertainty_that_is_stated_for_nothing_changes_nothing():
    bridge = Bridge()
    bridge.value_mm[LONG] *= 0.5
    known, unknown = bridge.diagnose(), unsure(bridge)
    for name in ("cause", "score", "size"):
        one, other = (getattr(each.ranked, name) for each in (known, unknown))
        np.testing.assert_array_equal(one, other)


@pytest.fixture
def case():
    rng = np.random.default_rng(6)
    shape = (UNITS, ELEMENTS, VISITS)
    weight = np.where(rng.random(shape) < 0.2, 0.0, rng.uniform(0.2, 0.9, shape))
    residual = np.where(weight > 0, rng.normal(0.0, 5.0, shape), 0.0)
    return (
        residual,
        weight,
        rng.uniform(1.0, 9.0, (UNITS, ELEMENTS)),
        rng.normal(0.0, 4.0, shape),
        rng.normal(0.0, 3.0, (UNITS, 2, ELEMENTS, VISITS)),
    )


def whole(case, unit):
    """Return V^-1 and -log det V / 2 of a unit with its shared errors, written out."""
    _, weight, setting, effect, common = case
    inverse, half = dense_inverse(weight[unit], setting[unit], effect[unit])
    read = np.flatnonzero(weight[unit].ravel() > 0)
    v = np.linalg.inv(inverse[np.ix_(read, read)])
    v += sum(np.outer(x, x) for x in common[unit].reshape(2, -1)[:, read])
    inverse[np.ix_(read, read)] = np.linalg.inv(v)
    return inverse, -0.5 * np.linalg.slogdet(v)[1] - half


def test_shared_errors_are_in_the_whole_inverse(case):
    residual, weight, setting, effect, common = case
    white = whiten(residual, weight, setting, effect, common=common)
    plain = whiten(residual, weight, setting, effect)
    rng = np.random.default_rng(7)
    by_element = rng.normal(0.0, 1.0, (UNITS, ELEMENTS))
    shapes = rng.uniform(0.0, 1.0, (UNITS, 3, VISITS))
    columns = by_element[:, None, :, None] * shapes[:, :, None]
    n, d = dense_columns(white, columns)
    for one, other in zip(shaped_columns(white, by_element, shapes), (n, d), strict=True):
        np.testing.assert_allclose(one, other, rtol=1e-9)
    v_x = apply(white, columns[:, 0])
    for unit in range(UNITS):
        inverse, half = whole(case, unit)
        r = residual[unit].ravel()
        np.testing.assert_allclose(white.score[unit].ravel(), inverse @ r, atol=1e-9)
        np.testing.assert_allclose(white.block[unit], blocks(inverse), atol=1e-9)
        x = columns[unit, 0].ravel()
        np.testing.assert_allclose(v_x[unit].ravel(), inverse @ x, atol=1e-9)
        assert d[unit, 0] == pytest.approx(x @ inverse @ x)
        without, _ = dense_inverse(weight[unit], setting[unit], effect[unit])
        likelier = half - 0.5 * r @ (inverse - without) @ r
        assert white.log_likelihood[unit] - plain.log_likelihood[unit] == pytest.approx(likelier)
        shown = effect[unit] * (effect[unit] * (inverse @ r).reshape(ELEMENTS, VISITS)).sum(0)
        shown += sum(x * (x.ravel() @ inverse @ r) for x in common[unit])
        np.testing.assert_allclose(white.shared_mm(effect)[unit], shown, atol=1e-9)


def test_elements_share_the_error_of_the_day_on_which_they_were_set():
    bridge = Bridge()
    tables = list(bridge.tables())
    days = np.array([5.0, 5.0, 7.0, 7.0, 5.0, 9.0, np.nan, np.nan, 5.0, 7.0])
    tables[2] = replace(tables[2], setting_time_days=days, u_setting_temperature_k=np.full(10, 3.0))
    grid = GridMaker(*tables, locate(*tables)).grid(np.array([0]))
    columns = shared_errors(grid)[0, :, :, 0]
    # held at the support of the elements 2 and 3: temperature does not move them
    per_k = bridge.lever_mm * ALPHA * 3.0
    for together, number in (([0, 1, 4, 8], 0), ([2, 3, 9], 1), ([6, 7], 2)):
        wanted = np.where(np.isin(np.arange(10), together), -per_k, 0.0)
        np.testing.assert_allclose(columns[number], wanted, atol=1e-12)
    assert grid.setting_variance[0, 5] == pytest.approx(4.0 + per_k[5] ** 2)
