"""Effective temperature hour by hour from the heat balance, with its uncertainty."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from enum import IntFlag

import numpy as np
from numpy.typing import ArrayLike, NDArray

from movement.checks import Floats
from movement.errors import InputError
from movement.heat_balance.climate import Exchange, Weather
from movement.heat_balance.doubt import HeatUncertainty, moved
from movement.heat_balance.march import SECONDS_PER_HOUR, Surroundings, march, surroundings
from movement.heat_balance.sections import Cells

TIME_CONSTANTS_TO_FORGET = 4.0
"""After so many time constants 2 % of a wrong start is left."""


class HourNote(IntFlag):
    """What is to be known of one hour's temperature."""

    NONE = 0
    AIR_BRIDGED = 1 << 0
    AIR_MISSING = 1 << 1
    WARMING_UP = 1 << 2
    SUN_NOT_KNOWN = 1 << 3


@dataclass(frozen=True, slots=True, eq=False)
class TemperatureHistory:
    """Effective temperature of each row in each hour, (rows, hours).

    Attributes
    ----------
    temperature_c, u_temperature_k : array
        NaN where air is missing, and until the section has forgotten it.
    notes : array of uint8
        Bits of :class:`HourNote`.
    warm_up_h : array (rows,)
        Hours in which a section forgets a wrong start.
    """

    temperature_c: Floats
    u_temperature_k: Floats
    notes: NDArray[np.uint8]
    warm_up_h: Floats


def effective_temperature(
    cells: Cells,
    air_c: ArrayLike,
    sun_w_per_m2: ArrayLike | None = None,
    wind_m_per_s: ArrayLike | None = None,
    exchange: Exchange | None = None,
    uncertainty: HeatUncertainty | None = None,
    steps_per_hour: int = 1,
    usual_sun_w_per_m2: ArrayLike | None = None,
) -> TemperatureHistory:
    """Way 4 in full: effective temperature from the air, and the sun where recorded.

    Parameters
    ----------
    cells : Cells
        One section, or one for each row of the weather: see :func:`sections.cut`.
    air_c : array_like (hours,) or (rows, hours)
        Shade air temperature at regular hours; NaN where missing [degC].
    sun_w_per_m2, wind_m_per_s : array_like, the same shape, or one row for all
        Global horizontal irradiance [W/m2] and wind [m/s]; NaN or left out: not known.
    exchange : Exchange
        How surfaces exchange heat; the defaults if left out.
    uncertainty : HeatUncertainty
        The defaults if left out.
    steps_per_hour : int
        Steps in each hour, 1 or more.
    usual_sun_w_per_m2 : array_like, as the sun
        What stands where the sun is not recorded: see :func:`sun.usual_sun_w_per_m2`; NaN or
        left out, a mean over day and night does, with more doubt [W/m2].

    Returns
    -------
    TemperatureHistory, arrays (rows, hours)

    Raises
    ------
    InputError
        If sections and rows do not pair, or a value cannot be one of weather.

    Notes
    -----
    One-dimensional transient conduction through the depth; sun, convection and loss to the
    sky at the road; convection and long-wave exchange at sides and underside.  The result
    is the mean weighted by alpha E A.  u^2 adds the change under each input moved by its
    uncertainty: JCGM 100:2008, 5.1.2 and 5.1.3, note 2.
    """
    if steps_per_hour < 1:
        raise InputError("steps_per_hour", f"{steps_per_hour} is below 1", "Take 1 or more.")
    surface, doubt = exchange or Exchange(), uncertainty or HeatUncertainty()
    weather = Weather.of(
        air_c, sun_w_per_m2, wind_m_per_s, surface.longest_bridged_h, usual_sun_w_per_m2
    )
    cells, weather = _paired(cells, weather)
    around = surroundings(weather, surface)
    warm_up = _warm_up_h(cells, around)

    cases = [(cells, around), *moved(cells, around, weather, surface, doubt)]
    rows = weather.air_c.shape[0]
    found = _weighted(
        _side_by_side_cells([each for each, _ in cases]),
        _side_by_side([each for _, each in cases]),
        np.tile(weather.air_c[:, :24].mean(axis=-1), len(cases)),
        steps_per_hour,
    ).reshape(len(cases), rows, -1)
    variance = ((found[1:] - found[0]) ** 2).sum(axis=0) + doubt.air_k**2 + doubt.form_k**2

    notes = _notes(weather, warm_up)
    unusable = (notes & np.uint8(HourNote.AIR_MISSING | HourNote.WARMING_UP)) > 0
    return TemperatureHistory(
        np.where(unusable, np.nan, found[0]),
        np.where(unusable, np.nan, np.sqrt(variance)),
        notes,
        warm_up,
    )


