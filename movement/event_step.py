"""Did an element move between two visits by more than temperature and age account for?"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import IntEnum
from functools import lru_cache
from statistics import NormalDist

import numpy as np
from numpy.typing import ArrayLike, NDArray

from movement.checks import Floats, at_least_zero, known_or_missing
from movement.errors import InputError


class StepWord(IntEnum):
    """What a comparison shows; the default is "cannot compare", so that nothing is told for it."""

    CANNOT_COMPARE = 0
    NONE = 1
    WATCH = 2
    STEPPED = 3


@dataclass(frozen=True, slots=True, eq=False)
class Steps:
    """Steps between two visits (n,), in the unit of the quantity.

    Attributes
    ----------
    size, u : array (n,)
        Change that temperature and shortening do not account for, and its standard
        uncertainty; NaN where something is not known.
    in_u : array (n,)
        Size over its uncertainty [-].
    word : array (n,) of int
        :class:`StepWord`.
    """

    size: Floats
    u: Floats
    in_u: Floats
    word: NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class Visit:
    """Readings of channels in one visit (n,), in the unit of the quantity.

    Attributes
    ----------
    value, u_value : array (n,)
        Mean of the repeats and its standard uncertainty; NaN where not known.
    temperature_c, u_temperature_k : array (n,)
        Effective temperature and its standard uncertainty; NaN where not known.
    shortening : array (n,)
        Part of the reading that creep and shrinkage since the setting account for; 0 where
        none is reckoned.
    """

    value: ArrayLike
    u_value: ArrayLike
    temperature_c: ArrayLike
    u_temperature_k: ArrayLike
    shortening: ArrayLike = 0.0


def steps_between(
    before: Visit,
    after: Visit,
    slope_per_c: ArrayLike,
    u_slope_per_c: ArrayLike,
    watch_k: float,
    out_k: float,
    family: ArrayLike | None = None,
) -> Steps:
    """Change from one visit to another beyond what temperature and shortening account for.

    Parameters
    ----------
    before, after : Visit
    slope_per_c, u_slope_per_c : array_like
        Expected movement per degree and its standard uncertainty; 0 where the quantity does
        not follow the temperature, NaN where not known [unit/degC].
    watch_k, out_k : float
        Standard uncertainties beyond which one change alone is to be watched, and is a step:
        each stands for a chance of saying so wrongly, see :func:`chance_beyond`. > 0.
    family : array_like of int, optional
        Channels of the same number are judged at once: that chance is held over all of them
        together.  Each channel alone where not given.

    Returns
    -------
    Steps

    Raises
    ------
    InputError
        If a threshold is not positive or an uncertainty is negative.

    Notes
    -----
    s = (v2 - v1) - b (T2 - T1) - (c2 - c1);
    u^2 = u_v1^2 + u_v2^2 + b^2 (u_T1^2 + u_T2^2) + u_b^2 (T2 - T1)^2.
    What both readings share cancels: the setting, its temperature, and the rule of creep and
    shrinkage but for the little that it adds between the visits, whose error is left out.
    The errors of the two readings and of the two temperatures are taken as independent, which
    errs to the wide side where the same instrument is off alike.  No setting is needed.
    An uncertainty that is not known and that enters leaves the channel without a word: it is
    not taken for 0.
    Sources: first-order propagation, JCGM 100:2008, 5.1.2; several channels at once, Holm,
    A simple sequentially rejective multiple test procedure, Scand. J. Statist. 6 (1979) 65-70,
    which needs no independence of the channels.
    """
    if not 0 < watch_k <= out_k:
        raise InputError("watch_k", f"{watch_k:g} is not above 0 and up to {out_k:g}", "Lower it")
    b = known_or_missing("slope_per_c", slope_per_c)
    u_b = at_least_zero("u_slope_per_c", u_slope_per_c)
    still = b == 0
    delta_k = _temperature(after, still) - _temperature(before, still)
    size: Floats = (
        known_or_missing("value", after.value)
        - known_or_missing("value", before.value)
        - b * delta_k
        - (_floats(after.shortening) - _floats(before.shortening))
    )
    variance = (
        at_least_zero("u_value", before.u_value) ** 2
        + at_least_zero("u_value", after.u_value) ** 2
        + b**2 * (_u_k(before, still) ** 2 + _u_k(after, still) ** 2)
        # Between equal temperatures the slope does not matter, known or not.
        + np.where(delta_k == 0, 0.0, u_b * delta_k) ** 2
    )
    u: Floats = np.where(np.isnan(size), np.nan, np.sqrt(variance))
    with np.errstate(divide="ignore", invalid="ignore"):
        in_u: Floats = size / u
    word = np.select(
        [np.isnan(in_u), _beyond(in_u, family, out_k), _beyond(in_u, family, watch_k)],
        [StepWord.CANNOT_COMPARE, StepWord.STEPPED, StepWord.WATCH],
        StepWord.NONE,
    )
    return Steps(size, u, in_u, word.astype(np.int64))


def chance_beyond(k: float) -> float:
    """Return the chance that a normal error lies beyond k standard uncertainties, either way."""
    return math.erfc(k / math.sqrt(2.0))


@lru_cache(maxsize=4096)
def _bound(k: float, at_once: int) -> float:
    """Return the bound that is passed with the chance of ``k`` shared out among so many."""
    return k if at_once == 1 else -NormalDist().inv_cdf(chance_beyond(k) / (2.0 * at_once))


def _beyond(in_u: Floats, family: ArrayLike | None, k: float) -> NDArray[np.bool_]:
    """Return what lies beyond k by Holm's method: the largest of a family of m is held against
    the bound for m, the next against that for m - 1, until one stays within."""
    size = np.abs(in_u)
    if family is None:
        return size > k
    size, members = np.broadcast_arrays(size, np.asarray(family))
    found = np.zeros(size.shape, dtype=np.bool_)
    told = np.flatnonzero(~np.isnan(size))
    order = told[np.lexsort((-size[told], members[told]))]
    _, first, count = np.unique(members[order], return_index=True, return_counts=True)
    for begin, many in zip(first.tolist(), count.tolist(), strict=True):
        for place in range(many):
            at = order[begin + place]
            if not size[at] > _bound(k, many - place):
                break
            found[at] = True
    return found


def _temperature(visit: Visit, still: NDArray[np.bool_]) -> Floats:
    return np.where(still, 0.0, known_or_missing("temperature_c", visit.temperature_c))


def _u_k(visit: Visit, still: NDArray[np.bool_]) -> Floats:
    u = np.where(still, 0.0, _floats(visit.u_temperature_k))
    return at_least_zero("u_temperature_k", u)


def _floats(values: ArrayLike) -> Floats:
    return np.asarray(values, dtype=np.float64)
