"""Which explanations of a unit are to be told apart."""

from __future__ import annotations

import itertools

from inspections.models import Explanation, UnitDiagnosis
from inspections.models.choices import CauseWord, DiagnosisWord

_EQUALS = 3
"""Explanations that fit equally well of which every pair is told apart."""
Explained = tuple[Explanation | None, ...]
"""What holds together; None or nothing: all is well."""


def pairs_of(diagnosis: UnitDiagnosis) -> list[tuple[Explained, Explained]]:
    """Return the explanations to tell apart, what holds beside them with each.

    The equals pair by pair; else the leading one and its runner-up, which may be that
    nothing is wrong; then the second cause beside and its rival.
    """
    if diagnosis.outcome not in (DiagnosisWord.EXPLAINED, DiagnosisWord.CANNOT_TELL):
        return []
    rows = [each for each in diagnosis.explanations.all() if each.cause != CauseWord.HEALTHY]
    ranked = sorted((each for each in rows if not each.beside), key=lambda each: each.rank)
    beside = sorted((each for each in rows if each.beside), key=lambda each: each.rank)
    leading = ranked[: min(max(diagnosis.equal, 1), _EQUALS)]
    if not leading:
        return []
    second: Explained = tuple(beside[:1])
    pairs: list[tuple[Explained, Explained]]
    if len(leading) > 1:
        pairs = [
            ((one, *second), (other, *second)) for one, other in itertools.combinations(leading, 2)
        ]
    else:
        rival = next((each for each in ranked[1:] if each.odds_log > 0), None)
        pairs = [((leading[0], *second), (rival, *second))]
    if len(beside) > 1:
        pairs.append(((beside[0], leading[0]), (beside[1], leading[0])))
    return pairs
