"""What gives a reason to watch an element beside its own last reading."""

from __future__ import annotations

from collections.abc import Iterable

from inspections.models import ElementHistory, Explanation
from inspections.models.choices import CauseWord, DiagnosisWord, ResponseWord
from inspections.services.explanations import ENOUGH_ELEMENTS, MOVES_ALL, ToldUnit
from inventory.models import Element
from movement.history.findings import Finding

DOES_NOT_FOLLOW = (
    ResponseWord.FROZEN,
    ResponseWord.WRONG_SIGN,
    ResponseWord.SLUGGISH_OR_FROZEN,
    ResponseWord.SLUGGISH,
)
"""Responses to watch, the worst first."""
SITS_ON_ELEMENT = (CauseWord.FROZEN, CauseWord.SLUGGISH, CauseWord.STEP)
"""Causes that are a reason to watch the element that they name; a blunder is one to read it
again, and what is wrong in the register is one to correct it there."""


def worst_history(
    histories: Iterable[ElementHistory], steps_count: bool = True
) -> ElementHistory | None:
    """Return the history that gives most reason to watch its element, if one does.

    A step that may as well be a drift or a blunder is none yet, nor is any where
    ``steps_count`` is False.
    """
    ranked = [(_rank(each, steps_count), each) for each in histories]
    reasons = [(rank, each) for rank, each in ranked if rank is not None]
    return min(reasons, key=lambda pair: pair[0])[1] if reasons else None


def _rank(history: ElementHistory, steps_count: bool) -> int | None:
    if history.response in DOES_NOT_FOLLOW:
        return DOES_NOT_FOLLOW.index(ResponseWord(history.response))
    # A drift to the limit or a step instead of it: there is reason either way.
    if history.findings & Finding.REACHES_LIMIT and not history.alternatives & Finding.BLUNDER:
        return len(DOES_NOT_FOLLOW)
    if steps_count and history.findings & Finding.STEP & ~history.alternatives:
        return len(DOES_NOT_FOLLOW) + 1
    return None


class Findings:
    """What explains the readings of the units of a bridge."""

    def __init__(self, told: Iterable[ToldUnit]) -> None:
        explained = [each for each in told if each.diagnosis.outcome == DiagnosisWord.EXPLAINED]
        self._leading = {each.diagnosis.unit_id: _leading(each.explanations) for each in explained}
        self._together = {
            each.diagnosis.unit_id for each in explained if each.elements_read >= ENOUGH_ELEMENTS
        }

    def against(self, element: Element) -> Explanation | None:
        """Return the explanation that is a reason to watch an element, if there is one."""
        return next(iter(self.all_against(element)), None)

    def all_against(self, element: Element) -> list[Explanation]:
        """Return every explanation that is a reason to watch an element."""
        return [each for each in self._of(element) if _names(each, element)]

    def move_all_of(self, element: Element) -> bool:
        """Return whether enough elements of its units show something that moves them all."""
        return any(
            each.cause in MOVES_ALL and each.diagnosis.unit_id in self._together
            for each in self._of(element)
        )

    def _of(self, element: Element) -> list[Explanation]:
        return [
            each
            for unit_id in (element.unit_id, element.unit_ahead_id)
            for each in self._leading.get(unit_id, ())
        ]


def _leading(explanations: list[Explanation]) -> list[Explanation]:
    """Return the first, and the cause beside it unless a rival fits as well."""
    first = [each for each in explanations if not each.beside and each.rank == 0]
    beside = [each for each in explanations if each.beside]
    return [*first, *(beside if len(beside) == 1 else ())]


def _names(explanation: Explanation, element: Element) -> bool:
    if explanation.cause in SITS_ON_ELEMENT:
        return explanation.element_id == element.pk
    return (
        explanation.cause == CauseWord.SUPPORT_MOVED
        and explanation.support_id == element.support_id
    )
