"""Student's t distribution for arrays of real degrees of freedom."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from movement.checks import Floats

_TINY = 1e-300
_STIRLING = (1 / 12, -1 / 360, 1 / 1260, -1 / 1680, 1 / 1188)
_SHIFT = 10
_MOST_TERMS = 500
_MOST_STEPS = 40
_SERIES_UP_TO = (0.15, 0.4)
"""Of t^2 / (dof + t^2): up to each of these the power series is taken, as far as it needs."""
_TAIL = 16.0
"""Square of t from which 1 less the sum of the series would lose too many digits."""
_FEW = 16
"""So many half-widths are looked up one by one, more are computed together."""


def two_sided_p(t: ArrayLike, dof: ArrayLike) -> Floats:
    """Probability that Student's t is further from 0 than ``t``.

    Parameters
    ----------
    t, dof : array_like
        Statistic and degrees of freedom (> 0); they broadcast.

    Returns
    -------
    numpy.ndarray, float64
        NaN where either is NaN or ``dof`` is not above 0.

    Notes
    -----
    p = I_x(dof / 2, 1 / 2) with x = dof / (dof + t^2), the regularised incomplete beta
    function by its continued fraction, near the middle by its power series.  Source: NIST
    Digital Library of Mathematical Functions, 8.17.22 and 8.17.8 (from memory); held against
    another implementation in the tests.
    """
    t_, v = np.broadcast_arrays(np.asarray(t, np.float64), np.asarray(dof, np.float64))
    p = np.full(t_.shape, np.nan)
    good = (v > 0) & ~np.isnan(t_)
    t_, v = t_[good], v[good]
    freedoms, which = _unlike(v)
    log_beta = 0.5 * np.log(np.pi) - _log_gamma_half_ahead(freedoms / 2.0)
    square = t_ * t_
    y = square / (v + square)
    middle = np.where(square < _TAIL, y, 1.0)
    found = np.empty(v.size)
    reached = 0.0
    for up_to in (*_SERIES_UP_TO, np.inf):
        some = np.flatnonzero((middle >= reached) & (middle < up_to))
        reached = up_to
        if some.size:
            of = slice(None) if freedoms.size == 1 else which[some]
            side = _far if up_to == np.inf else _near
            found[some] = side(square[some], y[some], freedoms[of], log_beta[of])
    p[good] = np.clip(found, 0.0, 1.0)
    return p


def _near(square: Floats, y: Floats, v: Floats, log_beta: Floats) -> Floats:
    """Return 1 - I_y(1 / 2, v / 2), y = t^2 / (v + t^2), by its power series."""
    term = np.ones_like(y)
    total = term.copy()
    for n in range(_MOST_TERMS):
        term *= y * ((v + (2 * n + 1)) / (2 * n + 3))
        total += term
        if n % 4 == 3 and term.max() < 1e-17:
            break
    return 1.0 - 2.0 * np.exp(-log_beta - v / 2.0 * np.log1p(square / v)) * np.sqrt(y) * total


def _far(square: Floats, y: Floats, v: Floats, log_beta: Floats) -> Floats:
    """Return I_x(v / 2, 1 / 2), x = 1 - y = v / (v + t^2), by its continued fraction."""
    a = v / 2.0
    front = -log_beta - a * np.log1p(square / v) + 0.5 * np.log(y)
    with np.errstate(under="ignore"):
        return np.exp(front) / a * _fraction(a, 0.5, v / (v + square))


def _unlike(values: Floats) -> tuple[Floats, NDArray[np.intp]]:
    """Return the values without repetitions, and which of them each is."""
    if values.size and (values == values[0]).all():
        return values[:1], np.zeros(values.size, dtype=np.intp)
    return np.unique(values, return_inverse=True)


def quantile(confidence: float, dof: ArrayLike, looks: ArrayLike = 1.0) -> Floats:
    """Half-width, in standard uncertainties, of a two-sided interval.

    Parameters
    ----------
    confidence : float
        0.95 for a 95 % interval.
    dof : array_like
        Degrees of freedom, above 0; infinity is the normal distribution.
    looks : array_like
        Number of places looked at: the probability outside is divided by it.

    Returns
    -------
    numpy.ndarray, float64
        NaN where ``dof`` is not above 0.
    """
    shaped, k = np.broadcast_arrays(np.asarray(dof, np.float64), np.asarray(looks, np.float64))
    pairs, back = np.unique(shaped.ravel() + 1j * k.ravel(), return_inverse=True)
    freedom, outside = np.minimum(pairs.real, 1e7), (1.0 - confidence) / pairs.imag
    if pairs.size <= _FEW:
        found = np.array([*map(_remembered, outside.tolist(), freedom.tolist())], dtype=np.float64)
    else:
        found = _half_widths(outside, freedom)
    return np.asarray(found[back.ravel()].reshape(shaped.shape), dtype=np.float64)


@lru_cache(maxsize=4096)
def _remembered(outside: float, freedom: float) -> float:
    """Return one half-width; the same few degrees of freedom come up again and again."""
    return float(_half_widths(np.array([outside]), np.array([freedom]))[0])


def _half_widths(outside: Floats, freedom: Floats) -> Floats:
    known = freedom > 0
    v = np.where(known, freedom, 1.0)
    log_front = _log_gamma_half_ahead(v / 2) - np.log(v * np.pi) / 2
    x = np.zeros_like(v)
    # log p falls ever faster with log t, so Newton's steps come down to the root from above.
    for _ in range(_MOST_STEPS):
        t = np.exp(x)
        p = np.maximum(two_sided_p(t, v), _TINY)
        density = np.exp(log_front - (v + 1) / 2 * np.log1p(t * t / v))
        move = np.log(p / outside) * p / (2 * density * t)
        x = x + move
        if (np.abs(move) < 1e-12).all():
            break
    return np.where(known, np.exp(x), np.nan)


def _fraction(a: Floats, b: float, x: Floats) -> Floats:
    """Return the continued fraction of the incomplete beta function (Lentz's method)."""
    c = np.ones_like(x)
    d = 1.0 / _not_zero(1.0 - (a + b) * x / (a + 1.0))
    f = d.copy()
    for m in range(1, _MOST_TERMS):
        even = m * (b - m) / ((a + 2 * m - 1.0) * (a + 2 * m))
        odd = -(a + m) * (a + b + m) / ((a + 2 * m) * (a + 2 * m + 1.0))
        for term in (even * x, odd * x):
            d = np.divide(1.0, _not_zero(1.0 + term * d), out=d)
            c = _not_zero(1.0 + term / c)
            change = c * d
            f *= change
        if (np.abs(change - 1.0) < 4e-15).all():
            break
    return f


def _not_zero(values: Floats) -> Floats:
    np.copyto(values, _TINY, where=np.abs(values) < _TINY)
    return values


def _log_gamma_half_ahead(z: Floats) -> Floats:
    """Return ln Gamma(z + 1/2) - ln Gamma(z), z > 0, by Stirling's series for a larger z."""
    w = z + _SHIFT
    back = sum(np.log1p(0.5 / (z + step)) for step in range(_SHIFT))
    series = sum(
        each * ((w + 0.5) ** -(2 * i + 1.0) - w ** -(2 * i + 1.0))
        for i, each in enumerate(_STIRLING)
    )
    return np.asarray(0.5 * np.log(w) + (w * np.log1p(0.5 / w) - 0.5) + series - back)
