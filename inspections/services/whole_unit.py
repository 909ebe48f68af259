"""From a bridge's judged points to the tables of its units, read together."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from inspections.models import AgencySettings
from inspections.models.choices import ReadingQuantity
from inspections.selectors.devices import Stands, stands_now
from inspections.services.device_figures import (
    NAN,
    ChannelKey,
    or_else,
    rolling_radius_mm,
)
from inspections.services.judged import Judged
from inspections.services.points import moments_of
from inspections.services.unit_supports import held_at, supports_of
from inventory.models import Element, Installation, Unit
from inventory.models.choices import ElementKind, GapAxis
from movement.whole_bridge import Elements, Readings, Supports, Units, Visits

MEASURED = (ReadingQuantity.GAP, ReadingQuantity.OFFSET_ALONG, ReadingQuantity.TILT)
"""What tells of a unit's length: millimetres along the movement, a rocker's tilt made so."""


class Place(NamedTuple):
    """What stands as one of a unit's elements; a gap between two units stands in both.

    ``channel`` is the first of those that are read there: all points of a gap.
    """

    unit: int
    channel: int
    side: int


@dataclass(frozen=True, slots=True, eq=False)
class Tables:
    """The five tables, and what their rows stand for.

    Attributes
    ----------
    unit_ids, support_ids : list of int
        Keys of the units and supports of each row.
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
    support_ids: list[int]
    places: list[Place]
    point: np.ndarray
    unit_beyond: np.ndarray

    def without(self, elements: np.ndarray) -> Tables:
        """Return the tables with some elements not read; ``elements`` is (elements,) of bool."""
        dropped = elements[self.readings.element]
        value_mm = np.where(dropped, NAN, self.readings.value_mm)
        return replace(self, readings=replace(self.readings, value_mm=value_mm))

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


def tables_of(
    found: Judged,
    units: Sequence[Unit],
    elements: Sequence[Element],
    agency: AgencySettings,
    stands: Stands = stands_now,
) -> Tables:
    """Return the tables of all units of a bridge.

    Parameters
    ----------
    units, elements
        Of the bridge; elements with their support joined.
    stands
        Whether a device stands at its place: those of another time are not read together.

    Notes
    -----
    The points of a gap are one element, and what a moment reads of them is averaged: a step
    or a moved support shifts them all, and a blunder in one shows in its own history.  The
    backwall of a gap at an abutment belongs to its support; a gap between two
    units stands on none, for both ride on the same pier.  A baseline is no setting here: it
    is one of the readings, and they are compared among themselves.
    """
    unit_row = {unit.pk: row for row, unit in enumerate(units)}
    supports = supports_of(elements, unit_row)
    places, of_channel = _places(found, unit_row, stands)
    visits, readings, point = _read(found, places, of_channel, agency)
    return Tables(
        Units.of(
            np.array([held_at(unit, supports, unit_row) for unit in units], dtype=np.int64),
            [or_else(unit.fixed_station_m, NAN) for unit in units],
            [or_else(unit.u_fixed_station_m, agency.u_fixed_station_m) for unit in units],
        ),
        Supports.of(
            np.array([row for row, _ in supports], dtype=np.int64),
            np.array(list(supports.values()), dtype=float),
        ),
        _elements(found, places, list(supports)),
        visits,
        readings,
        list(unit_row),
        [support_id for _, support_id in supports],
        places,
        point,
        np.array(
            [
                unit_row.get(found.channels.unit_ids[place.channel][1 - place.side], -1)
                for place in places
            ],
            dtype=np.int64,
        ),
    )


def _places(
    found: Judged, unit_row: dict[int, int], stands: Stands
) -> tuple[list[Place], dict[int, list[int]]]:
    """Return the elements, and those that each channel is read for."""
    rows: dict[tuple[object, ...], int] = {}
    places: list[Place] = []
    of_channel: dict[int, list[int]] = {}
    for channel, key in enumerate(found.keys):
        installation = found.installations[key.installation_id]
        if key.quantity not in MEASURED or not stands(installation):
            continue
        for side in (0, 1) if key.quantity == ReadingQuantity.GAP else (0,):
            unit_id = found.channels.unit_ids[channel][side]
            if unit_id is not None:
                row = rows.setdefault((key._replace(point=""), side), len(places))
                if row == len(places):
                    places.append(Place(unit_row[unit_id], channel, side))
                of_channel.setdefault(channel, []).append(row)
    return places, of_channel


