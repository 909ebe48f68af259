"""What an installation's record says of one channel: its setting and its limits."""

from __future__ import annotations

import math
from typing import NamedTuple

from inspections.models import AgencySettings
from inspections.models.choices import ROOM_ON_A_SIDE, ReadingQuantity, SettingFrom
from inventory.models import Installation
from inventory.models.choices import DeviceType, GapAxis, SettingSource
from movement.capacity.sliding import PROTRUSION_ACT_MM, PROTRUSION_FINE_MM, RECESS_LEAST_MM
from movement.condition_states import BULGE_SHARE

NAN = math.nan
NOT_COMPARED = (
    ReadingQuantity.ROD_TENSION,
    ReadingQuantity.SLIDING_GAP,
    ReadingQuantity.PLATE_OVERLAP,
    ReadingQuantity.BULGE,
    ReadingQuantity.LEVEL_STEP,
)
"""Read against their limits alone: nothing foretells how far a rod loses its tension, a sheet
wears, a layer bulges or a support sinks, and how far a plate still reaches is foretold by its
offset."""
WATCH_USE = {
    ReadingQuantity.ROD_TENSION: 0.2,
    ReadingQuantity.SLIDING_GAP: (RECESS_LEAST_MM - PROTRUSION_FINE_MM)
    / (RECESS_LEAST_MM - PROTRUSION_ACT_MM),
}
"""Share of a limit from which to watch, where it is not the agency's.

A fifth of the pretension lost is judgement, no source; the gap is to be watched from 1.0 mm."""
PLATE_LENGTH_M = 0.5
"""Base over which a setting position's uncertainty turns into one of rotation [m].

Judgement, no source: half a metre is a common plate."""


class ChannelKey(NamedTuple):
    """Names a channel: one quantity at one point of one installation, along one axis."""

    installation_id: object
    quantity: str
    point: str
    axis: str


def setting_of(
    installation: Installation, key: ChannelKey, agency: AgencySettings
) -> tuple[float, float, float, float, str]:
    """Return value, temperature, their uncertainties and where they are from."""
    nothing = (NAN, NAN, NAN, NAN, SettingFrom.NONE.value)
    if key.quantity == ReadingQuantity.BROKEN_RODS:
        # A device is set with whole rods, and no temperature breaks one.
        return 0.0, 0.0, 0.0, 0.0, SettingFrom.NONE.value
    if key.quantity in NOT_COMPARED:
        return nothing
    if installation.setting_source == SettingSource.UNKNOWN:
        return nothing
    value = _setting_value(installation, key)
    if value is None:
        return nothing
    measured = installation.setting_source == SettingSource.MEASURED
    u_mm = agency.u_setting_measured_mm if measured else agency.u_setting_drawings_mm
    return (
        value,
        or_else(installation.setting_temperature_c, NAN),
        _in_unit_of(key.quantity, u_mm, installation),
        agency.u_setting_measured_k if measured else agency.u_setting_drawings_k,
        SettingFrom.MEASURED.value if measured else SettingFrom.DRAWINGS.value,
    )


def _setting_value(installation: Installation, key: ChannelKey) -> float | None:
    restraint = getattr(installation, "restraint_design", None)
    if key.quantity == ReadingQuantity.GAP:
        gap = installation.setting_gap_mm
        if gap is None:
            return None
        return gap * _to_axis(installation, key, installation.setting_gap_axis)
    if key.quantity in ROOM_ON_A_SIDE:
        return getattr(restraint, f"gap_{key.point}_mm", None)
    if key.quantity == ReadingQuantity.PROJECTION:
        return getattr(restraint, "projection_mm", None)
    if key.quantity == ReadingQuantity.SLIP:
        return 0.0
    return {
        ReadingQuantity.OFFSET_ALONG: installation.setting_offset_along_mm,
        ReadingQuantity.OFFSET_ACROSS: installation.setting_offset_across_mm,
        ReadingQuantity.TILT: installation.setting_tilt_deg,
        ReadingQuantity.ROTATION: installation.setting_rotation_mrad,
    }[ReadingQuantity(key.quantity)]


