"""Creep and shrinkage of each channel's units between its setting and a day."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from inspections.models import AgencySettings
from inspections.services.device_figures import NAN, or_else
from inventory.models import Unit, UnitConcrete
from movement.concrete import Concrete
from movement.inputs import Sides
from movement.shortening import shortening_between
from movement.temperature import DeckType

_UNIX_DAY = 719_163
"""Ordinal of 1970-01-01."""
SidesOfChannel = tuple[Unit | None, Unit | None]


@dataclass(frozen=True, slots=True, eq=False)
class SideShortening:
    """Strain of the sides of each row since its setting, (n, 2); 0 where it is not known.

    ``known`` is False where the unit has no concrete on record, where something bars the
    rule, which ``notes`` then names, and where the day of the setting is not known.
    """

    strain: np.ndarray
    u_strain: np.ndarray
    known: np.ndarray
    notes: np.ndarray

    def into(self, sides: Sides) -> Sides:
        """Return the sides with what they have shortened."""
        return replace(sides, shortening=self.strain, u_shortening=self.u_strain)

    def part_of(self, sides: Sides) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Return its part of each reading, the standard uncertainty and the notes, (n,).

        In the unit of the quantity; NaN where it is known of no side that matters.
        """
        matters = sides.lever != 0
        some = (self.known & matters).any(axis=-1)
        part = -(sides.lever * self.strain).sum(axis=-1)
        u_part = np.sqrt(((sides.lever * self.u_strain) ** 2).sum(axis=-1))
        notes = np.bitwise_or.reduce(np.where(matters, self.notes, 0), axis=-1)
        return np.where(some, part, NAN), np.where(some, u_part, NAN), notes


def shortening_of(
    units: Sequence[SidesOfChannel],
    set_day: np.ndarray,
    at_day: np.ndarray | float,
    agency: AgencySettings,
) -> SideShortening:
    """Return what the sides of each row have shortened from one day to another.

    Parameters
    ----------
    units : sequence (n,) of pairs
        Behind and ahead, with their concrete joined; None for a backwall.
    set_day, at_day : array (n,)
        Days since 1970; NaN where the day of the setting is not known.

    Notes
    -----
    A device may stand before its deck is cast, and then counts from the casting.  A reading
    before the setting (before the baseline that stands for one) found the deck longer, so its
    strain has a minus.
    """
    table: dict[int, UnitConcrete] = {}
    concrete_of = [[_concrete(unit) for unit in pair] for pair in units]
    decks = {unit.pk: unit.deck_type for pair in units for unit in pair if unit is not None}
    for pair in concrete_of:
        for concrete in pair:
            if concrete is not None:
                table.setdefault(concrete.pk, concrete)
    shape = (len(units), 2)
    if not table:
        nothing = np.zeros(shape)
        return SideShortening(
            nothing, nothing, np.zeros(shape, dtype=bool), np.zeros(shape, dtype=np.int64)
        )
    order = {pk: index for index, pk in enumerate(table)}
    index = np.array(
        [[-1 if each is None else order[each.pk] for each in pair] for pair in concrete_of]
    )
    rows = list(table.values())
    cast_day = np.array([each.cast_on.toordinal() - _UNIX_DAY for each in rows], dtype=float)
    set_age = np.maximum(np.asarray(set_day)[:, np.newaxis] - cast_day[index], 0.0)
    at_age = np.maximum(np.broadcast_to(at_day, shape[:1])[:, np.newaxis] - cast_day[index], 0.0)
    there = (index >= 0) & ~np.isnan(set_age)
    found = shortening_between(
        _table_of(rows, index[there]),
        np.array([DeckType(decks[each.unit_id]) for each in rows])[index[there]],
        set_age[there],
        at_age[there],
        np.array([each.shortening_rule for each in rows])[index[there]],
        agency.scatter(),
    )
    known = np.zeros(shape, dtype=bool)
    strain, u_strain = np.zeros(shape), np.zeros(shape)
    notes = np.zeros(shape, dtype=np.int64)
    known[there] = ~np.isnan(found.strain)
    strain[there] = np.nan_to_num(found.strain)
    u_strain[there] = np.nan_to_num(found.u_strain)
    notes[there] = found.notes
    return SideShortening(strain, u_strain, known, notes)


def day_of(date: dt.date) -> float:
    """Return a day as the days since 1970."""
    return float(date.toordinal() - _UNIX_DAY)


def _concrete(unit: Unit | None) -> UnitConcrete | None:
    return None if unit is None else getattr(unit, "concrete", None)


def _table_of(rows: list[UnitConcrete], index: np.ndarray) -> Concrete:
    def column(name: str) -> np.ndarray:
        return np.array([or_else(getattr(row, name), NAN) for row in rows], dtype=float)[index]

    return Concrete.of(
        strength_mpa=column("concrete_strength_mpa"),
        humidity_percent=column("humidity_percent"),
        notional_size_mm=column("notional_size_mm"),
        curing_end_d=column("curing_end_d"),
        stress_mpa=column("axial_stress_mpa"),
        loading_d=column("loading_d"),
        modulus_mpa=column("concrete_modulus_mpa"),
        strength_at_loading_mpa=column("strength_at_loading_mpa"),
        cement=np.array([row.cement_class for row in rows])[index],
    )
