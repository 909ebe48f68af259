"""One documented field of an assessment: its name, unit, meaning and where it is from."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from inventory.units import Dimension

READ_UNITS = (
    Dimension.LENGTH,
    Dimension.ROTATION,
    Dimension.TILT,
    Dimension.FORCE,
    Dimension.COUNT,
)
"""Units of what is read; ``{u}`` in a field's name and unit stands for one of them."""
CHECK_UNITS = (
    Dimension.LENGTH,
    Dimension.ROTATION,
    Dimension.TILT,
    Dimension.FORCE,
    Dimension.STRESS,
    Dimension.COUNT,
)
"""The same for checks of capacity; what has no unit is a count or a share."""


@dataclass(frozen=True, slots=True)
class Field:
    """One documented field: its name, unit (empty for none), meaning and where it is from."""

    name: str
    unit: str
    meaning: str
    take: Callable[[Any], Any] | None

    @property
    def in_unit_read(self) -> bool:
        """Whether name and unit follow the unit of what was read."""
        return "{u}" in self.name

    def named(self, unit: str) -> str:
        """Return the name for a reading in ``unit``."""
        return self.name.replace("{u}", unit.lower() or "count")


def plain(text: str) -> str:
    """Return text with ordinary spaces, as programs and terminals expect them."""
    return text.replace("\u202f", " ")
