"""Implicit steps of the heat balance, all sections at once."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from movement.checks import Floats
from movement.heat_balance.climate import (
    Exchange,
    Weather,
    convection_w_per_m2k,
    long_wave_w_per_m2k,
    sky_loss_w_per_m2,
)
from movement.heat_balance.sections import Cells

SECONDS_PER_HOUR = 3600.0
STAGE = 1.0 - np.sqrt(0.5)


@dataclass(frozen=True, slots=True, eq=False)
class Tridiagonal:
    """Symmetric tridiagonal systems, one in each column, ready for any right-hand side.

    Attributes
    ----------
    off : array (cells, systems)
        Element that joins a cell to the next one down; the last row is not used.
    pivot, ratio : array (cells, systems)
        What the elimination leaves on the diagonal, and off over pivot.
    """

    off: Floats
    pivot: Floats
    ratio: Floats

    @classmethod
    def of(cls, diagonal: Floats, off: Floats) -> Tridiagonal:
        """Eliminate downwards (Thomas): stable here, as the diagonal dominates."""
        pivot, ratio = diagonal.copy(), np.zeros_like(diagonal)
        for cell in range(1, diagonal.shape[0]):
            ratio[cell - 1] = off[cell - 1] / pivot[cell - 1]
            pivot[cell] -= off[cell - 1] * ratio[cell - 1]
        return cls(off, pivot, ratio)

    def solve(self, right: Floats) -> Floats:
        """Return the unknowns of each column."""
        value = right.copy()
        last = value.shape[0] - 1
        for cell in range(1, last + 1):
            value[cell] -= self.ratio[cell - 1] * value[cell - 1]
        value[last] /= self.pivot[last]
        for cell in range(last - 1, -1, -1):
            value[cell] /= self.pivot[cell]
            value[cell] -= self.ratio[cell] * value[cell + 1]
        return value


@dataclass(frozen=True, slots=True, eq=False)
class Surroundings:
    """What the cells exchange with, (rows, hours) or (rows, 1) where it does not change.

    Attributes
    ----------
    air_c : array
    road_w_per_m2, shaded_w_per_m2 : array
        Heat taken up, less that lost to the sky, by the road and by other faces.
    road_w_per_m2k, shaded_w_per_m2k : array
        Convection and long-wave exchange with surroundings at air temperature.
    """

    air_c: Floats
    road_w_per_m2: Floats
    shaded_w_per_m2: Floats
    road_w_per_m2k: Floats
    shaded_w_per_m2k: Floats


def surroundings(weather: Weather, exchange: Exchange) -> Surroundings:
    """Return what the faces exchange in each hour.

    Where the sun is not known the usual one of place and season stands for it, and where that
    is not known either a mean over day and night; what that costs is in the uncertainty.
    """
    air = weather.air_c
    calm = exchange.wind_m_per_s
    if weather.wind_m_per_s is None:
        wind = np.full((air.shape[0], 1), calm)
    else:
        wind = np.where(np.isnan(weather.wind_m_per_s), calm, weather.wind_m_per_s)
    # Taken at the mean of each row, so that the systems stay the same from hour to hour.
    radiation = long_wave_w_per_m2k(air.mean(axis=-1, keepdims=True), exchange.emissivity)
    usual = weather.usual_sun_w_per_m2
    stands_in = np.where(np.isnan(usual), exchange.mean_sun_w_per_m2, usual)
    sun = exchange.absorptivity * np.where(weather.sun_known, weather.sun_w_per_m2, stands_in)
    return Surroundings(
        air,
        sun - sky_loss_w_per_m2(air, exchange),
        exchange.reflected_share * sun,
        convection_w_per_m2k(wind) + radiation,
        convection_w_per_m2k(exchange.sheltered_share * wind) + radiation,
    )


def march(
    cells: Cells, around: Surroundings, start_c: Floats, steps_per_hour: int = 1
) -> Iterator[Floats]:
    """Yield the temperature of every cell at each hour, (cells, rows).

    Parameters
    ----------
    cells : Cells
        One column for each row of the surroundings.
    around : Surroundings
    start_c : array (cells, rows)
        Temperatures at the first hour, yielded first [degC].
    steps_per_hour : int

    Notes
    -----
    C T' = -K T + K_air T_air + q, K from conduction between cells and exchange with the air,
    through half the cell behind a face.  Two implicit stages of the same matrix a step, second
    order and L-stable: Alexander, SIAM J. Numer. Anal. 14 (1977), from memory.  Air and sun
    run straight from hour to hour.
    """
    there = cells.capacity > 0
    stage_s = STAGE * SECONDS_PER_HOUR / steps_per_hour
    inertia = np.where(there, cells.capacity, 1.0) / stage_s
    conducted = cells.coupling.copy()
    conducted[1:] += cells.coupling[:-1]
    steady = around.road_w_per_m2k.shape[-1] == 1
    system, faces = None, None
    temperature = start_c
    yield temperature
    for hour in range(1, around.air_c.shape[-1]):
        if system is None or faces is None or not steady:
            faces = _Faces.of(cells, around, 0 if steady else hour)
            system = Tridiagonal.of(inertia + conducted + faces.exchanged, -cells.coupling)
        for step in range(steps_per_hour):
            first = faces.heat(around, hour, (step + STAGE) / steps_per_hour)
            between = system.solve(inertia * temperature + first)
            carried = temperature + (1.0 - STAGE) / STAGE * (between - temperature)
            second = faces.heat(around, hour, (step + 1) / steps_per_hour)
            temperature = system.solve(inertia * carried + second)
        yield temperature


@dataclass(frozen=True, slots=True, eq=False)
class _Faces:
    """Exchange of each cell with the air, (cells, rows), and how its faces take up heat."""

    exchanged: Floats
    road: Floats
    shaded: Floats

    @classmethod
    def of(cls, cells: Cells, around: Surroundings, hour: int) -> _Faces:
        road_h, shaded_h = around.road_w_per_m2k[:, hour], around.shaded_w_per_m2k[:, hour]
        road = 1.0 / (1.0 + road_h * cells.half[0])
        shaded = cells.sides + cells.soffit / (1.0 + shaded_h * cells.half)
        exchanged = shaded * shaded_h
        exchanged[0] += road * road_h
        return cls(exchanged, road, shaded)

    def heat(self, around: Surroundings, hour: int, share: float) -> Floats:
        """Return what comes from air and sun at a share of the way to an hour."""
        air, road, shaded = (
            (1.0 - share) * each[:, hour - 1] + share * each[:, hour]
            for each in (around.air_c, around.road_w_per_m2, around.shaded_w_per_m2)
        )
        found = self.exchanged * air + self.shaded * shaded
        found[0] += self.road * road
        return np.asarray(found, dtype=np.float64)
