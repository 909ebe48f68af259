"""From judged points to the tables of units, of one bridge or many, at one hour or many."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from inspections.models import AgencySettings
from inspections.services.device_figures import NAN
from inspections.services.judged import Judged
from inspections.services.unit_places import Place, Places, Site, places_of
from inspections.services.unit_tables import Tables
from movement.whole_bridge import Elements, Readings, Supports, Units, Visits


class View(NamedTuple):
    """A bridge as it was known at an hour.

    Attributes
    ----------
    site : Site
        One and the same of all views of a bridge.
    rows : array of int
        Points that handed-in visits had read by then.
    devices : frozenset
        Keys of the devices that stood then: those of another time are not read together.
    """

    site: Site
    rows: np.ndarray
    devices: frozenset[object]


def tables_of(found: Judged, views: Sequence[View], agency: AgencySettings) -> Tables:
    """Return the tables of all units of some views, each view with rows of its own.

    Notes
    -----
    The points of a gap are one element, and what a moment reads of them is averaged: a step
    or a moved support shifts them all, and a blunder in one shows in its own history.  The
    backwall of a gap at an abutment belongs to its support; a gap between two
    units stands on none, for both ride on the same pier.  A baseline is no setting here: it
    is one of the readings, and they are compared among themselves.
    """
    sites = list(dict.fromkeys(view.site for view in views))
    places = places_of(found, sites)
    readable = _Readable.of(found, places)
    stack = _stacked(places, readable, sites, views)
    visits, readings, point = _read(found, readable, stack)
    first_unit = np.array(stack.first_unit, dtype=np.int64)
    first_support = np.array(stack.first_support, dtype=np.int64)
    fixed = [each.site.fixed_points(agency) for each in views]
    keys = [key for view in views for key in view.site.supports]
    of_view, at = stack.of_view, stack.place
    unit = places.unit[at] + first_unit[of_view]
    return Tables(
        Units.of(
            _moved([view.site.held for view in views], first_support),
            np.concatenate(fixed)[:, 0],
            np.concatenate(fixed)[:, 1],
        ),
        Supports.of(
            _moved(
                [
                    np.array([row for row, _ in view.site.supports], dtype=np.int64)
                    for view in views
                ],
                first_unit,
            ),
            np.array([m for view in views for m in view.site.supports.values()], dtype=float),
        ),
        Elements.of(
            unit,
            np.where(places.support[at] < 0, -1, places.support[at] + first_support[of_view]),
            **{name: values[at] for name, values in places.figures.items()},
        ),
        visits,
        readings,
        [unit_id for view in views for unit_id in view.site.unit_row],
        stack.first_unit,
        [support_id for _, support_id in keys],
        [
            Place(*each)
            for each in zip(
                unit.tolist(), places.channel[at].tolist(), places.side[at].tolist(), strict=True
            )
        ],
        point,
        np.where(places.beyond[at] < 0, -1, places.beyond[at] + first_unit[of_view]),
    )


def _moved(rows: Sequence[np.ndarray], first: np.ndarray) -> np.ndarray:
    """Return rows of the views one after another, counted on from the first of each."""
    counts = [each.size for each in rows]
    flat = np.concatenate(rows)
    return np.where(flat < 0, -1, flat + np.repeat(first, counts))


@dataclass(frozen=True, slots=True, eq=False)
class _Readable:
    """What the places read, arrays (pairs,): a place and a point that was read there.

    A point of a gap between two units is read for both.  ``known_mm`` is without what a
    reading's own temperature differs by from the one that stands for its visit.
    """

    place: np.ndarray
    row: np.ndarray
    at_c: np.ndarray
    u_k: np.ndarray
    per_k: np.ndarray
    value_mm: np.ndarray
    u_value_mm: np.ndarray
    known_mm: np.ndarray
    u_strain: np.ndarray

    @classmethod
    def of(cls, found: Judged, places: Places) -> _Readable:
        rows = np.flatnonzero(found.handed_in)
        both = places.of_channel[found.of_point[rows]]
        there = both >= 0
        place, row = both[there], np.repeat(rows, there.sum(axis=1))
        side = places.side[place]
        at_c = found.temperature.temperature_c[row, side]
        scale = places.mm_per_unit[found.of_point[row]]
        lever = found.sides.lever[row] * scale[:, np.newaxis]
        per_k = lever * found.sides.expansion_per_c[row]
        mine, other = np.arange(row.size), 1 - side
        part, _, _ = found.shortening.part_of(found.sides)
        # The neighbour's part of a gap, by its own temperature and its own error.
        set_c = np.nan_to_num(found.setting.temperature_c[row])
        of_other = per_k[mine, other] * (found.temperature.temperature_c[row, other] - set_c)
        u_other = per_k[mine, other] * found.temperature.u_temperature_k[row, other]
        known = np.nan_to_num(part[row]) * scale + np.where(per_k[mine, other] == 0, 0.0, of_other)
        # What is not certain of the neighbour is taken as an error of each reading.
        u_strain = found.shortening.u_strain[row]
        of_neighbour = (
            np.where(per_k[mine, other] == 0, 0.0, u_other),
            lever[mine, other] * u_strain[mine, other],
            lever[mine, other]
            * found.sides.u_expansion_per_c[row, other]
            * (found.temperature.temperature_c[row, other] - set_c),
        )
        u_value = found.u_value[row] * scale
        for each in of_neighbour:
            u_value = np.hypot(u_value, np.nan_to_num(each))
        return cls(
            place,
            row,
            at_c,
            found.temperature.u_temperature_k[row, side],
            per_k[mine, side],
            found.value[row] * scale,
            u_value,
            known,
            u_strain[mine, side],
        )


@dataclass(frozen=True, slots=True, eq=False)
class _Stack:
    """Which places and pairs each view has, one view after the other.

    Attributes
    ----------
    first_unit, first_support : list of int
        First row of each view.
    place, of_view : array (elements,)
    pair, element, unit : array (readings,)
        Row of the pair, and what it reads in the tables.
    """

    first_unit: list[int]
    first_support: list[int]
    place: np.ndarray
    of_view: np.ndarray
    pair: np.ndarray
    element: np.ndarray
    unit: np.ndarray


def _stacked(
    places: Places, readable: _Readable, sites: Sequence[Site], views: Sequence[View]
) -> _Stack:
    site_row = {site: row for row, site in enumerate(sites)}
    pair_site = places.site[readable.place]
    here = [np.flatnonzero(places.site == row) for row in range(len(sites))]
    pairs_here = [np.flatnonzero(pair_site == row) for row in range(len(sites))]
    first_unit, first_support = [], []
    units = supports = elements = 0
    chosen, pairs, rows, of_units = [], [], [], []
    known = np.zeros(readable.row.max(initial=-1) + 1, dtype=bool)
    number = np.full(places.site.size, -1, dtype=np.int64)
    for view in views:
        site = site_row[view.site]
        standing = [places.device[at] in view.devices for at in here[site].tolist()]
        at = here[site][np.array(standing, dtype=bool)]
        number[here[site]] = -1
        number[at] = elements + np.arange(at.size)
        known[:] = False
        known[view.rows[view.rows < known.size]] = True
        pair = pairs_here[site]
        pair = pair[known[readable.row[pair]] & (number[readable.place[pair]] >= 0)]
        chosen.append(at)
        pairs.append(pair)
        rows.append(number[readable.place[pair]])
        of_units.append(places.unit[readable.place[pair]] + units)
        first_unit.append(units)
        first_support.append(supports)
        units += len(view.site.units)
        supports += len(view.site.supports)
        elements += at.size
    return _Stack(
        first_unit,
        first_support,
        np.concatenate(chosen),
        np.repeat(np.arange(len(views)), [each.size for each in chosen]),
        np.concatenate(pairs),
        np.concatenate(rows),
        np.concatenate(of_units),
    )


def _read(found: Judged, readable: _Readable, stack: _Stack) -> tuple[Visits, Readings, np.ndarray]:
    """Return visits, readings and a point of each visit."""
    pair = stack.pair
    row = readable.row[pair]
    moments = found.moment.max(initial=0) + 1
    together, first, visit = np.unique(
        stack.unit * moments + found.moment[row], return_index=True, return_inverse=True
    )
    at_c = readable.at_c[pair]
    visit_c = _mean(visit, at_c, first.size)
    # One temperature stands for the visit; what a reading's own differs by is known.
    known = readable.known_mm[pair] + readable.per_k[pair] * (at_c - visit_c[visit])
    return (
        Visits.of(
            together // moments,
            _mean(visit, found.day[row], first.size),
            visit_c,
            _mean(visit, readable.u_k[pair], first.size),
        ),
        Readings.of(
            stack.element,
            visit,
            readable.value_mm[pair],
            readable.u_value_mm[pair],
            known,
            readable.u_strain[pair],
        ),
        row[first],
    )


def _mean(group: np.ndarray, values: np.ndarray, count: int) -> np.ndarray:
    """Return the mean of the known values of each group; NaN where there is none."""
    there = ~np.isnan(values)
    size = np.bincount(group[there], minlength=count)
    total = np.bincount(group[there], values[there], minlength=count)
    return np.where(size > 0, total / np.maximum(size, 1), NAN)
