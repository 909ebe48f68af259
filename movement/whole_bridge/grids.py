"""From flat rows to grids: units of like size side by side, elements by visits."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from movement.checks import Floats
from movement.whole_bridge.by_unit import RowsOfUnits, fill, place_in_unit, set_together
from movement.whole_bridge.readings import Elements, Readings, Rows, Supports, Units, Visits

LEAST_U_MM = 0.05
"""Smallest uncertainty of a reading: none is exact (judgement, no source)."""
LEAST_U_K = 0.05
"""The same of a temperature."""
FREE_SETTING_MM = 300.0
"""Standard uncertainty of a setting of which there is no record."""
_CELLS = 60_000
"""Cells of a batch with the square of the visits counted: what fits the cache."""


@dataclass(frozen=True, slots=True, eq=False)
class Local:
    """Place of every row within its unit, and the rows that are used.

    ``visit`` gives to visits at one time one place; ``usable`` is of the readings.
    """

    support: Rows
    element: Rows
    visit: Rows
    n_supports: Rows
    n_elements: Rows
    n_visits: Rows
    usable: NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class Grid:
    """A batch of units as arrays (units, elements, visits), filled up with weight 0.

    Attributes
    ----------
    unit : array (b,)
        Row of each unit.
    elements, visits, supports : array (b, e), (b, v), (b, s)
        Rows they came from; -1 where filled up.
    residual, weight : array (b, e, v)
        Reading minus expectation [mm]; one over its variance, 0 where there is none.
    per_k : array (b, e)
        Movement per kelvin, lever times alpha [mm/K].
    rise_k : array (b, e, v)
        Temperature above the setting's [K].
    moved_mm : array (b, e, v)
        What a free bearing shows since the setting: per_k rise_k, and a cause that is
        taken into the model.
    setting_variance : array (b, e)
        [mm^2]
    setting_known, can_stick : array (b, e) of bool
    lever_mm, deck_effect, expansion_per_c : array (b, e)
    temperature_c, u_temperature_k, time_days : array (b, v)
    at_support : array (b, s, e)
        1 where the element stands on the support.
    station_from_fixed_m : array (b, s)
        NaN where filled up or not known.
    is_fixed : array (b, s) of bool
        The support at which the deck is held.
    set_days : array (b,)
        Date from which shortening counts.
    set_with : array (b, e)
        Number of those set on one day, whose temperature is in error together; -1: none.
    u_set_k, u_expansion_per_c : array (b, e)
    u_known_strain : array (b, e, v)
    u_fixed_m : array (b,)
        Standard uncertainties that elements share: see :mod:`movement.whole_bridge.shared`.
    """

    unit: Rows
    elements: Rows
    visits: Rows
    supports: Rows
    residual: Floats
    weight: Floats
    per_k: Floats
    rise_k: Floats
    moved_mm: Floats
    setting_variance: Floats
    setting_known: NDArray[np.bool_]
    can_stick: NDArray[np.bool_]
    lever_mm: Floats
    deck_effect: Floats
    expansion_per_c: Floats
    temperature_c: Floats
    u_temperature_k: Floats
    time_days: Floats
    at_support: Floats
    station_from_fixed_m: Floats
    is_fixed: NDArray[np.bool_]
    set_days: Floats
    set_with: Rows
    u_set_k: Floats
    u_expansion_per_c: Floats
    u_known_strain: Floats
    u_fixed_m: Floats


def part(grid: Grid, at: Rows) -> Grid:
    """Return some units of a batch."""
    return Grid(**{each.name: getattr(grid, each.name)[at] for each in fields(grid)})


def locate(
    units: Units, supports: Supports, elements: Elements, visits: Visits, readings: Readings
) -> Local:
    """Number the rows within their unit: visits by time, the others as they come."""
    count = units.fixed_support.size
    support, n_supports = place_in_unit(
        supports.unit, np.arange(supports.unit.size, dtype=float), count
    )
    element, n_elements = place_in_unit(
        elements.unit, np.arange(elements.unit.size, dtype=float), count
    )
    visit, n_visits = place_in_unit(visits.unit, visits.time_days, count)
    e, v = readings.element, readings.visit
    usable = ~np.isnan(
        readings.value_mm
        + readings.u_value_mm
        + readings.known_mm
        + visits.temperature_c[v]
        + visits.u_temperature_k[v]
        + (elements.lever_mm * elements.expansion_per_c)[e]
        + elements.deck_effect[e]
    )
    return Local(support, element, visit, n_supports, n_elements, n_visits, usable)


def batches(local: Local) -> Iterator[Rows]:
    """Yield rows of units of like size, few enough to stay in the cache."""
    worth = np.flatnonzero((local.n_visits > 0) & (local.n_elements > 0))
    order = worth[
        np.lexsort((local.n_elements[worth], local.n_supports[worth] // 3, local.n_visits[worth]))
    ]
    start = 0
    while start < order.size:
        first = order[start]
        v, e = int(local.n_visits[first]), int(local.n_elements[first])
        end = start + max(1, _CELLS // (e * v * v))
        rows = order[start:end]
        # a batch is of one number of visits
        rows = rows[local.n_visits[rows] == v]
        yield rows
        start += rows.size


class GridMaker:
    """Cuts the tables into grids; keeps what is the same for every batch."""

    def __init__(
        self,
        units: Units,
        supports: Supports,
        elements: Elements,
        visits: Visits,
        readings: Readings,
        local: Local,
    ) -> None:
        self._units, self._supports = units, supports
        self._elements, self._visits, self._readings = elements, visits, readings
        self._local = local
        self._of_unit = [
            RowsOfUnits(table, units.fixed_support.size)
            for table in (
                supports.unit,
                elements.unit,
                visits.unit,
                np.where(local.usable, elements.unit[readings.element], -1),
            )
        ]

    def grid(self, rows: Rows) -> Grid:
        """Return the grid of some units."""
        b = rows.size
        local, elements, visits = self._local, self._elements, self._visits
        in_support, in_element, in_visit, in_reading = (each.of(rows) for each in self._of_unit)
        n_s = max(int(local.n_supports[rows].max()), 1)
        n_e, n_v = int(local.n_elements[rows].max()), int(local.n_visits[rows].max())
        (s_at, s), (e_at, e), (v_at, v), (r_at, r) = in_support, in_element, in_visit, in_reading
        support_rows = fill((b, n_s), (s_at, local.support[s]), s, -1)
        element_rows = fill((b, n_e), (e_at, local.element[e]), e, -1)
        visit_rows = fill((b, n_v), (v_at, local.visit[v]), v, -1)

        def of_element(values: Floats, empty: float = 0.0) -> Floats:
            return np.where(element_rows >= 0, values[element_rows], empty)

        per_k = np.nan_to_num(of_element(elements.lever_mm * elements.expansion_per_c))
        temperature = np.where(visit_rows >= 0, visits.temperature_c[visit_rows], np.nan)
        taken = ~np.isnan(temperature)
        middle = np.where(taken, temperature, 0.0).sum(-1) / np.maximum(taken.sum(-1), 1)
        temperature = np.where(taken, temperature, middle[:, None])
        u_k = np.nan_to_num(np.where(visit_rows >= 0, visits.u_temperature_k[visit_rows], 0))
        setting = of_element(elements.setting_mm)
        set_c = of_element(elements.setting_temperature_c)
        u_set = of_element(elements.u_setting_mm)
        u_set_k = of_element(elements.u_setting_temperature_k)
        known = (element_rows >= 0) & ~np.isnan(setting + set_c + u_set + u_set_k)
        rise = temperature[:, None, :] - np.where(known, set_c, middle[:, None])[..., None]

        cell = np.ravel_multi_index(
            (r_at, local.element[self._readings.element[r]], local.visit[self._readings.visit[r]]),
            (b, n_e, n_v),
        )
        own = 1.0 / np.maximum(self._readings.u_value_mm[r], LEAST_U_MM) ** 2
        value = self._readings.value_mm[r] - self._readings.known_mm[r]
        size = b * n_e * n_v
        weight = np.bincount(cell, own, size).reshape(b, n_e, n_v).astype(np.float64)
        mean = np.bincount(cell, own * value, size).reshape(b, n_e, n_v).astype(np.float64)
        mean = mean / np.where(weight > 0, weight, 1.0)
        u_strain = own * np.nan_to_num(self._readings.u_known_strain[r])
        u_strain = np.bincount(cell, u_strain, size).reshape(b, n_e, n_v).astype(np.float64)
        residual = mean - per_k[..., None] * rise
        # Where no setting is known the level is free: count from the mean.
        level = (weight * residual).sum(-1) / np.maximum(weight.sum(-1), 1e-300)
        residual -= np.where(known, setting, level)[..., None]
        residual = np.where(weight > 0, residual, 0.0)

        stands = elements.support[e] >= 0
        at_support = np.zeros((b, n_s, n_e))
        at_support[
            e_at[stands], local.support[elements.support[e[stands]]], local.element[e[stands]]
        ] = 1.0
        station = np.append(self._supports.station_m, np.nan)[support_rows]
        fixed = self._units.fixed_support[rows][:, None]
        set_days = np.where(known, of_element(elements.setting_time_days, np.nan), np.nan)
        u_set_k = np.where(known, u_set_k, 0.0)
        set_with = set_together(set_days, known & (u_set_k > 0))
        own_k = np.where(set_with < 0, u_set_k, 0.0)
        first_days = visits.time_days[visit_rows[:, 0]]
        has_date = (~np.isnan(set_days)).any(axis=-1)
        latest = np.where(np.isnan(set_days), -np.inf, set_days).max(axis=-1)
        return Grid(
            unit=rows,
            elements=element_rows,
            visits=visit_rows,
            supports=support_rows,
            residual=residual,
            weight=weight,
            per_k=per_k,
            rise_k=rise,
            moved_mm=per_k[..., None] * rise,
            setting_variance=np.where(known, u_set, FREE_SETTING_MM) ** 2 + (per_k * own_k) ** 2,
            setting_known=known,
            can_stick=elements.can_stick[element_rows] & (element_rows >= 0),
            lever_mm=np.nan_to_num(of_element(elements.lever_mm)),
            deck_effect=np.nan_to_num(of_element(elements.deck_effect)),
            expansion_per_c=np.nan_to_num(of_element(elements.expansion_per_c)),
            temperature_c=temperature,
            u_temperature_k=np.maximum(u_k, LEAST_U_K),
            time_days=np.where(visit_rows >= 0, visits.time_days[visit_rows], 0.0),
            at_support=at_support,
            station_from_fixed_m=station - self._units.fixed_station_m[rows][:, None],
            is_fixed=(support_rows == fixed) & (support_rows >= 0),
            set_days=np.where(has_date, np.minimum(latest, first_days), first_days),
            set_with=set_with,
            u_set_k=u_set_k,
            u_expansion_per_c=np.nan_to_num(of_element(elements.u_expansion_per_c)),
            u_known_strain=u_strain / np.where(weight > 0, weight, 1.0),
            u_fixed_m=np.nan_to_num(self._units.u_fixed_station_m[rows]),
        )
