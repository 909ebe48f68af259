"""From register rows to the arrays that the model takes.

A channel is one quantity at one point of one installation, read along one axis; every
reading of it shares levers, setting and limits.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from inspections.models import AgencySettings
from inspections.models.choices import ROOM_ON_A_SIDE, ReadingQuantity
from inspections.services.device_figures import (
    NAN,
    ChannelKey,
    limits_of,
    or_else,
    rolling_radius_mm,
    setting_of,
    stands_still,
)
from inspections.services.shortening import SidesOfChannel, day_of
from inventory.design_temperature import design_extremes
from inventory.models import Element, Installation, Unit
from inventory.models.choices import GapAxis
from inventory.station_records import StationRecords
from movement.errors import InputError
from movement.geometry import (
    Path,
    gap_levers,
    offset_lever_across,
    offset_lever_along,
    path_from_fixed_point,
    racking_levers,
    tilt_lever,
)
from movement.inputs import DesignExtremes, Limits, Setting, Sides


@dataclass(frozen=True, slots=True, eq=False)
class Channels:
    """The model's inputs over channels, (m,) or (m, 2); sides are behind and ahead.

    Limits are still told from the setting where ``limits_from_setting``; a NaN neutral
    position is the setting: see :func:`limits_at`.  ``set_day`` is when a recorded setting
    was made, in days since 1970; NaN where there is none.
    """

    sides: Sides
    racking: Sides
    setting: Setting
    setting_from: np.ndarray
    set_day: np.ndarray
    limits: Limits
    limits_from_setting: np.ndarray
    stands_still: np.ndarray
    extremes: DesignExtremes
    units: list[SidesOfChannel]
    unit_ids: list[tuple[int | None, int | None]]
    problems: list[str]


def load_installations(element_ids: set[int]) -> dict[object, Installation]:
    """Return installations with place, units, basis and design, in one query."""
    rows = Installation.objects.filter(element_id__in=element_ids).select_related(
        "element__bridge__temperature_basis__bridge",
        "element__unit__section",
        "element__unit_ahead__section",
        "element__unit__concrete",
        "element__unit_ahead__concrete",
        "bearing_design",
        "joint_design",
        "restraint_design",
    )
    return {row.pk: row for row in rows}


def build_channels(
    keys: Sequence[ChannelKey],
    installations: dict[object, Installation],
    agency: AgencySettings,
    records: StationRecords | None = None,
) -> Channels:
    """Return the arrays of channels, in the order of ``keys``."""
    here = [installations[key.installation_id] for key in keys]
    elements = [each.element for each in here]
    back = _Ends.of([element.unit for element in elements], agency)
    ahead = _Ends.of([element.unit_ahead for element in elements], agency)
    levers = _Levers(keys, here, elements)
    alpha, u_alpha, u_distance = (
        np.stack([getattr(back, name), getattr(ahead, name)], axis=-1)
        for name in ("alpha", "u_alpha", "u_distance_mm")
    )
    station = np.array([element.station_m for element in elements])
    paths = back.path(station), ahead.path(station)
    # A lever is proportional to the distance, so that of distance 1 is its sensitivity.
    sensitivity = levers.of(*(Path(np.ones_like(p.distance_mm), p.plan_angle_deg) for p in paths))
    settings = [setting_of(each, key, agency) for each, key in zip(here, keys, strict=True)]
    value = np.array([each[0] for each in settings], dtype=float)
    lower, upper, neutral = (
        np.array([limits_of(each, key) for each, key in zip(here, keys, strict=True)], dtype=float)
        .reshape(-1, 3)
        .T
    )
    extremes = _Extremes(records or StationRecords())
    by_channel = [extremes.of(element) for element in elements]
    return Channels(
        sides=Sides.of(levers.of(*paths), alpha, 0.0, np.abs(sensitivity) * u_distance, u_alpha),
        racking=Sides.of(levers.racking(*paths), alpha),
        setting=Setting.of(
            value,
            [each[1] for each in settings],
            [each[2] for each in settings],
            [each[3] for each in settings],
        ),
        setting_from=np.array([each[4] for each in settings]),
        set_day=np.array(
            [
                day_of(each.installed_on) if source[4] else NAN
                for each, source in zip(here, settings, strict=True)
            ]
        ),
        limits=Limits.of(lower, upper, neutral),
        limits_from_setting=np.array(
            [key.quantity == ReadingQuantity.PROJECTION for key in keys], dtype=bool
        ),
        stands_still=np.array(
            [stands_still(each, key) for each, key in zip(here, keys, strict=True)], dtype=bool
        ),
        extremes=DesignExtremes.of(
            [each[0] for each in by_channel], [each[1] for each in by_channel]
        ),
        units=[(element.unit, element.unit_ahead) for element in elements],
        unit_ids=[(element.unit_id, element.unit_ahead_id) for element in elements],
        problems=[each[2] for each in by_channel],
    )


def limits_at(limits: Limits, from_setting: np.ndarray, setting_value: np.ndarray) -> Limits:
    """Return limits once the setting is known, from the record or from a baseline."""
    start = np.where(from_setting, setting_value, 0.0)
    return Limits.of(
        start + limits.lower,
        start + limits.upper,
        np.where(np.isnan(limits.neutral), setting_value, limits.neutral),
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Ends:
    """What lies on one side of each channel's place; a backwall (None) does not move."""

    present: np.ndarray
    fixed_m: np.ndarray
    radius_m: np.ndarray
    alpha: np.ndarray
    u_alpha: np.ndarray
    u_distance_mm: np.ndarray

    @classmethod
    def of(cls, units: list[Unit | None], agency: AgencySettings) -> _Ends:
        rows = [
            (0.0, 0.0, NAN, 1e-5, 0.0, 0.0)
            if unit is None
            else (
                1.0,
                or_else(unit.fixed_station_m, NAN),
                or_else(unit.plan_radius_m, NAN),
                unit.expansion_per_c,
                or_else(unit.u_expansion_per_c, agency.u_expansion_per_c(unit.deck_type)),
                1000.0 * or_else(unit.u_fixed_station_m, agency.u_fixed_station_m),
            )
            for unit in units
        ]
        return cls(*np.array(rows, dtype=float).reshape(-1, 6).T)

    def path(self, station_m: np.ndarray) -> Path:
        there = self.present > 0
        return path_from_fixed_point(
            np.where(there, station_m, 0.0), np.where(there, self.fixed_m, 0.0), self.radius_m
        )


