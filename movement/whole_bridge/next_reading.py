"""What the elements of a unit would read at a next visit if an explanation were true.

The explanation is taken into the model of the unit as a second cause is
(:func:`movement.whole_bridge.beside.without`), its size and all that the readings so far
leave uncertain are estimated from them, and the next reading follows with its variance.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from movement.checks import Floats
from movement.errors import InputError
from movement.whole_bridge.beside import without
from movement.whole_bridge.causes import Cause, Priors
from movement.whole_bridge.grids import Grid, GridMaker, Local, locate
from movement.whole_bridge.next_visit import Claim, NextVisit
from movement.whole_bridge.ranking import Ranked
from movement.whole_bridge.readings import Elements, Readings, Rows, Supports, Units, Visits
from movement.whole_bridge.scan import shortening_shapes
from movement.whole_bridge.shared import shared_errors

_NO_WEIGHT_MM = 1e6
"""Standard uncertainty of a reading that was not taken yet: it says nothing."""
_A_MOMENT_D = 1e-4
"""Days between the candidates for a next visit, so that each stays one of its own."""
_SETTLED = 1e-9
_OF_RESPONSE = (Cause.FROZEN, Cause.SLUGGISH, Cause.SIGN)
_LINEAR = {
    Cause.STEP: "step_mm",
    Cause.SETTING_OFF: "setting_mm",
    Cause.SUPPORT_MOVED: "support_mm",
    Cause.SHORTENING: "shortening",
}
"""Causes whose size the readings give outright, and the spread it is thought to have."""


@dataclass(frozen=True, slots=True, eq=False)
class Foretold:
    """Next readings if an explanation were true, of elements (e,) at temperatures (t,).

    Attributes
    ----------
    value_mm : array (e, t)
    covariance_mm2 : array (t, e, e)
        Of the readings of one visit: the error of its temperature ties them.
    """

    value_mm: Floats
    covariance_mm2: Floats

    @property
    def u_mm(self) -> Floats:
        """Standard uncertainty of each reading (e, t) [mm]."""
        variance = np.einsum("tee->et", self.covariance_mm2)
        return np.asarray(np.sqrt(variance), dtype=np.float64)


class Foreteller:
    """One unit with its readings so far and the candidates for a next visit."""

    def __init__(
        self,
        units: Units,
        supports: Supports,
        elements: Elements,
        visits: Visits,
        readings: Readings,
        unit: int,
        next_visit: NextVisit,
        priors: Priors,
    ) -> None:
        self._priors = priors
        if next_visit.u_value_mm.size != elements.unit.size:
            raise InputError(
                "u_value_mm",
                f"has {next_visit.u_value_mm.size} values for {elements.unit.size} elements",
                "Give one for each element, NaN where it cannot be measured.",
            )
        known = ~np.isnan(elements.lever_mm * elements.expansion_per_c + elements.deck_effect)
        measurable = (elements.unit == unit) & known & ~np.isnan(next_visit.u_value_mm)
        rows = np.flatnonzero(measurable)
        self._next = next_visit
        visits, readings = _with_next(visits, readings, unit, rows, next_visit)
        self._local: Local = locate(units, supports, elements, visits, readings)
        maker = GridMaker(units, supports, elements, visits, readings, self._local)
        self._grid = maker.grid(np.array([unit]))
        count = next_visit.temperature_c.size
        self._before = self._grid.weight.shape[-1] - count
        # An element that was never read, and has no setting, has no level to start from.
        read = (self._grid.weight[0, :, : self._before] > _SETTLED).any(-1)
        read |= self._grid.setting_known[0]
        self._place = self._local.element[rows][read[self._local.element[rows]]]
        self.elements: Rows = self._grid.elements[0, self._place]

    def foretell(self, claims: Iterable[Claim]) -> Foretold:
        """Return the next readings if some explanations hold together; none: all is well."""
        models = [self._solved(*each) for each in self._models(list(claims))]
        return max(models, key=lambda each: each[0])[1]

    def _models(self, claims: Sequence[Claim]) -> Iterator[tuple[Grid, Floats, _Causes]]:
        """Yield the model with the claims in it; one for each time course of a shortening."""
        shortens = any(each.cause == Cause.SHORTENING for each in claims)
        shapes = shortening_shapes(self._grid).shape[1] if shortens else 1
        # shapes that begin after the readings so far are none of what they show
        for shape in range(max(shapes - self._next.temperature_c.size, 1)):
            grid, follows = self._grid, np.ones_like(self._grid.weight[0])
            causes = _Causes([], [], [])
            # What does not follow the deck does not show what else moves the deck either.
            for claim in sorted(claims, key=lambda each: each.cause not in _OF_RESPONSE):
                if claim.cause == Cause.FROZEN and claim.visit >= 0:
                    grid = self._frozen_later(grid, follows, causes, claim)
                else:
                    grid = self._taken_in(grid, follows, causes, claim, shape)
            yield grid, follows, causes

    def _taken_in(
        self, grid: Grid, follows: Floats, causes: _Causes, claim: Claim, shape: int
    ) -> Grid:
        cause = claim.cause
        if cause == Cause.HEALTHY:
            return grid
        size, prior, spread = self._size(claim)
        date = self._local.visit[claim.visit] if claim.visit >= 0 else 0
        place = {
            Cause.WRONG_TEMPERATURE: date,
            Cause.SUPPORT_MOVED: self._local.support[claim.support],
            Cause.FIXED_POINT: self._local.support[claim.support],
        }.get(cause, self._local.element[claim.element] if claim.element >= 0 else 0)
        dates = {Cause.SHORTENING: shape, Cause.FROZEN: 0}
        ranked = Ranked(
            *(
                np.array([[each]])
                for each in (int(cause), place, dates.get(cause, date), 0.0, 0.0, size, 0.0)
            )
        )
        freed, column = without(grid, ranked)
        if cause == Cause.COEFFICIENT:
            column = grid.per_k[..., None] * grid.rise_k
        if spread > 0.0:
            of_deck = cause in (Cause.SUPPORT_MOVED, Cause.SHORTENING, Cause.COEFFICIENT)
            shown = column[0] * follows if of_deck else column[0]
            causes.add(shown, prior - size, spread)
        return freed

    def _size(self, claim: Claim) -> tuple[float, float, float]:
        """Return the size to take in, and how it is thought to spread: mean, sd."""
        priors, cause = self._priors, claim.cause
        if cause in _LINEAR:
            return 0.0, 0.0, getattr(priors, _LINEAR[cause])
        if cause == Cause.SIGN:
            return -1.0, -1.0, 0.0
        if cause == Cause.COEFFICIENT:
            return claim.size - 1.0, 0.0, priors.coefficient
        if cause not in (Cause.FROZEN, Cause.SLUGGISH):
            return claim.size, claim.size, 0.0
        middle, spread = (
            (0.0, priors.u_frozen_response)
            if cause == Cause.FROZEN
            else (1.0 - priors.sluggish_loss, priors.u_sluggish_loss)
        )
        shown = claim.u_size**-2.0 if claim.u_size > 0 else 0.0
        told = shown * claim.size if shown > 0 else 0.0
        return (told + middle / spread**2) / (shown + spread**-2.0), middle, spread

    def _frozen_later(self, grid: Grid, follows: Floats, causes: _Causes, claim: Claim) -> Grid:
        """Let a bearing stand, from a visit on, where it stood at a temperature not known."""
        at = self._local.element[claim.element]
        after = np.arange(follows.shape[1]) >= self._local.visit[claim.visit]
        per_k, moved = grid.per_k[0, at], grid.moved_mm[0, at]
        middle = moved[: self._before].mean()
        residual, moved_mm = grid.residual.copy(), grid.moved_mm.copy()
        residual[0, at, after] += moved[after] - middle
        moved_mm[0, at, after] = middle
        follows[at, after] = 0.0
        column = np.zeros_like(follows)
        column[at, after] = per_k
        causes.add(column, 0.0, self._priors.frozen_k)
        return replace(grid, residual=residual, moved_mm=moved_mm)

    def _solved(self, grid: Grid, follows: Floats, causes: _Causes) -> tuple[float, Foretold]:
        """Estimate what is uncertain from the readings so far; return evidence and prediction."""
        before, n_e = self._before, follows.shape[0]
        effect = (grid.per_k[0][:, None] * follows) * grid.u_temperature_k[0]
        # Every column is the effect of one standard uncertainty, so each has variance one.
        level = np.eye(n_e)[:, :, None] * np.sqrt(grid.setting_variance[0])[:, None, None]
        level = np.broadcast_to(level, (n_e, n_e, follows.shape[1]))
        in_visit = effect * np.eye(follows.shape[1])[:before, None, :]
        shared = shared_errors(grid)[0] * follows
        columns = np.concatenate([level, in_visit, shared, causes.columns(follows.shape)])
        mean = np.zeros(len(columns))
        mean[len(columns) - len(causes.means) :] = causes.means

        old = np.s_[..., :before]
        read = grid.weight[0][old] > _SETTLED
        h = columns[old][:, read].T
        w, r = grid.weight[0][old][read], grid.residual[0][old][read]
        a = h.T * w @ h + np.eye(len(columns))
        right = h.T @ (w * r) + mean
        theta = np.linalg.solve(a, right)
        evidence = 0.5 * (right @ theta - (w * r) @ r - mean @ mean - np.linalg.slogdet(a)[1])

        ahead = columns[:, self._place, before:]
        value = np.tensordot(theta, ahead, 1) - grid.residual[0, self._place, before:]
        known = np.einsum("pet,pq,qft->tef", ahead, np.linalg.inv(a), ahead, optimize=True)
        tied = effect[self._place, before:].T
        own = self._next.u_value_mm[self.elements] ** 2
        covariance = known + tied[:, :, None] * tied[:, None, :] + np.diag(own)
        return float(evidence), Foretold(value, covariance)


@dataclass
class _Causes:
    """Columns (e, v) of causes per standard deviation of their size, and its mean in those."""

    effects: list[Floats]
    means: list[float]
    spreads: list[float]

    def add(self, column: Floats, mean: float, spread: float) -> None:
        self.effects.append(column * spread)
        self.means.append(mean / spread)
        self.spreads.append(spread)

    def columns(self, shape: tuple[int, ...]) -> Floats:
        return np.stack(self.effects) if self.effects else np.zeros((0, *shape))


def _with_next(
    visits: Visits, readings: Readings, unit: int, rows: Rows, following: NextVisit
) -> tuple[Visits, Readings]:
    """Return visits and readings with the candidates after the last of them."""
    count = following.temperature_c.size
    own = visits.time_days[visits.unit == unit]
    start = max(following.time_days, own.max(initial=-np.inf) + 1.0)
    first = visits.unit.size
    element, at = np.repeat(rows, count), np.tile(np.arange(count), rows.size)
    new_visits = Visits.of(
        np.full(count, unit),
        start + _A_MOMENT_D * np.arange(count),
        following.temperature_c,
        following.u_temperature_k,
    )
    new_readings = Readings.of(
        element,
        first + at,
        np.zeros(element.size),
        _NO_WEIGHT_MM,
        following.known_mm[element, at],
        following.u_known_strain[element],
    )
    return (
        Visits(*(_joined(visits, new_visits, name) for name in Visits.__slots__)),
        Readings(*(_joined(readings, new_readings, name) for name in Readings.__slots__)),
    )


def _joined(one: object, other: object, name: str) -> np.ndarray:
    return np.concatenate([getattr(one, name), getattr(other, name)])
