"""Elastomeric bearings by AASHTO LRFD, 14.7.5: method B, stability and plates."""

from __future__ import annotations

import numpy as np

from movement.capacity.bearing_inputs import AashtoEdition, Deformed, Loads, Pad
from movement.capacity.elastomeric_aashto import count_needs, divisor_layers, layer_needs
from movement.capacity.results import Check, Provenance, Rule, compare
from movement.checks import Floats
from movement.us_units import MM_PER_IN, MPA_PER_KSI

AXIAL = (1.4, 1.0)  # 14.7.5.3.3, Da rectangular and round; read in a copy
ROTATION = (0.5, 0.375)  # Dr rectangular (read in a copy) and round (from memory)
CYCLIC_FACTOR, STRAIN_LIMIT, STATIC_AXIAL_LIMIT = 1.75, 5.0, 3.0  # the same, read in a copy
SHIM_FATIGUE_KSI = 24.0  # 14.7.5.3.5, threshold of category A; from memory
SHIM_LEAST_IN = 1.0 / 16.0  # 14.7.5.3.5; from memory
ROUND_EQUIVALENT_SIDE = 0.8  # 14.7.5.3.4: a round bearing counts as L = W = 0.8 D; from memory


def _rule(name: str, clause: str, unit: str, provenance: Provenance) -> Rule:
    return Rule(name, clause, str(AashtoEdition.NINTH), unit, provenance)


def combined_strain(pad: Pad, loads: Loads, found: Deformed) -> Check:
    """Method B: (ga + gr + gs) static + 1.75 (ga + gr + gs) cyclic against 5.0.

    Static parts: permanent load, rotation and shear as found; cyclic parts: live load.
    Rotation along the bridge, about the bearing's transverse axis.
    """
    slope = _rotation_strain_per_mrad(pad)
    static = (
        axial_strain(pad, np.maximum(loads.permanent_kn, 0.0))
        + slope * np.abs(found.rotation_along_mrad)
        + found.offset_mm / pad.rubber_thickness_mm
    )
    cyclic = (
        axial_strain(pad, loads.live_kn)
        + slope * found.live_rotation_mrad
        + found.live_offset_mm / pad.rubber_thickness_mm
    )
    return compare(
        _rule("Combined shear strain, method B", "14.7.5.3.3", "-", Provenance.READ_IN_COPY),
        static + CYCLIC_FACTOR * cyclic,
        STRAIN_LIMIT,
        {
            **strain_needs(pad),
            **count_needs(pad),
            **found.offset_needs,
            "rubber_thickness_mm": pad.rubber_thickness_mm,
            "permanent_kn": loads.permanent_kn,
            "live_kn": loads.live_kn,
            "rotation_along_mrad": found.rotation_along_mrad,
            "live_rotation_mrad": found.live_rotation_mrad,
            "live_offset_mm": found.live_offset_mm,
        },
    )


def static_axial_strain(pad: Pad, loads: Loads) -> Check:
    """Method B: shear strain of permanent compression against 3.0."""
    return compare(
        _rule("Static axial strain, method B", "14.7.5.3.3", "-", Provenance.READ_IN_COPY),
        axial_strain(pad, np.maximum(loads.permanent_kn, 0.0)),
        STATIC_AXIAL_LIMIT,
        {**strain_needs(pad), "permanent_kn": loads.permanent_kn},
    )


def axial_strain(pad: Pad, load_kn: Floats) -> Floats:
    """Shear strain of compression: ga = Da s / (G S) [-].  14.7.5.3.3, read in a copy."""
    factor = np.where(pad.is_round, AXIAL[1], AXIAL[0])
    shape = pad.shape_factor(pad.layer_thickness_mm)
    return factor * pad.stress_mpa(load_kn) / (pad.shear_modulus_mpa * shape)


