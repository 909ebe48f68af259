"""Weighted means of options side by side: an aid to thought, never the decision.

A judgement that is missing is named and enters nothing; it is never counted as a zero.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

Scores = Mapping[int, Mapping[int, int]]
"""Judgement by criterion, by option."""
FACTORS = (Fraction(2), Fraction(1, 2))
"""How far each weight is moved to see whether it matters."""


@dataclass(frozen=True, slots=True)
class Weighed:
    """The mean of one option over what was judged, and the weighing criteria that were not."""

    option: int
    mean: Fraction | None
    missing: tuple[int, ...]

    @property
    def complete(self) -> bool:
        """True where every criterion that weighs anything was judged."""
        return self.mean is not None and not self.missing


@dataclass(frozen=True, slots=True)
class Shift:
    """A change of one weight that puts other options first."""

    criterion: int
    factor: Fraction
    first: frozenset[int]


def weighed(weights: Mapping[int, float], scores: Scores) -> list[Weighed]:
    """Return the weighted mean of each option over the criteria that it was judged by."""
    exact = _exact(weights)
    return [_weighed(option, exact, its) for option, its in scores.items()]


def first_place(weights: Mapping[int, float], scores: Scores) -> frozenset[int]:
    """Return the option with the greatest mean, several on a tie; only complete ones compare."""
    return _first(_exact(weights), scores)


def shifts(weights: Mapping[int, float], scores: Scores) -> list[Shift]:
    """Return each doubling or halving of one weight that changes the first place."""
    exact = _exact(weights)
    first = _first(exact, scores)
    found = []
    for criterion, weight in exact.items():
        for factor in FACTORS:
            other = _first({**exact, criterion: weight * factor}, scores)
            if other != first:
                found.append(Shift(criterion, factor, other))
    return found


def _exact(weights: Mapping[int, float]) -> dict[int, Fraction]:
    # By its shortest decimal, so that 0.1 is a tenth and a tie is a tie.
    return {key: Fraction(repr(float(weight))) for key, weight in weights.items()}


def _weighed(option: int, weights: Mapping[int, Fraction], scores: Mapping[int, int]) -> Weighed:
    counts = {key: weight for key, weight in weights.items() if weight > 0}
    judged = {key: weight for key, weight in counts.items() if key in scores}
    total = sum(judged.values(), Fraction(0))
    mean = (
        sum((weight * scores[key] for key, weight in judged.items()), Fraction(0)) / total
        if (total)
        else None
    )
    return Weighed(option, mean, tuple(key for key in counts if key not in scores))


def _first(weights: Mapping[int, Fraction], scores: Scores) -> frozenset[int]:
    complete = {
        each.option: each.mean
        for each in (_weighed(option, weights, its) for option, its in scores.items())
        if each.complete and each.mean is not None
    }
    best = max(complete.values(), default=None)
    return frozenset(option for option, mean in complete.items() if mean == best)
