"""Which new rows need no further check, since others like them have passed every one.

The checks of a model take thirty times as long as to see that a row differs from one that has
passed in its value and words alone, and that these are within their bounds.  A row of which that
cannot be seen is checked as every first of its like is: only those checks refuse, and say why.
"""

from __future__ import annotations

from typing import Any

from inspections.form_spec import FIELDS
from inspections.models import Reading, TemperatureReading
from inspections.models.readings import TEMPERATURE
from inspections.services.new_rows import NewReading, NewTemperature
from inventory.models import Installation
from inventory.units import Dimension

LONGEST_TYPED = min(
    model._meta.get_field("typed").max_length or 0 for model in (Reading, TemperatureReading)
)
LONGEST_REMARK = Reading._meta.get_field("remark").max_length or 0


class RowsPassed:
    """Remembers rows that have passed by what is the same in many."""

    def __init__(self) -> None:
        self._like: set[tuple[Any, ...]] = set()

    def add(self, new: NewReading | NewTemperature, installed: Installation | None = None) -> None:
        """Remember a row that has passed, a reading with the device that it was taken on."""
        self._like.add(_likeness(new, installed))

    def has_like(
        self, new: NewReading | NewTemperature, installed: Installation | None = None
    ) -> bool:
        """Return whether a row is known to pass whatever rests on itself and its device alone."""
        if not 0 < len(new.typed) <= LONGEST_TYPED or _likeness(new, installed) not in self._like:
            return False
        if isinstance(new, NewTemperature):
            return TEMPERATURE.low <= new.temperature_c <= TEMPERATURE.high
        field = FIELDS[new.quantity]
        return (
            field.low <= new.value <= field.high
            and len(new.remark) <= LONGEST_REMARK
            and (field.dimension is not Dimension.COUNT or not new.value % 1)
        )


def _likeness(new: NewReading | NewTemperature, installed: Installation | None) -> tuple[Any, ...]:
    instrument = new.instrument and new.instrument.dimension
    if isinstance(new, NewTemperature):
        return new.place, new.sunlit, instrument
    device = installed and installed.device_type
    ties = new.element.unit_ahead_id is not None
    return new.quantity, new.point, new.axis, new.repeat, new.accuracy, instrument, device, ties
