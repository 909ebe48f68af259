"""Rows of national bridge element data, whichever way they come or go."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple


class StructureKey(NamedTuple):
    """A structure: its number is unique within its state only."""

    state: str
    number: str


@dataclass(frozen=True, slots=True)
class ElementRow:
    """One row of element data; ``parent`` is None where the element lies on no other."""

    state: str
    number: str
    element: int
    parent: int | None
    total: int
    states: tuple[int, int, int, int]

    @property
    def structure(self) -> StructureKey:
        return StructureKey(self.state, self.number)
