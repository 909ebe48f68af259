"""The tables of units, and what their rows stand for."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np

from inspections.services.device_figures import NAN
from inspections.services.unit_places import Place
from movement.whole_bridge import Elements, Readings, Supports, Units, Visits


@dataclass(frozen=True, slots=True, eq=False)
class Tables:
    """The five tables, and what their rows stand for.

    Attributes
    ----------
    unit_ids, support_ids : list of int
        Keys of the units and supports of each row.
    first_unit : list of int
        Row of the first unit of each view.
    places : list of Place
        Of the elements.
    point : array (visits,)
        A point that was read in each visit.
    unit_beyond : array (elements,)
        Row of the unit on the other side of a gap; -1 where there is none.
    """

    units: Units
    supports: Supports
    elements: Elements
    visits: Visits
    readings: Readings
    unit_ids: list[int]
    first_unit: list[int]
    support_ids: list[int]
    places: list[Place]
    point: np.ndarray
    unit_beyond: np.ndarray

    def without(self, elements: np.ndarray) -> Tables:
        """Return the tables with some elements not read; ``elements`` is (elements,) of bool."""
        dropped = elements[self.readings.element]
        value_mm = np.where(dropped, NAN, self.readings.value_mm)
        return replace(self, readings=replace(self.readings, value_mm=value_mm))

    def read_in(self, units: np.ndarray) -> tuple[Tables, np.ndarray]:
        """Return the tables with the visits of some units alone, and the rows these had.

        ``units`` is (units,) of bool; what was not visited costs next to nothing.
        """
        kept = np.flatnonzero(units[self.visits.unit])
        row = np.full(self.visits.unit.size, -1, dtype=np.int64)
        row[kept] = np.arange(kept.size)
        read = units[self.elements.unit[self.readings.element]]
        visits = Visits(*(getattr(self.visits, each.name)[kept] for each in fields(Visits)))
        readings = Readings(*(getattr(self.readings, each.name)[read] for each in fields(Readings)))
        readings = replace(readings, visit=row[readings.visit])
        return replace(self, visits=visits, readings=readings, point=self.point[kept]), kept

    @property
    def usable(self) -> np.ndarray:
        """Which readings can be used: those with nothing unknown."""
        element, visit = self.readings.element, self.readings.visit
        return ~np.isnan(
            self.readings.value_mm
            + self.readings.u_value_mm
            + self.readings.known_mm
            + (self.visits.temperature_c + self.visits.u_temperature_k)[visit]
            + (self.elements.lever_mm * self.elements.expansion_per_c)[element]
            + self.elements.deck_effect[element]
        )

    @property
    def elements_read(self) -> np.ndarray:
        """Elements of each unit of which a reading can be used (units,)."""
        read = np.zeros(self.elements.unit.size, dtype=bool)
        read[self.readings.element[self.usable]] = True
        return np.bincount(self.elements.unit[read], minlength=len(self.unit_ids))