def _elements(found: Judged, places: list[Place], supports: list[tuple[int, int]]) -> Elements:
    support_row = {key: row for row, key in enumerate(supports)}
    channel = np.array([place.channel for place in places], dtype=np.int64)
    side = np.array([place.side for place in places], dtype=np.int64)
    keys = [found.keys[each] for each in channel]
    here = [found.installations[key.installation_id] for key in keys]
    scale = mm_per_unit(found, channel)
    sides = found.channels.sides
    per_k = sides.lever[channel] * scale[:, np.newaxis] * sides.expansion_per_c[channel]
    mine, other = np.arange(channel.size), 1 - side
    setting = found.channels.setting
    recorded = found.channels.setting_from[channel] != ""
    u_k = setting.u_temperature_k[channel]
    # Of its own unit's temperature the error is shared; of the one beyond a gap it is not.
    u_setting = np.hypot(setting.u_value[channel] * scale, per_k[mine, other] * u_k)

    def where_recorded(values: np.ndarray) -> np.ndarray:
        return np.where(recorded, values, NAN)

    return Elements.of(
        np.array([place.unit for place in places], dtype=np.int64),
        np.array(
            [
                -1
                if None not in found.channels.unit_ids[place.channel]
                else support_row[place.unit, each.element.support_id]
                for place, each in zip(places, here, strict=True)
            ],
            dtype=np.int64,
        ),
        sides.lever[channel, side] * scale,
        np.array(
            [
                _deck_effect(key, each, place.side)
                for key, each, place in zip(keys, here, places, strict=True)
            ],
            dtype=float,
        ),
        sides.expansion_per_c[channel, side],
        where_recorded(setting.value[channel] * scale),
        where_recorded(setting.temperature_c[channel]),
        where_recorded(u_setting),
        where_recorded(found.channels.set_day[channel]),
        np.array([each.element.kind == ElementKind.BEARING for each in here], dtype=bool),
        where_recorded(u_k),
        sides.u_expansion_per_c[channel, side],
    )


def _deck_effect(key: ChannelKey, installation: Installation, side: int) -> float:
    """Return how a reading changes when the deck moves 1 mm towards increasing station."""
    element = installation.element
    if key.quantity == ReadingQuantity.GAP:
        skewed = key.axis == GapAxis.SQUARE
        cosine = math.cos(math.radians(or_else(element.skew_deg, 0.0))) if skewed else 1.0
        return cosine if side == 1 else -cosine
    return math.cos(math.radians(or_else(element.axis_angle_deg, 0.0)))


def mm_per_unit(found: Judged, channels: np.ndarray) -> np.ndarray:
    """Return millimetres of movement per unit of each channel's reading."""
    return np.array(
        [
            math.radians(rolling_radius_mm(found.installations[key.installation_id]))
            if key.quantity == ReadingQuantity.TILT
            else 1.0
            for key in (found.keys[channel] for channel in channels)
        ],
        dtype=float,
    )


def _read(
    found: Judged,
    places: list[Place],
    of_channel: dict[int, list[int]],
    agency: AgencySettings,
) -> tuple[Visits, Readings, np.ndarray]:
    """Return visits, readings and a point of each visit."""
    moment = moments_of(found.points, agency.temperature_window_h)
    pairs = [
        (element, row)
        for row, point in enumerate(found.points)
        if point.handed_in
        for element in of_channel.get(int(found.of_point[row]), ())
    ]
    element, row = np.array(pairs, dtype=np.int64).reshape(-1, 2).T
    side = np.array([place.side for place in places], dtype=np.int64)[element]
    unit = np.array([place.unit for place in places], dtype=np.int64)[element]
    (visit_unit, _), first, visit = np.unique(
        np.stack([unit, moment[row]]), axis=1, return_index=True, return_inverse=True
    )
    visit = visit.ravel()
    day = np.array([point.day for point in found.points])[row]
    at_c = found.temperature.temperature_c[row, side]
    u_k = found.temperature.u_temperature_k[row, side]
    visit_c = _mean(visit, at_c, first.size)

    scale = mm_per_unit(found, found.of_point[row])
    lever = found.sides.lever[row] * scale[:, np.newaxis]
    per_k = lever * found.sides.expansion_per_c[row]
    mine = np.arange(row.size)
    other = 1 - side
    part, _, _ = found.shortening.part_of(found.sides)
    # The neighbour's part of a gap, by its own temperature and its own error.
    set_c = np.nan_to_num(found.setting.temperature_c[row])
    of_other = per_k[mine, other] * (found.temperature.temperature_c[row, other] - set_c)
    u_other = per_k[mine, other] * found.temperature.u_temperature_k[row, other]
    known = np.nan_to_num(part[row]) * scale + np.where(per_k[mine, other] == 0, 0.0, of_other)
    # One temperature stands for the visit; what a reading's own differs by is known.
    known += per_k[mine, side] * (at_c - visit_c[visit])
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
    return (
        Visits.of(
            visit_unit, _mean(visit, day, first.size), visit_c, _mean(visit, u_k, first.size)
        ),
        Readings.of(element, visit, found.value[row] * scale, u_value, known, u_strain[mine, side]),
        row[first],
    )


def _mean(group: np.ndarray, values: np.ndarray, count: int) -> np.ndarray:
    """Return the mean of the known values of each group; NaN where there is none."""
    there = ~np.isnan(values)
    size = np.bincount(group[there], minlength=count)
    total = np.bincount(group[there], values[there], minlength=count)
    return np.where(size > 0, total / np.maximum(size, 1), NAN)
