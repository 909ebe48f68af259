"""Elastomeric bearings: AASHTO LRFD methods A and B, EN 1337-3, and the TxDOT manual.

Offsets enter as found and carried to both extremes.  Two checks of the TxDOT manual are left
out: they ask for the slope of the girder and for the compressive deflection, which the
register does not hold.
"""

from __future__ import annotations

import numpy as np

from inspections.models.choices import ReadingQuantity
from inspections.services.capacity.bearings import loads_of
from inspections.services.capacity.devices import Devices
from inspections.services.capacity.found import Found, found
from movement.capacity import elastomeric, elastomeric_txdot
from movement.capacity.bearing_inputs import AashtoEdition, Deformed, Pad
from movement.capacity.elastomer_scope import modulus_in_range
from movement.capacity.elastomeric_aashto import PadKind, method_a_stress
from movement.capacity.results import Check

METHOD_A = ("Compressive stress, method A", "Method A without rotation, S²/n")
METHOD_B = ("Static axial strain, method B", "Combined shear strain, method B", "Stability")


def plain_by_aashto(devices: Devices) -> list[Found]:
    """Return the checks of plain pads by AASHTO LRFD, the stress by both editions."""
    pad, loads, deformed = _pad(devices), loads_of(devices), _deformed(devices)
    checks = elastomeric.plain_aashto(
        pad, loads, deformed, horizontal_along_kn=devices.figure("horizontal_along_kn")
    )
    third = method_a_stress(pad, loads, PadKind.PLAIN, AashtoEdition.THIRD)
    ninth = _named(checks, METHOD_A[0])
    return [
        *found(checks, by_position=True),
        *found([third], counts=~_met(ninth)),
        *found(modulus_in_range(pad), applies=devices.given("shear_modulus_mpa")),
    ]


def plain_by_en(devices: Devices) -> list[Found]:
    """Return the one check of plain pads by EN 1337-3 that is held."""
    return found(elastomeric.plain_en(_pad(devices), _deformed(devices)), by_position=True)


def reinforced_by_aashto(devices: Devices) -> list[Found]:
    """Return the checks of reinforced bearings by AASHTO LRFD, methods A and B.

    A bearing is designed by A or by B, by one edition or the other: A does not count where
    B is met, and the third edition's stress not where the ninth's is.
    """
    pad, loads, deformed = _pad(devices), loads_of(devices), _deformed(devices)
    checks = elastomeric.reinforced_aashto(
        pad, loads, deformed, horizontal_along_kn=devices.figure("horizontal_along_kn")
    )
    third = method_a_stress(pad, loads, PadKind.STEEL, AashtoEdition.THIRD)
    by_b = np.all([_met(_named(checks, name)) for name in METHOD_B], axis=0)
    by_ninth = _met(_named(checks, METHOD_A[0]))
    rows = []
    for check in checks:
        rows += found([check], by_position=True, counts=~by_b if check.name in METHOD_A else None)
        if check.name == METHOD_A[0]:
            rows += found([third], counts=~by_b & ~by_ninth)
    return [*rows, *found(modulus_in_range(pad), applies=devices.given("shear_modulus_mpa"))]


def reinforced_by_en(devices: Devices) -> list[Found]:
    """Return the checks of reinforced bearings by EN 1337-3; of round ones only the shear."""
    pad = _pad(devices)
    shear, *others = elastomeric.reinforced_en(pad, loads_of(devices), _deformed(devices))
    return [
        *found([shear], by_position=True),
        *found(others, by_position=True, applies=~pad.is_round[:, 0]),
    ]


def reinforced_by_txdot(devices: Devices) -> list[Found]:
    """Return stresses and height by the TxDOT manual."""
    pad, loads = _pad(devices), loads_of(devices)
    return found(
        [
            elastomeric_txdot.dead_load_stress(pad, loads),
            elastomeric_txdot.total_load_stress(pad, loads),
            elastomeric_txdot.total_height(pad),
        ]
    )


def _pad(devices: Devices) -> Pad:
    names = (
        "plan_length_mm",
        "plan_width_mm",
        "plan_diameter_mm",
        "layer_thickness_mm",
        "cover_thickness_mm",
        "rubber_thickness_mm",
        "interior_layers",
        "shear_modulus_mpa",
        "shim_thickness_mm",
        "shim_yield_mpa",
        "side_cover_mm",
    )
    return Pad.of(**{name: devices.figure(name) for name in names})


def _deformed(devices: Devices) -> Deformed:
    """Return the deformation (n, 3); an offset across that was not read counts as none."""
    across = devices.positions(ReadingQuantity.OFFSET_ACROSS)
    unread = ~devices.was_read(ReadingQuantity.OFFSET_ACROSS)
    return Deformed.of(
        devices.positions(ReadingQuantity.OFFSET_ALONG),
        np.where(unread[:, np.newaxis], 0.0, across),
        devices.one(ReadingQuantity.ROTATION),
        live_rotation_mrad=devices.figure("live_rotation_mrad"),
    )


def _named(checks: list[Check], name: str) -> Check:
    return next(each for each in checks if each.name == name)


def _met(check: Check) -> np.ndarray:
    """Return where a check could be made as found and is met in every known position (n,)."""
    known = np.nan_to_num(check.use, nan=0.0, posinf=np.inf)
    return np.asarray(~np.isnan(check.use[:, 0]) & (known <= 1.0).all(axis=1), dtype=bool)