def limits_of(installation: Installation, key: ChannelKey) -> tuple[float, float, float]:
    """Return lower, upper and neutral; a NaN neutral stands for the setting.

    Limits of a rod's projection are told as differences from its setting.
    """
    bearing = getattr(installation, "bearing_design", None)
    joint = getattr(installation, "joint_design", None)
    restraint = getattr(installation, "restraint_design", None)
    quantity = key.quantity
    if quantity == ReadingQuantity.GAP and joint:
        factor = _to_axis(installation, key, joint.opening_axis)
        low, high = (
            or_else(each, NAN) * factor for each in (joint.opening_min_mm, joint.opening_max_mm)
        )
        return low, high, (low + high) / 2
    if quantity == ReadingQuantity.LEVEL_STEP and joint:
        return _from_centre(joint.level_limit_mm, joint.level_limit_mm)
    if quantity == ReadingQuantity.OFFSET_ALONG and bearing:
        return _from_centre(bearing.movement_back_mm, bearing.movement_ahead_mm)
    if quantity == ReadingQuantity.OFFSET_ACROSS and bearing:
        return _from_centre(bearing.movement_right_mm, bearing.movement_left_mm)
    if quantity in (ReadingQuantity.TILT, ReadingQuantity.ROTATION) and bearing:
        tilt = quantity == ReadingQuantity.TILT
        either = bearing.tilt_limit_deg if tilt else bearing.rotation_mrad
        return _from_centre(either, either)
    if quantity in ROOM_ON_A_SIDE and restraint:
        return or_else(restraint.gap_min_mm, 0.0), NAN, NAN
    if quantity in (ReadingQuantity.PROJECTION, ReadingQuantity.SLIP) and restraint:
        either = or_else(restraint.slip_limit_mm, NAN)
        return -either, either, 0.0 if quantity == ReadingQuantity.SLIP else NAN
    if quantity == ReadingQuantity.BROKEN_RODS:
        return NAN, 1.0, 0.0
    if quantity == ReadingQuantity.SLIDING_GAP:
        return PROTRUSION_ACT_MM, NAN, RECESS_LEAST_MM
    if quantity == ReadingQuantity.PLATE_OVERLAP:
        lengths = (bearing and bearing.sliding_plate_length_mm, bearing and bearing.ptfe_length_mm)
        return 0.0, NAN, NAN if None in lengths else (lengths[0] - lengths[1]) / 2
    if quantity == ReadingQuantity.BULGE and bearing:
        plain = installation.device_type == DeviceType.PLAIN_ELASTOMERIC
        thickness = bearing.rubber_thickness_mm if plain else bearing.layer_thickness_mm
        return NAN, BULGE_SHARE * or_else(thickness, NAN), 0.0
    if quantity == ReadingQuantity.ROD_TENSION and restraint:
        return 0.0, NAN, or_else(restraint.rod_pretension_kn, NAN)
    return NAN, NAN, NAN


def stands_still(installation: Installation, key: ChannelKey) -> bool:
    """Tell whether a bearing is made not to move in the direction that is read."""
    bearing = getattr(installation, "bearing_design", None)
    ways = {
        ReadingQuantity.OFFSET_ALONG: ("movement_back_mm", "movement_ahead_mm"),
        ReadingQuantity.OFFSET_ACROSS: ("movement_right_mm", "movement_left_mm"),
    }.get(ReadingQuantity(key.quantity), ())
    return bool(bearing and ways) and all(getattr(bearing, name) == 0 for name in ways)


def _from_centre(down: float | None, up: float | None) -> tuple[float, float, float]:
    """Return limits from 0; a device made to stand still has no range that could be used up."""
    if down == up == 0:
        return NAN, NAN, 0.0
    return -or_else(down, NAN), or_else(up, NAN), 0.0


def _to_axis(installation: Installation, key: ChannelKey, given: str) -> float:
    """Return the factor from a gap along ``given`` to one along the channel's axis."""
    if given == key.axis:
        return 1.0
    cosine = math.cos(math.radians(or_else(installation.element.skew_deg, 0.0)))
    return 1.0 / cosine if key.axis == GapAxis.ROAD else cosine


def _in_unit_of(quantity: str, u_mm: float, installation: Installation) -> float:
    """Return a standard uncertainty of a position in the unit of the quantity read."""
    if quantity == ReadingQuantity.TILT:
        return math.degrees(u_mm / rolling_radius_mm(installation))
    if quantity == ReadingQuantity.ROTATION:
        return u_mm / PLATE_LENGTH_M
    return u_mm


def rolling_radius_mm(installation: Installation) -> float:
    """Return movement per radian of tilt [mm]: R of a rocker, 2 R of a roller."""
    radius = getattr(getattr(installation, "bearing_design", None), "rocker_radius_mm", None)
    if radius is None:
        return NAN
    return 2.0 * radius if installation.device_type == DeviceType.ROLLER else radius


def or_else(value: float | None, otherwise: float) -> float:
    return otherwise if value is None else value
