"""Every point of a bridge before the model: its inputs side by side, and its judgement."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace
from typing import TypeVar

import numpy as np

from inspections.models import AgencySettings
from inspections.models.choices import SettingFrom
from inspections.services.channels import (
    Channels,
    build_channels,
    limits_at,
    load_installations,
)
from inspections.services.device_figures import NAN, NOT_COMPARED, WATCH_USE, ChannelKey
from inspections.services.points import Point, moments_of
from inspections.services.shortening import SideShortening, shortening_of
from inspections.services.standing_register import StandingRegister
from inspections.services.temperatures import Hour, effective_temperatures
from inventory.models import Installation, Unit
from inventory.station_records import StationRecords
from movement.expected import common_temperature
from movement.inputs import DesignExtremes, Limits, Measured, Setting, Sides
from movement.results import Judgement
from movement.temperature import EffectiveTemperature
from movement.uncertainty import from_accuracy, of_reading
from movement.verdict import judge

T = TypeVar("T", Sides, Setting, Limits, DesignExtremes, EffectiveTemperature)
THIS_READING = "this"
"""Where a setting is from that was taken from the very reading it is compared with."""


@dataclass(frozen=True, slots=True, eq=False)
class Judged:
    """Points (n,) with what the model was told of each and what it said.

    Attributes
    ----------
    keys, channels : of the channels (m,)
    of_point : array (n,) of int
        Channel of each point.
    handed_in : array (n,) of bool
        Whether its visit is not open any more.
    day, moment : array (n,)
        When it was read, in days since 1970 UTC, and which were read together.
    value, u_value : array (n,)
        Mean of the repeats and its standard uncertainty [unit of the quantity].
    sides : Sides (n, 2)
        With the shortening from the setting to the reading.
    temperature : EffectiveTemperature (n, 2)
        Of each side; a backwall has that of the unit that faces it.
    now_c, u_now_k : array (n,)
        The one that stands for both.
    setting, setting_from, set_day : (n,)
        From the record, or from the channel's baseline; the day is counted from 1970.
    """

    points: list[Point]
    installations: dict[object, Installation]
    keys: list[ChannelKey]
    channels: Channels
    of_point: np.ndarray
    handed_in: np.ndarray
    day: np.ndarray
    moment: np.ndarray
    value: np.ndarray
    u_value: np.ndarray
    sides: Sides
    shortening: SideShortening
    temperature: EffectiveTemperature
    now_c: np.ndarray
    u_now_k: np.ndarray
    setting: Setting
    setting_from: np.ndarray
    set_day: np.ndarray
    limits: Limits
    extremes: DesignExtremes
    judgement: Judgement


def judged(
    points: list[Point],
    agency: AgencySettings,
    records: StationRecords | None = None,
    registers: Sequence[StandingRegister] = (),
) -> Judged:
    """Judge points, those of a bridge oldest first; there must be one at least.

    ``records``: the stations' years, ``registers``: those of their bridges, where they have been
    read.
    """
    read = {point.element_id for point in points}
    if registers:
        installations = {
            pk: device for each in registers for pk, device in each.devices_of(read).items()
        }
    else:
        installations = load_installations(read)
    units = {unit.pk: unit for each in registers for unit in each.units} if registers else None
    keys = list(dict.fromkeys(point.key.channel for point in points))
    channels = build_channels(keys, installations, agency, records)
    position = {key: index for index, key in enumerate(keys)}
    of_point = np.array([position[point.key.channel] for point in points])
    day = np.array([point.day for point in points])

    value = np.array(
        [each[0] if len(each) == 1 else np.mean(each) for each in (row.values for row in points)]
    )
    u_value = of_reading(
        from_accuracy([point.accuracy for point in points]),
        [np.std(point.values, ddof=1) if len(point.values) > 1 else 0.0 for point in points],
        [len(point.values) for point in points],
    )
    sides = rows_of(channels.sides, of_point)
    temperature = _by_side(points, channels, of_point, agency, units)
    now_c = common_temperature(sides, temperature.temperature_c)
    u_now_k = temperature.u_temperature_k.max(axis=-1)
    quantities = np.array([point.key.channel.quantity for point in points])
    compared = ~np.isin(quantities, NOT_COMPARED)
    setting, setting_from, set_day = _with_baselines(
        points,
        of_point,
        channels,
        Measured.of(value, now_c, u_value, u_now_k),
        (sides.lever == 0).all(axis=-1),
        compared,
        day,
    )
    shortening = shortening_of(
        [channels.units[channel] for channel in of_point],
        set_day,
        day,
        agency,
    )
    sides = shortening.into(sides)
    limits = limits_at(
        rows_of(channels.limits, of_point), channels.limits_from_setting[of_point], setting.value
    )
    extremes = rows_of(channels.extremes, of_point)
    judgement = judge(
        sides,
        setting,
        Measured.of(value, temperature.temperature_c, u_value, temperature.u_temperature_k),
        limits,
        extremes,
        agency.thresholds(),
        is_baseline=setting_from == THIS_READING,
        is_compared=compared,
        needs_limit=~channels.stands_still[of_point],
        watch_use=[WATCH_USE.get(each, NAN) for each in quantities],
    )
    return Judged(
        points, installations, keys, channels, of_point,
        np.array([point.handed_in for point in points]), day,
        moments_of(points, day, agency.temperature_window_h),
        value, u_value, sides, shortening, temperature, now_c, u_now_k, setting, setting_from,
        set_day, limits, extremes, judgement,
    )  # fmt: skip


def rows_of(table: T, index: np.ndarray) -> T:
    """Return the rows of a table of arrays that each reading needs."""
    return replace(table, **{each.name: getattr(table, each.name)[index] for each in fields(table)})


def finite(value: float) -> float | None:
    """Return a number for a column that may be null."""
    return float(value) if np.isfinite(value) else None


def known(values: np.ndarray) -> list[float | None]:
    """Return numbers for a column that may be null."""
    return np.where(np.isfinite(values), values, None).tolist()


def _by_side(
    points: list[Point],
    channels: Channels,
    of_point: np.ndarray,
    agency: AgencySettings,
    units: Mapping[int, Unit] | None,
) -> EffectiveTemperature:
    """Return temperatures (n, 2); a backwall takes that of the unit that faces it."""
    hours: dict[Hour, int] = {}
    index = np.empty((len(points), 2), dtype=np.intp)
    for row, point in enumerate(points):
        pair = channels.unit_ids[of_point[row]]
        for side, unit_id in enumerate(pair):
            unit = next(each for each in (unit_id, *pair) if each is not None)
            hour = Hour(point.key.inspection_id, unit, point.key.taken_at)
            index[row, side] = hours.setdefault(hour, len(hours))
    return rows_of(effective_temperatures(list(hours), agency, units), index)


def _with_baselines(
    points: list[Point],
    of_point: np.ndarray,
    channels: Channels,
    measured: Measured,
    still: np.ndarray,
    compared: np.ndarray,
    day: np.ndarray,
) -> tuple[Setting, np.ndarray, np.ndarray]:
    """Fill settings that are not known from each channel's first accepted reading."""
    setting = rows_of(channels.setting, of_point)
    unknown = np.isnan(setting.value) | (np.isnan(setting.temperature_c) & ~still)
    unknown &= compared
    usable = ~np.isnan(measured.temperature_c) | still
    first: dict[int, int] = {}
    for row in np.flatnonzero(unknown & usable & np.array([each.accepted for each in points])):
        first.setdefault(int(of_point[row]), int(row))
    source = np.array([first.get(int(channel), -1) for channel in of_point])
    take = unknown & (source >= 0)

    def filled(recorded: np.ndarray, read: np.ndarray) -> np.ndarray:
        return np.where(take, read[source], recorded)

    own = np.where(source == np.arange(len(points)), THIS_READING, SettingFrom.BASELINE.value)
    return (
        Setting.of(
            filled(setting.value, measured.value),
            filled(setting.temperature_c, measured.temperature_c),
            filled(setting.u_value, measured.u_value),
            filled(setting.u_temperature_k, measured.u_temperature_k),
        ),
        np.where(take, own, channels.setting_from[of_point]),
        filled(channels.set_day[of_point], day),
    )
