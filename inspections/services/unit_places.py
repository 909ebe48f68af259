"""The places at which something tells of the length of a bridge's units."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np

from inspections.models import AgencySettings
from inspections.models.choices import ReadingQuantity
from inspections.services.device_figures import (
    NAN,
    ChannelKey,
    or_else,
    rolling_radius_mm,
)
from inspections.services.judged import Judged
from inspections.services.unit_supports import held_at, supports_of
from inventory.models import Element, Installation, Unit
from inventory.models.choices import ElementKind, GapAxis

MEASURED = (ReadingQuantity.GAP, ReadingQuantity.OFFSET_ALONG, ReadingQuantity.TILT)
"""What tells of a unit's length: millimetres along the movement, a rocker's tilt made so."""


class Place(NamedTuple):
    """What stands as one of a unit's elements; a gap between two units stands in both.

    ``channel`` is the first of those that are read there: all points of a gap.
    """

    unit: int
    channel: int
    side: int


class Site:
    """The units and elements of one bridge; elements with their support joined."""

    def __init__(self, units: Sequence[Unit], elements: Sequence[Element]) -> None:
        self.units, self._elements = units, elements
        self.unit_row = {unit.pk: row for row, unit in enumerate(units)}

    @cached_property
    def supports(self) -> dict[tuple[int, int], float]:
        """Station by (row of the unit, support), of every support that a unit rests on."""
        return supports_of(self._elements, self.unit_row)

    @cached_property
    def held(self) -> np.ndarray:
        """Row of the support that holds each unit; -1 where there is none (units,)."""
        rows = [held_at(unit, self.supports, self.unit_row) for unit in self.units]
        return np.array(rows, dtype=np.int64)

    def fixed_points(self, agency: AgencySettings) -> np.ndarray:
        """Return station of each unit's fixed point and its uncertainty [m] (units, 2)."""
        rows = [
            (
                or_else(unit.fixed_station_m, NAN),
                or_else(unit.u_fixed_station_m, agency.u_fixed_station_m),
            )
            for unit in self.units
        ]
        return np.array(rows, dtype=float).reshape(-1, 2)


@dataclass(frozen=True, slots=True, eq=False)
class Places:
    """The places of some bridges, of the devices of all times, arrays (places,).

    Attributes
    ----------
    device : list
        Key of the device at each place.
    site, unit, channel, side : array of int
        Row of the bridge, of the unit there, first channel, and side of a gap.
    support, beyond : array of int
        Row of the support in the bridge that a place stands on, and of the unit on the other
        side of a gap; -1 where there is none.
    figures : dict of arrays
        What :class:`movement.whole_bridge.Elements` is told of each besides.
    of_channel : array (channels, 2) of int
        The places that each channel is read for; -1 where there is none.
    mm_per_unit : array (channels,)
        Millimetres of movement per unit of each channel's reading.
    """

    device: list[object]
    site: np.ndarray
    unit: np.ndarray
    channel: np.ndarray
    side: np.ndarray
    support: np.ndarray
    beyond: np.ndarray
    figures: dict[str, np.ndarray]
    of_channel: np.ndarray
    mm_per_unit: np.ndarray


def places_of(found: Judged, sites: Sequence[Site]) -> Places:
    """Return the places of some bridges, in the order in which they were first read."""
    site_of = {unit_id: row for row, site in enumerate(sites) for unit_id in site.unit_row}
    rows: dict[tuple[object, ...], int] = {}
    told: list[tuple[int, int, int, int, int, int]] = []
    of_channel = np.full((len(found.keys), 2), -1, dtype=np.int64)
    for channel, key in enumerate(found.keys):
        if key.quantity not in MEASURED:
            continue
        pair = found.channels.unit_ids[channel]
        element = found.installations[key.installation_id].element
        for side in (0, 1) if key.quantity == ReadingQuantity.GAP else (0,):
            unit_id = pair[side]
            if unit_id is None or unit_id not in site_of:
                continue
            site = site_of[unit_id]
            row = rows.setdefault((key._replace(point=""), side), len(told))
            if row == len(told):
                unit = sites[site].unit_row[unit_id]
                told.append((site, unit, channel, side, element.support_id, pair[1 - side]))
            of_channel[channel, side] = row
    support_row = [{key: row for row, key in enumerate(site.supports)} for site in sites]
    site, unit, channel, side = (
        np.array([each[column] for each in told], dtype=np.int64) for column in range(4)
    )
    scale = mm_per_unit(found, np.arange(len(found.keys)))
    return Places(
        [found.keys[each].installation_id for each in channel],
        site,
        unit,
        channel,
        side,
        np.array(
            [
                # A gap between two units stands on none: both ride on the same pier.
                -1 if None not in found.channels.unit_ids[at] else support_row[s][u, support]
                for s, u, at, _, support, _ in told
            ],
            dtype=np.int64,
        ),
        np.array([sites[s].unit_row.get(other, -1) for s, *_, other in told], dtype=np.int64),
        _figures(found, channel, side, scale),
        of_channel,
        scale,
    )


def _figures(
    found: Judged, channel: np.ndarray, side: np.ndarray, scale: np.ndarray
) -> dict[str, np.ndarray]:
    keys = [found.keys[each] for each in channel]
    here = [found.installations[key.installation_id] for key in keys]
    scale = scale[channel]
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

    return {
        "lever_mm": sides.lever[channel, side] * scale,
        "deck_effect": np.array(
            [
                _deck_effect(key, each, at)
                for key, each, at in zip(keys, here, side.tolist(), strict=True)
            ],
            dtype=float,
        ),
        "expansion_per_c": sides.expansion_per_c[channel, side],
        "setting_mm": where_recorded(setting.value[channel] * scale),
        "setting_temperature_c": where_recorded(setting.temperature_c[channel]),
        "u_setting_mm": where_recorded(u_setting),
        "setting_time_days": where_recorded(found.channels.set_day[channel]),
        "can_stick": np.array(
            [each.element.kind == ElementKind.BEARING for each in here], dtype=bool
        ),
        "u_setting_temperature_k": where_recorded(u_k),
        "u_expansion_per_c": sides.u_expansion_per_c[channel, side],
    }


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