class _Levers:
    """Levers of each channel's quantity, from the paths behind and ahead of it."""

    def __init__(
        self, keys: Sequence[ChannelKey], here: list[Installation], elements: list[Element]
    ) -> None:
        self.quantity = np.array([key.quantity for key in keys], dtype=object)
        self.point = np.array([key.point for key in keys], dtype=object)
        self.square = np.array([key.axis != GapAxis.ROAD for key in keys])
        self.skew_deg = np.array([or_else(element.skew_deg, 0.0) for element in elements])
        self.axis_deg = np.array([or_else(element.axis_angle_deg, 0.0) for element in elements])
        self.rolling_radius_mm = np.array([rolling_radius_mm(each) for each in here])

    def of(self, back: Path, ahead: Path) -> np.ndarray:
        """Return levers (m, 2).

        What ties two units sees how they move against each other: the one ahead counts with
        the other sign.  A backwall does not move, nor does the support of a bearing.
        """
        gap, room = (
            np.isin(self.quantity, which)[:, np.newaxis]
            for which in ((ReadingQuantity.GAP,), ROOM_ON_A_SIDE)
        )
        mine, other = self._of_unit(back), self._of_unit(ahead)
        alone = np.stack([mine, np.zeros_like(mine)], axis=-1)
        tied = np.stack([mine, 0.0 - other], axis=-1)
        of_gap = gap_levers(back, ahead, self.skew_deg, self.square)
        return np.where(gap, of_gap, np.where(room, tied, alone))

    def _of_unit(self, path: Path) -> np.ndarray:
        """Return the lever of what moves with one unit against something that stands still."""
        along = offset_lever_along(path, self.axis_deg)
        across = offset_lever_across(path, self.axis_deg)
        return np.select(
            [
                self.quantity == ReadingQuantity.OFFSET_ALONG,
                self.quantity == ReadingQuantity.OFFSET_ACROSS,
                self.quantity == ReadingQuantity.TILT,
                self._room("back"),
                self._room("ahead"),
                self._room("left"),
                self._room("right"),
            ],
            [
                along,
                across,
                tilt_lever(along, self.rolling_radius_mm),
                along,
                -along,
                -across,
                across,
            ],
            0.0,
        )

    def racking(self, back: Path, ahead: Path) -> np.ndarray:
        """Return levers of the slip along a joint (m, 2), zero for what is no joint."""
        gap = (self.quantity == ReadingQuantity.GAP)[:, np.newaxis]
        return np.where(gap, racking_levers(back, ahead, self.skew_deg), 0.0)

    def _room(self, point: str) -> np.ndarray:
        return np.isin(self.quantity, ROOM_ON_A_SIDE) & (self.point == point)


class _Extremes:
    """Design extremes of an element's units, the wider where two differ; found once a unit."""

    def __init__(self, records: StationRecords) -> None:
        self._units: dict[int, tuple[float, float, str]] = {}
        self._records = records

    def of(self, element: Element) -> tuple[float, float, str]:
        found = [self._unit(element, u) for u in (element.unit, element.unit_ahead) if u]
        return (
            min(each[0] for each in found),
            max(each[1] for each in found),
            next((each[2] for each in found if each[2]), ""),
        )

    def _unit(self, element: Element, unit: Unit) -> tuple[float, float, str]:
        if unit.pk not in self._units:
            basis = getattr(element.bridge, "temperature_basis", None)
            try:
                extremes = design_extremes(basis, unit, self._records)
            except InputError as error:
                self._units[unit.pk] = (NAN, NAN, str(error))
            else:
                self._units[unit.pk] = (
                    (NAN, NAN, "")
                    if extremes is None
                    else (float(extremes.min_c), float(extremes.max_c), "")
                )
        return self._units[unit.pk]
