"""Flat sliding, pot, disc and spherical bearings: rotation, elastomer and sliding surface.

AASHTO LRFD speaks of all four.  EN 1337-2 speaks of their sliding surfaces and EN 1337-5 of
pots; EN 1337 has no part for discs, and its part 7 for spherical bearings is not held.
"""

from __future__ import annotations

import numpy as np

from inspections.models.choices import ReadingQuantity
from inspections.services.capacity.bearings import loads_of, own_movement
from inspections.services.capacity.devices import Devices
from inspections.services.capacity.found import Found, found
from inventory.models.choices import DeviceType, PtfeKind, SlidingSurfaceKind
from movement.capacity import rotation, sliding
from movement.capacity.ptfe_tables import EN_WARM_CLIMATE_C, EnSheet, Ptfe, SlidingSurface

_PTFE = {kind.value: Ptfe[kind.name] for kind in PtfeKind}
_SURFACE = {kind.value: SlidingSurface[kind.name] for kind in SlidingSurfaceKind}
_EN_SHEET = {PtfeKind.CONFINED_UNFILLED.value: EnSheet.PTFE_MAIN}
_NO_OTHER_SHEET = "an unfilled recessed PTFE sheet: no other is held for EN 1337-2"
_ALWAYS_SLIDE = (DeviceType.FLAT_SLIDING, DeviceType.SPHERICAL)
_SLIDING_FIGURES = ("ptfe_area_mm2", "ptfe_length_mm", "sliding_plate_length_mm")


def pot_by_aashto(devices: Devices) -> list[Found]:
    """Return rotation, stress and depth of pots by AASHTO LRFD."""
    return found(
        rotation.pot_aashto(
            loads_of(devices),
            devices.one(ReadingQuantity.ROTATION),
            devices.figure("rotation_mrad"),
            devices.figure("plan_diameter_mm"),
            devices.figure("rubber_thickness_mm"),
            devices.figure("live_rotation_mrad"),
        )
    )


def pot_by_en(devices: Devices) -> list[Found]:
    """Return rotation and stress of pots by EN 1337-5."""
    return found(
        rotation.pot_en(
            loads_of(devices),
            devices.one(ReadingQuantity.ROTATION),
            devices.figure("rotation_mrad"),
            devices.figure("plan_diameter_mm"),
            devices.figure("live_rotation_mrad"),
        )
    )


def disc_by_aashto(devices: Devices) -> list[Found]:
    """Return rotation and stress of discs by AASHTO LRFD."""
    return found(
        rotation.disc_aashto(
            loads_of(devices),
            devices.one(ReadingQuantity.ROTATION),
            devices.figure("rotation_mrad"),
            devices.figure("plan_diameter_mm"),
            devices.figure("live_rotation_mrad"),
        )
    )


def spherical_by_aashto(devices: Devices) -> list[Found]:
    """Return the rotation of spherical bearings by AASHTO LRFD."""
    return found(
        rotation.spherical_aashto(
            devices.one(ReadingQuantity.ROTATION),
            devices.figure("rotation_mrad"),
            devices.figure("live_rotation_mrad"),
        )
    )


def by_aashto(devices: Devices) -> list[Found]:
    """Return the sliding surface by AASHTO LRFD, its friction at the coldest."""
    contact_and_friction = [
        *sliding.contact_stress_aashto(_slider(devices), loads_of(devices)),
        sliding.friction_force_aashto(_slider(devices), loads_of(devices), devices.coldest_c),
    ]
    return found(contact_and_friction, applies=_slides(devices))


def by_en(devices: Devices) -> list[Found]:
    """Return the sliding surface by EN 1337-2, its strength at the hottest.

    Of spherical and fixed bearings the sheet alone, where it is on record.
    """
    slider, loads = _slider(devices), loads_of(devices)
    checks = [
        sliding.contact_stress_en(slider, loads, devices.hottest_c),
        sliding.friction_force_en(slider, loads, devices.coldest_c >= EN_WARM_CLIMATE_C),
        *sliding.protrusion(devices.one(ReadingQuantity.SLIDING_GAP)),
        *sliding.sheet_thickness(slider),
    ]
    known = np.array([bool(each) for each in devices.words("ptfe_kind")])
    slides = _slides(devices)
    sheet_unknown = {"sheet": "ptfe_kind"}
    return [
        *found(checks, applies=slides & ~known, names=sheet_unknown),
        *found(checks, applies=slides & known, names={"sheet": _NO_OTHER_SHEET}),
    ]


def travel_and_cover(devices: Devices) -> list[Found]:
    """Return travel against the design movement, and the PTFE covered by its plate."""
    flat = _is_one_of(devices, (DeviceType.FLAT_SLIDING,))
    covered = sliding.plate_overlap(
        _slider(devices), devices.carried(ReadingQuantity.OFFSET_ALONG, "offset_along_mm")
    )
    return [
        *own_movement(devices, always=flat),
        *found(covered, applies=flat | devices.given("ptfe_length_mm", "sliding_plate_length_mm")),
    ]


def _slider(devices: Devices) -> sliding.Slider:
    numbers = (
        "ptfe_area_mm2",
        "ptfe_thickness_mm",
        "movement_back_mm",
        "movement_ahead_mm",
        "sliding_plate_length_mm",
        "ptfe_length_mm",
        "horizontal_along_kn",
        "edge_to_mean_stress",
    )
    return sliding.Slider.of(
        **{name: devices.figure(name) for name in numbers},
        ptfe=devices.kinds("ptfe_kind", _PTFE),
        surface=devices.kinds("sliding_surface", _SURFACE),
        sheet=devices.kinds("ptfe_kind", _EN_SHEET),
    )


def _slides(devices: Devices) -> np.ndarray:
    """Return where a device has a sliding surface: by its type, or by its figures."""
    moves = [
        (np.nan_to_num(devices.figure(name)[:, 0]) > 0)
        for name in ("movement_back_mm", "movement_ahead_mm")
    ]
    known = np.array(
        [bool(sheet) for sheet in devices.words("ptfe_kind")], dtype=bool
    ) | devices.given(*_SLIDING_FIGURES)
    return np.asarray(_is_one_of(devices, _ALWAYS_SLIDE) | known | moves[0] | moves[1])


def _is_one_of(devices: Devices, types: tuple[str, ...]) -> np.ndarray:
    return np.array([each.installation.device_type in types for each in devices.rows], dtype=bool)