def longest_warm_up_h(cells: Cells) -> Floats:
    """Return the hours after which each section has forgotten its start in any weather.

    No wind and -40 degC, where surfaces exchange least: reckoned for how far back a record
    has to be sought, before its own wind and air are known.
    """
    calm = Exchange(wind_m_per_s=0.0)
    weather = Weather.of(np.full((cells.capacity.shape[1], 1), -40.0))
    return _warm_up_h(cells, surroundings(weather, calm))


def _weighted(cells: Cells, around: Surroundings, start_c: Floats, steps_per_hour: int) -> Floats:
    start = np.broadcast_to(start_c, cells.capacity.shape)
    found = np.empty(around.air_c.shape)
    for hour, temperature in enumerate(march(cells, around, start, steps_per_hour)):
        found[:, hour] = (cells.weight * temperature).sum(axis=0)
    return found


def _paired(cells: Cells, weather: Weather) -> tuple[Cells, Weather]:
    sections, rows = cells.capacity.shape[1], weather.air_c.shape[0]
    if sections == rows:
        return cells, weather
    if sections == 1:
        return cells.of([0] * rows), weather
    if rows == 1:
        stretched = {
            each.name: getattr(weather, each.name).repeat(sections, axis=0)
            for each in fields(weather)
            if getattr(weather, each.name) is not None
        }
        return cells, replace(weather, **stretched)
    raise InputError(
        "cells",
        f"has {sections} sections for {rows} rows of weather",
        "Give one section for each row, one for all, or one row for all.",
    )


def _warm_up_h(cells: Cells, around: Surroundings) -> Floats:
    exchanged = around.road_w_per_m2k.mean(axis=-1) + (cells.sides + cells.soffit).sum(
        axis=0
    ) * around.shaded_w_per_m2k.mean(axis=-1)
    time_constant = cells.capacity.sum(axis=0) / exchanged / SECONDS_PER_HOUR
    return np.asarray(np.ceil(TIME_CONSTANTS_TO_FORGET * time_constant), dtype=np.float64)


def _notes(weather: Weather, warm_up_h: Floats) -> NDArray[np.uint8]:
    hour = np.arange(weather.air_c.shape[-1])
    # The start of the record is as good as a gap: what went before is not known.
    last_gap = np.maximum.accumulate(np.where(weather.missing, hour, -1), axis=-1)
    warming = ~weather.missing & (hour - last_gap <= warm_up_h[:, np.newaxis])
    notes = np.zeros(weather.air_c.shape, dtype=np.uint8)
    for rows, note in (
        (weather.bridged, HourNote.AIR_BRIDGED),
        (weather.missing, HourNote.AIR_MISSING),
        (warming, HourNote.WARMING_UP),
        (~weather.sun_known, HourNote.SUN_NOT_KNOWN),
    ):
        notes |= rows.astype(np.uint8) * np.uint8(int(note))
    return notes


def _side_by_side_cells(parts: list[Cells]) -> Cells:
    return Cells(
        *(
            np.concatenate([getattr(part, each.name) for part in parts], axis=1)
            for each in fields(Cells)
        )
    )


def _side_by_side(parts: list[Surroundings]) -> Surroundings:
    return Surroundings(
        *(
            np.concatenate([getattr(part, each.name) for part in parts], axis=0)
            for each in fields(Surroundings)
        )
    )
