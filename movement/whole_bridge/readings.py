"""What the reading of a whole bridge is told: five tables of flat arrays.

A unit is a continuous length of superstructure.  Supports, elements and visits name
their unit by its row, readings name their element and their visit; so one unit and a
hundred thousand take the same path.  NaN means "not known"; an infinity is refused.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from movement.checks import Floats, at_least_zero, known_or_missing
from movement.errors import InputError

Rows = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class Units:
    """Units of superstructure.

    Attributes
    ----------
    fixed_support : array (units,)
        Row of the support at which the register holds the deck; -1 where none is named.
    fixed_station_m : array (units,)
        Station of the thermal fixed point in the register [m].
    u_fixed_station_m : array (units,)
        Its standard uncertainty, which all elements share [m].
    """

    fixed_support: Rows
    fixed_station_m: Floats
    u_fixed_station_m: Floats

    @classmethod
    def of(
        cls,
        fixed_support: ArrayLike,
        fixed_station_m: ArrayLike,
        u_fixed_station_m: ArrayLike = 0.0,
    ) -> Units:
        """Check and broadcast."""
        rows = np.atleast_1d(_rows("fixed_support", fixed_support))
        station, u_station = (
            np.asarray(np.broadcast_to(each, rows.shape), dtype=np.float64)
            for each in (
                known_or_missing("fixed_station_m", fixed_station_m),
                at_least_zero("u_fixed_station_m", u_fixed_station_m),
            )
        )
        return cls(rows, station, u_station)


@dataclass(frozen=True, slots=True, eq=False)
class Supports:
    """Piers and abutments: their unit and their station [m], arrays (supports,)."""

    unit: Rows
    station_m: Floats

    @classmethod
    def of(cls, unit: ArrayLike, station_m: ArrayLike) -> Supports:
        """Check and broadcast."""
        return cls(*_together(_rows("unit", unit), known_or_missing("station_m", station_m)))


@dataclass(frozen=True, slots=True, eq=False)
class Elements:
    """Measured quantities in millimetres: bearing offsets, joint gaps, points of a gap.

    Attributes
    ----------
    unit, support : array (elements,)
        Rows; the support is -1 where the element stands on none.
    lever_mm : array (elements,)
        Change of the reading per unit of strain of the deck [mm]; 0 at the fixed point.
        See :mod:`movement.geometry`.
    deck_effect : array (elements,)
        Change of the reading when the whole deck moves 1 mm towards increasing station:
        1 for an offset, 1 for a gap at the start of the deck, -1 at its end (times
        the cosine of the measured axis).  A support that moves has the opposite effect.
    expansion_per_c : array (elements,)
        Coefficient of thermal expansion [1/degC].
    setting_mm, setting_temperature_c, u_setting_mm : array (elements,)
        Position and effective temperature at the setting, and the standard uncertainty.
        NaN: no record; then the readings are compared among themselves only.
    setting_time_days : array (elements,)
        Date of the setting on the clock of the visits [days]; NaN if not known.
    can_stick : array (elements,) of bool
        True for a bearing, which may be frozen or sluggish by itself; False for a gap.
    u_setting_temperature_k : array (elements,)
        Standard uncertainty of the setting's temperature, shared by what was set on one
        day [K].  ``u_setting_mm`` does not hold it.
    u_expansion_per_c : array (elements,)
        Standard uncertainty of the coefficient, which all elements share [1/degC].
    """

    unit: Rows
    support: Rows
    lever_mm: Floats
    deck_effect: Floats
    expansion_per_c: Floats
    setting_mm: Floats
    setting_temperature_c: Floats
    u_setting_mm: Floats
    setting_time_days: Floats
    can_stick: NDArray[np.bool_]
    u_setting_temperature_k: Floats
    u_expansion_per_c: Floats

    @classmethod
    def of(
        cls,
        unit: ArrayLike,
        support: ArrayLike,
        lever_mm: ArrayLike,
        deck_effect: ArrayLike,
        expansion_per_c: ArrayLike,
        setting_mm: ArrayLike = np.nan,
        setting_temperature_c: ArrayLike = np.nan,
        u_setting_mm: ArrayLike = 2.0,
        setting_time_days: ArrayLike = np.nan,
        can_stick: ArrayLike = True,
        u_setting_temperature_k: ArrayLike = 0.0,
        u_expansion_per_c: ArrayLike = 0.0,
    ) -> Elements:
        """Check and broadcast."""
        expansion = known_or_missing("expansion_per_c", expansion_per_c)
        if (expansion <= 0).any():
            raise InputError(
                "expansion_per_c",
                f"{np.nanmin(expansion):g} is not above zero",
                "Give the coefficient of the material, about 1e-5 per degC.",
            )
        return cls(
            *_together(
                _rows("unit", unit),
                _rows("support", support),
                known_or_missing("lever_mm", lever_mm),
                known_or_missing("deck_effect", deck_effect),
                expansion,
                known_or_missing("setting_mm", setting_mm),
                known_or_missing("setting_temperature_c", setting_temperature_c),
                at_least_zero("u_setting_mm", u_setting_mm),
                known_or_missing("setting_time_days", setting_time_days),
                np.asarray(can_stick, dtype=np.bool_),
                at_least_zero("u_setting_temperature_k", u_setting_temperature_k),
                at_least_zero("u_expansion_per_c", u_expansion_per_c),
            )
        )


@dataclass(frozen=True, slots=True, eq=False)
class Visits:
    """Visits: one effective temperature, whose error all readings of the visit share.

    Two visits of a unit at the same time are one.

    Attributes
    ----------
    unit : array (visits,)
        Row of the unit.
    time_days : array (visits,)
        Date and hour, in days from any origin [days].
    temperature_c, u_temperature_k : array (visits,)
        Effective temperature and its standard uncertainty [degC; K].
    """

    unit: Rows
    time_days: Floats
    temperature_c: Floats
    u_temperature_k: Floats

    @classmethod
    def of(
        cls,
        unit: ArrayLike,
        time_days: ArrayLike,
        temperature_c: ArrayLike,
        u_temperature_k: ArrayLike = 2.5,
    ) -> Visits:
        """Check and broadcast; a visit has a time."""
        time = known_or_missing("time_days", time_days)
        if np.isnan(time).any():
            raise InputError("time_days", "is missing", "Give the date of each visit in days.")
        return cls(
            *_together(
                _rows("unit", unit),
                time,
                known_or_missing("temperature_c", temperature_c),
                at_least_zero("u_temperature_k", u_temperature_k),
            )
        )


@dataclass(frozen=True, slots=True, eq=False)
class Readings:
    """Readings in any order.

    Attributes
    ----------
    element, visit : array (readings,)
        Rows.
    value_mm, u_value_mm : array (readings,)
        The reading and its standard uncertainty [mm].
    known_mm : array (readings,)
        Movement since the setting that is accounted for already: predicted shortening,
        the neighbouring unit's part of a gap [mm].
    u_known_strain : array (readings,)
        Standard uncertainty of the predicted shortening since the setting, which all
        readings of a unit share [-].
    """

    element: Rows
    visit: Rows
    value_mm: Floats
    u_value_mm: Floats
    known_mm: Floats
    u_known_strain: Floats

    @classmethod
    def of(
        cls,
        element: ArrayLike,
        visit: ArrayLike,
        value_mm: ArrayLike,
        u_value_mm: ArrayLike = 1.5,
        known_mm: ArrayLike = 0.0,
        u_known_strain: ArrayLike = 0.0,
    ) -> Readings:
        """Check and broadcast."""
        return cls(
            *_together(
                _rows("element", element),
                _rows("visit", visit),
                known_or_missing("value_mm", value_mm),
                at_least_zero("u_value_mm", u_value_mm),
                known_or_missing("known_mm", known_mm),
                at_least_zero("u_known_strain", u_known_strain),
            )
        )


def check_rows(
    units: Units, supports: Supports, elements: Elements, visits: Visits, readings: Readings
) -> None:
    """Refuse a row that names none, or one of another unit."""
    count = units.fixed_support.size
    _within("fixed_support", units.fixed_support, supports.unit.size, none=True)
    for field, rows in (
        ("supports.unit", supports.unit),
        ("elements.unit", elements.unit),
        ("visits.unit", visits.unit),
    ):
        _within(field, rows, count)
    _within("elements.support", elements.support, supports.unit.size, none=True)
    _within("readings.element", readings.element, elements.unit.size)
    _within("readings.visit", readings.visit, visits.unit.size)
    for field, named, own in (
        ("fixed_support", units.fixed_support, np.arange(count)),
        ("elements.support", elements.support, elements.unit),
    ):
        stands = named >= 0
        if (supports.unit[named[stands]] != own[stands]).any():
            raise InputError(field, "names a support of another unit", "Name one of its own.")
    if (elements.unit[readings.element] != visits.unit[readings.visit]).any():
        raise InputError(
            "readings.visit", "is a visit to another unit than the element's", "Split the visit."
        )


def _within(field: str, rows: Rows, count: int, none: bool = False) -> None:
    lowest = -1 if none else 0
    if rows.size and (rows.min() < lowest or rows.max() >= count):
        raise InputError(
            field,
            f"names row {rows.min() if rows.min() < lowest else rows.max()} of {count}",
            f"Count rows from 0{', and -1 for none' if none else ''}.",
        )


def _rows(field: str, values: ArrayLike) -> Rows:
    array = np.asarray(values)
    if array.size and array.dtype.kind not in "iu":
        raise InputError(field, "is not a whole number", "Give the row it stands in, from 0.")
    return array.astype(np.int64)


def _together(*columns: NDArray[Any]) -> tuple[NDArray[Any], ...]:
    """Broadcast columns to one length."""
    return tuple(np.broadcast_arrays(*(np.atleast_1d(column) for column in columns)))
