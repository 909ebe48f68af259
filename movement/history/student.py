"""Student's t distribution for arrays of real degrees of freedom."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from movement.checks import Floats

_TINY = 1e-300
_STIRLING = (1 / 12, -1 / 360, 1 / 1260, -1 / 1680, 1 / 1188)
_SHIFT = 10
_MOST_TERMS = 500
_MOST_STEPS = 40
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
    function by its continued fraction.  Source: NIST Digital Library of Mathematical
    Functions, 8.17.22 (from memory); held against another implementation in the tests.
    """
    t_, v = np.broadcast_arrays(np.asarray(t, np.float64), np.asarray(dof, np.float64))
    good = (v > 0) & ~np.isnan(t_)
    v = np.where(good, v, 1.0)
    t2 = np.where(good, t_, 0.0) ** 2
    a, b = v / 2.0, np.full_like(v, 0.5)
    x, y = v / (v + t2), t2 / (v + t2)
    # The fraction converges fast on one side of the mean only; the other is its mirror.
    mirror = x > (a + 1.0) / (a + b + 2.0)
    a, b = np.where(mirror, b, a), np.where(mirror, a, b)
    x, y = np.where(mirror, y, x), np.where(mirror, x, y)
    with np.errstate(divide="ignore", under="ignore"):
        log_front = a * np.log(x) + b * np.log(y) + _log_gamma(a + b) - _log_gamma(a)
        front = np.exp(log_front - _log_gamma(b)) / a
        part = front * _fraction(a, b, x)
    return np.where(good, np.clip(np.where(mirror, 1.0 - part, part), 0.0, 1.0), np.nan)


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
    log_front = _log_gamma((v + 1) / 2) - _log_gamma(v / 2) - np.log(v * np.pi) / 2
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


def _fraction(a: Floats, b: Floats, x: Floats) -> Floats:
    """Return the continued fraction of the incomplete beta function (Lentz's method)."""
    c = np.ones_like(x)
    d = 1.0 / _not_zero(1.0 - (a + b) * x / (a + 1.0))
    f = d.copy()
    for m in range(1, _MOST_TERMS):
        even = m * (b - m) * x / ((a + 2 * m - 1.0) * (a + 2 * m))
        odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1.0))
        for term in (even, odd):
            d = 1.0 / _not_zero(1.0 + term * d)
            c = _not_zero(1.0 + term / c)
            f = f * (c * d)
        if (np.abs(c * d - 1.0) < 4e-15).all():
            break
    return f


def _not_zero(values: Floats) -> Floats:
    return np.where(np.abs(values) < _TINY, _TINY, values)


def _log_gamma(z: Floats) -> Floats:
    """Return ln Gamma(z), z > 0, by Stirling's series after a shift to larger z."""
    product = np.zeros_like(z)
    for step in range(_SHIFT):
        product = product + np.log(z + step)
    w = z + _SHIFT
    series = sum(each / w ** (2 * i + 1) for i, each in enumerate(_STIRLING))
    return np.asarray((w - 0.5) * np.log(w) - w + 0.5 * np.log(2 * np.pi) + series - product)
