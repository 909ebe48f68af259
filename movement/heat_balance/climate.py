"""Air, sun and wind hour by hour, and what a surface exchanges with them."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import ArrayLike, NDArray

from movement.checks import Floats, at_least_zero, finite, known_or_missing
from movement.errors import InputError

STEFAN_BOLTZMANN = 5.670374e-8  # W/m2K4, CODATA
ZERO_CELSIUS_K = 273.15
HOTTEST_AIR_C, COLDEST_AIR_C = 60.0, -90.0  # beyond what was ever recorded on earth
NOT_SHARES = ("mean_sun_w_per_m2", "wind_m_per_s", "longest_bridged_h")
STRONGEST_SUN_W_PER_M2 = 1600.0  # above the solar constant, with reflection from clouds


@dataclass(frozen=True, slots=True)
class Exchange:
    """How surfaces of a bridge exchange heat.  Judgement, no source: agency settings.

    The defaults were chosen within what is usual for such surfaces, and held against
    EN 1991-1-5 Figure 6.1 over a typical year of one station; another was kept apart.

    Attributes
    ----------
    absorptivity : float
        Share of the sun that the road takes up [-].
    reflected_share : float
        Sun on shaded faces, from ground and sky, as a share of that on the road [-].
    emissivity : float
    clear_share : float
        Share of the long-wave loss to a clear sky that the mean sky causes [-].
    mean_sun_w_per_m2 : float
        Global horizontal irradiance over day and night, for hours whose sun is neither
        recorded nor told by the place: about 100 at 60 degrees of latitude, 220 in a
        desert [W/m2].
    wind_m_per_s : float
        Taken where no wind is recorded [m/s].
    sheltered_share : float
        Wind on sides and underside as a share of that on the road [-].
    longest_bridged_h : int
        Longest gap of a record that a straight line may bridge [h].
    """

    absorptivity: float = 0.90
    reflected_share: float = 0.10
    emissivity: float = 0.90
    clear_share: float = 0.80
    mean_sun_w_per_m2: float = 150.0
    wind_m_per_s: float = 2.0
    sheltered_share: float = 0.3
    longest_bridged_h: int = 3

    def __post_init__(self) -> None:
        for each in fields(self):
            value = finite(each.name, at_least_zero(each.name, getattr(self, each.name)))
            if each.name not in NOT_SHARES and value > 1:
                raise InputError(each.name, f"{value:g} is above 1", "Give a share, 0 to 1.")


@dataclass(frozen=True, slots=True, eq=False)
class Weather:
    """Regular hours of each row, (rows, hours).

    Attributes
    ----------
    air_c : array
        Shade air temperature without holes [degC].
    sun_w_per_m2 : array
        Global horizontal irradiance; 0 where not known [W/m2].
    wind_m_per_s : array or None
        NaN where not known.
    usual_sun_w_per_m2 : array
        What stands for sun that is not known; NaN where the place does not tell it [W/m2].
    bridged, missing, sun_known : array of bool
        Air bridged by a straight line; air missing for longer (the line stands there but
        means nothing); whether the sun is known.
    """

    air_c: Floats
    sun_w_per_m2: Floats
    wind_m_per_s: Floats | None
    usual_sun_w_per_m2: Floats
    bridged: NDArray[np.bool_]
    missing: NDArray[np.bool_]
    sun_known: NDArray[np.bool_]

    @classmethod
    def of(
        cls,
        air_c: ArrayLike,
        sun_w_per_m2: ArrayLike | None = None,
        wind_m_per_s: ArrayLike | None = None,
        longest_bridged_h: int = 3,
        usual_sun_w_per_m2: ArrayLike | None = None,
    ) -> Weather:
        """Check regular hourly values, (hours,) or (rows, hours), and fill their holes.

        Raises
        ------
        InputError
            If a value cannot be one of weather on earth, or a row has no air temperature.
        """
        air = np.atleast_2d(known_or_missing("air_c", air_c))
        _within("air_c", air, COLDEST_AIR_C, HOTTEST_AIR_C, "degC")
        if np.isnan(air).all(axis=-1).any():
            raise InputError("air_c", "has a row without a value", "Leave that row out.")
        sun = _sun("sun_w_per_m2", sun_w_per_m2, air)
        usual = _sun("usual_sun_w_per_m2", usual_sun_w_per_m2, air)
        wind = None if wind_m_per_s is None else _paired("wind_m_per_s", wind_m_per_s, air)
        if wind is not None:
            _within("wind_m_per_s", wind, 0.0, 120.0, "m/s")
        hole = length_of_hole(np.isnan(air))
        sun_hole = length_of_hole(np.isnan(sun))
        sun_known = sun_hole <= longest_bridged_h
        return cls(
            _bridge(air),
            np.where(sun_known, _bridge(sun), 0.0),
            wind,
            usual,
            (hole > 0) & (hole <= longest_bridged_h),
            hole > longest_bridged_h,
            sun_known,
        )


def on_regular_hours(record_h: ArrayLike, values: ArrayLike, first_h: float, hours: int) -> Floats:
    """Put records of any order and spacing on regular hours; NaN where there is none.

    Parameters
    ----------
    record_h, values : array_like (m,)
        Hours since any epoch and the value then; blanks (NaN) are passed over.
    first_h : float
        Hour of the first value wanted.
    hours : int
        Number of values wanted.

    Returns
    -------
    numpy.ndarray (hours,)
        Mean of the records within half an hour of each.
    """
    at, value = finite("record_h", record_h), known_or_missing("values", values)
    if at.shape != value.shape or at.ndim != 1:
        raise InputError("values", "does not pair with record_h", "Give one value an hour.")
    if hours < 1:
        raise InputError("hours", f"{hours} is below 1", "Ask for at least one hour.")
    slot = np.floor(at - first_h + 0.5).astype(np.intp)
    good = ~np.isnan(value) & (slot >= 0) & (slot < hours)
    count = np.bincount(slot[good], minlength=hours)
    total = np.bincount(slot[good], weights=value[good], minlength=hours)
    return np.where(count > 0, total / np.maximum(count, 1), np.nan)


def convection_w_per_m2k(wind_m_per_s: Floats) -> Floats:
    """Convection at a surface, h = 4 + 4 v [W/m2K].

    Source: EN ISO 6946, external surfaces; from memory.
    """
    return 4.0 + 4.0 * wind_m_per_s


def long_wave_w_per_m2k(air_c: Floats, emissivity: float) -> Floats:
    """Long-wave exchange with surroundings at air temperature, 4 e s T^3 [W/m2K]."""
    return np.asarray(
        4.0 * emissivity * STEFAN_BOLTZMANN * (air_c + ZERO_CELSIUS_K) ** 3, dtype=np.float64
    )


def sky_loss_w_per_m2(air_c: Floats, exchange: Exchange) -> Floats:
    """Loss of a level surface to a sky colder than the air [W/m2].

    Notes
    -----
    A clear sky radiates as a body at 0.0552 T^1.5.  Source: Swinbank (1963), from memory.
    """
    air_k = air_c + ZERO_CELSIUS_K
    sky_k = 0.0552 * air_k**1.5
    clear = exchange.emissivity * STEFAN_BOLTZMANN * (air_k**4 - sky_k**4)
    return np.asarray(exchange.clear_share * np.maximum(clear, 0.0), dtype=np.float64)


def length_of_hole(unknown: NDArray[np.bool_]) -> NDArray[np.intp]:
    """Return, for each hour, the length of the run of unknown hours around it; 0 if known.

    A run at either end of the record has nothing to lean on, and counts as its whole length.
    """
    hours = unknown.shape[-1]
    hour = np.broadcast_to(np.arange(hours), unknown.shape)
    last_known = np.maximum.accumulate(np.where(unknown, -1, hour), axis=-1)
    backwards = np.where(unknown, hours, hour)[:, ::-1]
    next_known = np.minimum.accumulate(backwards, axis=-1)[:, ::-1]
    open_ended = (last_known < 0) | (next_known == hours)
    length = np.where(open_ended, np.iinfo(np.intp).max, next_known - last_known - 1)
    return np.where(unknown, length, 0)


def _sun(field: str, values: ArrayLike | None, air: Floats) -> Floats:
    sun = np.full(air.shape, np.nan) if values is None else _paired(field, values, air)
    _within(field, sun, 0.0, STRONGEST_SUN_W_PER_M2, "W/m2")
    return sun


def _paired(field: str, values: ArrayLike, air: Floats) -> Floats:
    array = np.atleast_2d(known_or_missing(field, values))
    if array.shape[-1] != air.shape[-1] or array.shape[0] not in (1, air.shape[0]):
        raise InputError(
            field, f"has the shape {array.shape}, the air {air.shape}", "Give one value an hour."
        )
    return np.broadcast_to(array, air.shape)


def _within(field: str, values: Floats, low: float, high: float, unit: str) -> None:
    wrong = (values < low) | (values > high)
    if wrong.any():
        raise InputError(
            field,
            f"{values[wrong][0]:g} {unit} is outside {low:g} to {high:g} {unit}",
            "Check value and unit of the record; leave out what is wrong.",
        )


def _bridge(values: Floats) -> Floats:
    filled = values.copy()
    hours = np.arange(values.shape[-1])
    for row in np.flatnonzero(np.isnan(values).any(axis=-1)):
        known = ~np.isnan(values[row])
        if known.any():
            filled[row] = np.interp(hours, hours[known], values[row, known])
    return filled
