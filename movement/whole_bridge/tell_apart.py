"""What to measure next to tell two explanations of a unit's readings apart.

Each explanation foretells what every element would read at a temperature, and how surely.
Where the two differ by much against what is not certain, one reading there tells which of
them holds; where they foretell the same, no reading will.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from movement.checks import Floats
from movement.whole_bridge.causes import Priors
from movement.whole_bridge.next_reading import Foreteller, Foretold
from movement.whole_bridge.next_visit import Claim, NextVisit
from movement.whole_bridge.readings import Elements, Readings, Rows, Supports, Units, Visits

LEAST_RIGHT = 0.7
"""Chance of a right answer below which a reading is not worth a visit: a coin gives 0.5.
Judgement, no source."""
_ALIKE = 1e-6
"""Logarithm of the ratio of two uncertainties below which they are taken as one."""


@dataclass(frozen=True, slots=True, eq=False)
class Apart:
    """How two explanations differ in what elements (e,) would read at temperatures (t,).

    Attributes
    ----------
    elements : array (e,) of int
        Rows of the elements that can be measured.
    first, second : Foretold
        What each explanation foretells.
    right : array (e, t)
        Chance that a reading of the element alone names the right one of the two, if both
        were equally likely before it [-]: 0.5 is a coin, 1 is certain.
    right_together : array (t,)
        The same of all elements measured in one visit.
    """

    elements: Rows
    first: Foretold
    second: Foretold
    right: Floats
    right_together: Floats

    @property
    def apart_mm(self) -> Floats:
        """How much more the first explanation foretells than the second (e, t) [mm]."""
        return self.first.value_mm - self.second.value_mm

    @property
    def apart_in_u(self) -> Floats:
        """The size of that in standard uncertainties (e, t) [-]."""
        together = np.sqrt((self.first.u_mm**2 + self.second.u_mm**2) / 2.0)
        return np.asarray(np.abs(self.apart_mm) / together, dtype=np.float64)

    @property
    def separable(self) -> bool:
        """Whether any measurement would tell the two apart."""
        best = max(self.right.max(initial=0.0), self.right_together.max(initial=0.0))
        return bool(best >= LEAST_RIGHT)

    def ranked(self, unusual: Sequence[bool] | None = None) -> list[tuple[int, int]]:
        """Return (element, temperature) as indices, the clearest first, each element once.

        Chances that are the same to the hundredth are taken as one: of those the usual
        temperature comes first, then the larger difference.
        """
        rare = np.zeros(self.right.shape[1], dtype=bool) if unusual is None else unusual
        right, clearest = np.round(self.right, 2), self.apart_in_u
        order = sorted(
            np.ndindex(*self.right.shape),
            key=lambda at: (-right[at], bool(rare[at[1]]), -clearest[at]),
        )
        best: dict[int, tuple[int, int]] = {}
        for element, temperature in order:
            best.setdefault(element, (element, temperature))
        return list(best.values())


def tell_apart(
    units: Units,
    supports: Supports,
    elements: Elements,
    visits: Visits,
    readings: Readings,
    unit: int,
    pairs: Sequence[tuple[Sequence[Claim], Sequence[Claim]]],
    next_visit: NextVisit,
    priors: Priors | None = None,
) -> list[Apart]:
    """Say what would tell explanations of one unit apart, pair by pair.

    Parameters
    ----------
    units, supports, elements, visits, readings
        As for :func:`movement.whole_bridge.diagnose`.
    unit : int
        Row of the unit.
    pairs : sequence of (first, second)
        Each side is what is claimed to hold together: one cause, or one and another beside
        it; nothing, where all is well.
    next_visit : NextVisit
        Temperatures that a next visit may find, and how well it can measure.
    priors : Priors, optional
        As for the diagnosis.

    Returns
    -------
    list of Apart
        One for each pair.

    Raises
    ------
    InputError
        If the next visit does not fit the elements.

    Notes
    -----
    A reading is normal under either explanation, with its own mean and variance: the error
    of reading, temperature and setting, of the register, and of the size of the cause as far
    as the readings so far leave it open.  Who names the likelier of the two is right with

        P = 1/2 + (|F1(x2) - F1(x1)| - |F2(x2) - F2(x1)|) / 2,

    x1 and x2 where the two densities meet; with equal variances P = Phi(|m1 - m2| / 2u).
    For many elements together it is Phi(d / 2), d the Mahalanobis distance with the mean of
    the two covariances.  Source: Bayes' rule for two normal distributions.
    """
    teller = Foreteller(
        units, supports, elements, visits, readings, unit, next_visit, priors or Priors()
    )
    return [_apart(teller, first, second) for first, second in pairs]


def _apart(teller: Foreteller, first: Sequence[Claim], second: Sequence[Claim]) -> Apart:
    one, other = teller.foretell(first), teller.foretell(second)
    return Apart(
        teller.elements,
        one,
        other,
        chance_of_right(one.value_mm, one.u_mm, other.value_mm, other.u_mm),
        _together(one, other),
    )


def chance_of_right(mean_1: Floats, u_1: Floats, mean_2: Floats, u_2: Floats) -> Floats:
    """Chance that the likelier of two normal distributions is the one a value came from [-].

    Both equally likely before; arrays of one shape, uncertainties above zero.
    """
    wider = u_1 > u_2
    narrow, wide = np.where(wider, mean_2, mean_1), np.where(wider, mean_1, mean_2)
    u, s = np.where(wider, u_2, u_1), np.where(wider, u_1, u_2)
    alike = np.log(s / u) < _ALIKE
    equal = _phi(np.abs(mean_1 - mean_2) / (2.0 * np.where(alike, s, 1.0)))
    # ((x - narrow)/u)^2 + 2 ln u = ((x - wide)/s)^2 + 2 ln s, with x told from ``narrow`` in u
    ratio, gap = np.where(alike, 2.0, s / u), (wide - narrow) / u
    a = 1.0 - ratio**-2.0
    b = gap / ratio**2
    c = -((gap / ratio) ** 2) - 2.0 * np.log(ratio)
    root = np.sqrt(b**2 - a * c)
    low, high = (-b - root) / a, (-b + root) / a
    inside = _phi(high) - _phi(low)
    inside_wide = _phi((high - gap) / ratio) - _phi((low - gap) / ratio)
    return np.where(alike, equal, 0.5 + 0.5 * (inside - inside_wide))


def _together(one: Foretold, other: Foretold) -> Floats:
    if not one.value_mm.shape[0]:
        return np.full(one.value_mm.shape[1], 0.5)
    apart = (one.value_mm - other.value_mm).T[..., None]
    covariance = (one.covariance_mm2 + other.covariance_mm2) / 2.0
    distance = (apart * np.linalg.solve(covariance, apart)).sum((-1, -2))
    return _phi(np.sqrt(np.maximum(distance, 0.0)) / 2.0)


def _phi(x: Floats) -> Floats:
    """Standard normal distribution."""
    flat = [0.5 * math.erfc(-each / math.sqrt(2.0)) for each in np.ravel(x)]
    return np.asarray(flat, dtype=np.float64).reshape(np.shape(x))
