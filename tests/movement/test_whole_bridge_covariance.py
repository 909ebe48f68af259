"""The pieces of the inverse against the whole matrix, written out and inverted."""

import numpy as np
import pytest

from movement.whole_bridge.beside import project
from movement.whole_bridge.covariance import apply, dense_columns, whiten

UNITS, ELEMENTS, VISITS = 3, 4, 5


@pytest.fixture
def case():
    rng = np.random.default_rng(4)
    shape = (UNITS, ELEMENTS, VISITS)
    weight = np.where(rng.random(shape) < 0.2, 0.0, rng.uniform(0.2, 0.9, shape))
    setting = rng.uniform(1.0, 9.0, (UNITS, ELEMENTS))
    effect = rng.normal(0.0, 4.0, shape)
    residual = np.where(weight > 0, rng.normal(0.0, 5.0, shape), 0.0)
    column = np.where(weight > 0, rng.normal(0.0, 1.0, shape), 0.0)
    return residual, weight, setting, effect, column


def dense_inverse(weight, setting, effect, column=None, variance=0.0):
    """Return V^-1 of one unit, with rows of 0 where there is no reading."""
    size = ELEMENTS * VISITS
    v = np.kron(np.diag(setting), np.ones((VISITS, VISITS)))
    for visit in range(VISITS):
        pull = np.zeros((ELEMENTS, VISITS))
        pull[:, visit] = effect[:, visit]
        v += np.outer(pull, pull)
    if column is not None:
        v += variance * np.outer(column, column)
    read = np.flatnonzero(weight.ravel() > 0)
    v = v[np.ix_(read, read)] + np.diag(1.0 / weight.ravel()[read])
    inverse = np.zeros((size, size))
    inverse[np.ix_(read, read)] = np.linalg.inv(v)
    return inverse, -0.5 * np.linalg.slogdet(v)[1]


def blocks(inverse):
    return np.array(
        [
            inverse[at * VISITS : (at + 1) * VISITS, at * VISITS : (at + 1) * VISITS]
            for at in range(ELEMENTS)
        ]
    )


def test_scores_and_blocks_are_those_of_the_whole_inverse(case):
    residual, weight, setting, effect, column = case
    white = whiten(residual, weight, setting, effect)
    n, d = dense_columns(white, column[:, None])
    v_x = apply(white, column)
    for unit in range(UNITS):
        inverse, _ = dense_inverse(weight[unit], setting[unit], effect[unit])
        r, x = residual[unit].ravel(), column[unit].ravel()
        np.testing.assert_allclose(white.score[unit].ravel(), inverse @ r, atol=1e-10)
        np.testing.assert_allclose(white.block[unit], blocks(inverse), atol=1e-10)
        np.testing.assert_allclose(v_x[unit].ravel(), inverse @ x, atol=1e-10)
        assert n[unit, 0] == pytest.approx(x @ inverse @ r)
        assert d[unit, 0] == pytest.approx(x @ inverse @ x)


def test_likelihoods_differ_between_effects_as_those_of_the_whole_matrix(case):
    residual, weight, setting, effect, _ = case
    one = whiten(residual, weight, setting, effect, blocks=False).log_likelihood
    other = whiten(residual, weight, setting, 1.7 * effect, blocks=False).log_likelihood
    for unit in range(UNITS):
        wanted = []
        for each in (effect, 1.7 * effect):
            inverse, half = dense_inverse(weight[unit], setting[unit], each[unit])
            r = residual[unit].ravel()
            wanted.append(half - 0.5 * r @ inverse @ r)
        assert other[unit] - one[unit] == pytest.approx(wanted[1] - wanted[0])


def test_a_column_taken_into_the_model_is_one_of_great_variance(case):
    residual, weight, setting, effect, column = case
    white = project(whiten(residual, weight, setting, effect), effect, column)
    other = np.where(weight > 0, 1.0, 0.0)
    n, d = dense_columns(white, other[:, None])
    for unit in range(UNITS):
        inverse, _ = dense_inverse(
            weight[unit], setting[unit], effect[unit], column[unit].ravel(), 1e6
        )
        wanted = inverse @ residual[unit].ravel()
        np.testing.assert_allclose(white.score[unit].ravel(), wanted, atol=1e-6)
        np.testing.assert_allclose(white.block[unit], blocks(inverse), atol=1e-6)
        x = other[unit].ravel()
        assert n[unit, 0] == pytest.approx(x @ wanted, abs=1e-6)
        assert d[unit, 0] == pytest.approx(x @ inverse @ x, rel=1e-6)