def _rotation_strain_per_mrad(pad: Pad) -> Floats:
    """gr = Dr (L / h)^2 theta / n [1/mrad]."""
    factor = np.where(pad.is_round, ROTATION[1], ROTATION[0])
    side = np.where(pad.is_round, pad.plan_diameter_mm, pad.plan_length_mm)
    return factor * (side / pad.layer_thickness_mm) ** 2 / divisor_layers(pad) / 1000.0


def stability(pad: Pad, loads: Loads, found: Deformed) -> Check:
    """Service stress against buckling; capacity is infinite where the shape alone is stable.

    A = 1.92 (h_rt/L) / sqrt(1 + 2L/W), B = 2.67 / [(S + 2)(1 + L/4W)], L the shorter side.
    Stable if 2A <= B; else s <= GS/(2A - B), or GS/(A - B) where sway is prevented.
    """
    equivalent = ROUND_EQUIVALENT_SIDE * pad.plan_diameter_mm
    length = np.where(pad.is_round, equivalent, pad.least_side_mm)
    width = np.where(pad.is_round, equivalent, np.maximum(pad.plan_length_mm, pad.plan_width_mm))
    shape = pad.shape_factor(pad.layer_thickness_mm)
    a = 1.92 * (pad.rubber_thickness_mm / length) / np.sqrt(1.0 + 2.0 * length / width)
    b = 2.67 / ((shape + 2.0) * (1.0 + length / (4.0 * width)))
    excess = np.where(found.sway_prevented, a, 2.0 * a) - b
    strength = pad.shear_modulus_mpa * shape
    capacity = np.full(np.broadcast_shapes(np.shape(excess), np.shape(strength)), np.inf)
    np.divide(strength, excess, out=capacity, where=excess > 0)
    return compare(
        _rule("Stability", "14.7.5.3.4", "MPa", Provenance.READ),
        pad.stress_mpa(loads.vertical_service_max_kn),
        capacity,
        {
            **strain_needs(pad),
            "rubber_thickness_mm": pad.rubber_thickness_mm,
            "vertical_service_max_kn": loads.vertical_service_max_kn,
        },
    )


def _shim(pad: Pad, name: str, needed_mm: Floats, needs: dict[str, Floats]) -> Check:
    return compare(
        _rule(name, "14.7.5.3.5 (3rd ed.: .3.7)", "mm", Provenance.MEMORY),
        needed_mm,
        pad.shim_thickness_mm,
        {**needs, "shim_thickness_mm": pad.shim_thickness_mm},
    )


def shim_strength(pad: Pad, loads: Loads) -> Check:
    """Plate thickness against 3 h_max s_s / Fy."""
    needed = (
        3.0
        * pad.layer_thickness_mm
        * pad.stress_mpa(loads.vertical_service_max_kn)
        / pad.shim_yield_mpa
    )
    return _shim(
        pad,
        "Plate thickness, strength",
        needed,
        {
            **layer_needs(pad),
            "shim_yield_mpa": pad.shim_yield_mpa,
            "vertical_service_max_kn": loads.vertical_service_max_kn,
        },
    )


def shim_fatigue(pad: Pad, loads: Loads) -> Check:
    """Plate thickness against 2 h_max s_L / 24 ksi."""
    threshold = SHIM_FATIGUE_KSI * MPA_PER_KSI
    needed = 2.0 * pad.layer_thickness_mm * pad.stress_mpa(loads.live_kn) / threshold
    return _shim(
        pad, "Plate thickness, fatigue", needed, {**layer_needs(pad), "live_kn": loads.live_kn}
    )


def shim_least(pad: Pad) -> Check:
    """Plate thickness against 1/16 in."""
    return _shim(pad, "Plate thickness, least", np.asarray(SHIM_LEAST_IN * MM_PER_IN), {})


def strain_needs(pad: Pad) -> dict[str, Floats]:
    return {**layer_needs(pad), "shear_modulus_mpa": pad.shear_modulus_mpa}
