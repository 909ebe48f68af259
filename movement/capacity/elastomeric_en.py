"""Steel-reinforced elastomeric bearings by EN 1337-3:2005; every figure is from memory.

Only rectangular plans: for round ones the reduced area and the rotation strain are not held,
and the checks say that they need a length and a width.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from movement.capacity.bearing_inputs import Deformed, Loads, Pad
from movement.capacity.results import Check, Provenance, Rule, compare
from movement.checks import Floats, at_least_zero
from movement.us_units import N_PER_KN

EDITION = "EN 1337-3:2005"
SHEAR_STRAIN_LIMIT = 1.0  # 5.3.3.3
TOTAL_STRAIN_LIMIT = 7.0  # 5.3.3.1, gamma_m 1.0
TYPE_LOADING_FACTOR = 1.0  # K_L, 5.3.3.1; 1.5 under live load in some national choices
ROTATION_FACTOR = 3.0  # K_r, 5.3.3.6
BULK_MODULUS_MPA = 2000.0  # E_b, 5.3.3.7
FRICTION_BASE, FRICTION_STRESS_FACTOR = 0.1, 1.5  # 5.3.3.6
K_F_CONCRETE, K_F_OTHER = 0.6, 0.2
LEAST_PERMANENT_STRESS_MPA = 3.0
PLATE_FACTOR, PLATE_LEAST_MM = 1.3, 2.0  # 5.3.3.5


def _rule(name: str, clause: str, unit: str) -> Rule:
    return Rule(name, clause, EDITION, unit, Provenance.MEMORY)


def _effective(pad: Pad) -> tuple[Floats, Floats]:
    """Plan of the plates, a' and b' [mm]."""
    return (
        pad.plan_length_mm - 2.0 * pad.side_cover_mm,
        pad.plan_width_mm - 2.0 * pad.side_cover_mm,
    )


def shape_factor(pad: Pad) -> Floats:
    """Shape factor over the plates, S = a' b' / [2 (a' + b') t] [-].  5.3.3.2."""
    a, b = _effective(pad)
    return a * b / (2.0 * (a + b) * pad.layer_thickness_mm)


def reduced_area_mm2(pad: Pad, found: Deformed) -> Floats:
    """Plates' area still above one another, A1 (1 - vx/a' - vy/b'), at least 0.  5.3.3.2."""
    a, b = _effective(pad)
    share = 1.0 - np.abs(found.offset_along_mm) / a - np.abs(found.offset_across_mm) / b
    return a * b * np.maximum(share, 0.0)


def _over_area(numerator: Floats, area: Floats) -> Floats:
    """Divide by an area; nothing left to stand on is an infinite stress, or 0 under no load."""
    numerator, area = np.broadcast_arrays(numerator, area)
    spent = np.where(numerator > 0, np.inf, 0.0)
    out = np.where(np.isnan(area) | np.isnan(numerator), np.nan, spent)
    np.divide(numerator, area, out=out, where=area > 0)
    return out


def compression_strain(pad: Pad, loads: Loads, found: Deformed) -> Floats:
    """e_c = 1.5 Fz / (G A_r S) [-].  5.3.3.2."""
    force = 1.5 * loads.vertical_strength_max_kn * N_PER_KN
    return _over_area(
        force / (pad.shear_modulus_mpa * shape_factor(pad)), reduced_area_mm2(pad, found)
    )


def rotation_strain(pad: Pad, found: Deformed) -> Floats:
    """e_a = (a'^2 alpha_a + b'^2 alpha_b) t / (2 sum t^3) [-].  5.3.3.4."""
    a, b = _effective(pad)
    turn = a**2 * np.abs(found.rotation_along_mrad) + b**2 * np.abs(found.rotation_across_mrad)
    return turn / 1000.0 / (2.0 * _layers(pad) * pad.layer_thickness_mm**2)


def shear_strain(pad: Pad, found: Deformed) -> Check:
    """Shear strain as found, e_q = v / T_q, against 1.0."""
    return compare(
        _rule("Shear strain", "5.3.3.3", "-"),
        found.peak_offset_mm / pad.rubber_thickness_mm,
        SHEAR_STRAIN_LIMIT,
        {**found.peak_offset_needs, "rubber_thickness_mm": pad.rubber_thickness_mm},
    )


def total_strain(
    pad: Pad, loads: Loads, found: Deformed, loading_factor: float = TYPE_LOADING_FACTOR
) -> Check:
    """K_L (e_c + e_q + e_a) against 7.0."""
    shear = found.peak_offset_mm / pad.rubber_thickness_mm
    return compare(
        _rule("Total strain", "5.3.3.1", "-"),
        loading_factor
        * (compression_strain(pad, loads, found) + shear + rotation_strain(pad, found)),
        TOTAL_STRAIN_LIMIT,
        {
            **_layer_needs(pad),
            **found.peak_offset_needs,
            "rubber_thickness_mm": pad.rubber_thickness_mm,
            "shear_modulus_mpa": pad.shear_modulus_mpa,
            "vertical_strength_max_kn": loads.vertical_strength_max_kn,
            **_rotation_needs(pad, found),
        },
    )


def compression_mm(pad: Pad, load_kn: Floats) -> Floats:
    """Compressive deflection, Fz t / A1 [1/(5 G S^2) + 1/E_b] of every layer.  5.3.3.7."""
    a, b = _effective(pad)
    per_stress = 1.0 / (5.0 * pad.shear_modulus_mpa * shape_factor(pad) ** 2)
    thickness = pad.interior_layers * pad.layer_thickness_mm
    return load_kn * N_PER_KN * thickness / (a * b) * (per_stress + 1.0 / BULK_MODULUS_MPA)


def rotation_limit(pad: Pad, loads: Loads, found: Deformed) -> Check:
    """Lift of an edge, (a' alpha_a + b' alpha_b) / 3, against the compression there."""
    a, b = _effective(pad)
    lift = a * np.abs(found.rotation_along_mrad) + b * np.abs(found.rotation_across_mrad)
    return compare(
        _rule("Rotation, lift-off of an edge", "5.3.3.6", "mm"),
        lift / 1000.0 / ROTATION_FACTOR,
        np.maximum(compression_mm(pad, loads.vertical_strength_max_kn), 0.0),
        {
            **_layer_needs(pad),
            "shear_modulus_mpa": pad.shear_modulus_mpa,
            "vertical_strength_max_kn": loads.vertical_strength_max_kn,
            **_rotation_needs(pad, found),
        },
    )


def buckling(pad: Pad, loads: Loads, found: Deformed) -> Check:
    """Stress on the reduced area against 2 a' G S / (3 T_e), a' the shorter side."""
    a, b = _effective(pad)
    capacity = (
        2.0
        * np.minimum(a, b)
        * pad.shear_modulus_mpa
        * shape_factor(pad)
        / (3.0 * pad.rubber_thickness_mm)
    )
    return compare(
        _rule("Buckling", "5.3.3.6", "MPa"),
        _over_area(loads.vertical_strength_max_kn * N_PER_KN, reduced_area_mm2(pad, found)),
        capacity,
        {
            **_layer_needs(pad),
            **found.offset_needs,
            "rubber_thickness_mm": pad.rubber_thickness_mm,
            "shear_modulus_mpa": pad.shear_modulus_mpa,
            "vertical_strength_max_kn": loads.vertical_strength_max_kn,
        },
    )


def slip(
    pad: Pad, loads: Loads, found: Deformed, friction_factor: ArrayLike = K_F_CONCRETE
) -> Check:
    """Shear force as found against mu_e Fz,min, mu_e = 0.1 + 1.5 K_f / s_m."""
    factor = at_least_zero("friction_factor", friction_factor)
    least_n = np.maximum(loads.vertical_service_min_kn, 0.0) * N_PER_KN
    # mu_e Fz = 0.1 Fz + 1.5 K_f A_r while there is load; none holds without it.
    held = np.where(least_n > 0, FRICTION_STRESS_FACTOR * factor, 0.0)
    holding = FRICTION_BASE * least_n + held * reduced_area_mm2(pad, found)
    force = pad.shear_modulus_mpa * pad.area_mm2 * found.offset_mm / pad.rubber_thickness_mm
    return compare(
        _rule("Slip of the bearing", "5.3.3.6", "kN"),
        force / N_PER_KN,
        holding / N_PER_KN,
        {
            **_plan_needs(pad),
            **found.offset_needs,
            "rubber_thickness_mm": pad.rubber_thickness_mm,
            "shear_modulus_mpa": pad.shear_modulus_mpa,
            "vertical_service_min_kn": loads.vertical_service_min_kn,
            "friction_factor": factor,
        },
    )


def least_stress(pad: Pad, loads: Loads, found: Deformed) -> Check:
    """3 MPa asked for against the stress of permanent load on the reduced area."""
    load_n = np.maximum(loads.permanent_kn, 0.0) * N_PER_KN
    return compare(
        _rule("Least stress against slip", "5.3.3.6", "MPa"),
        LEAST_PERMANENT_STRESS_MPA,
        _over_area(load_n, reduced_area_mm2(pad, found)),
        {**_plan_needs(pad), **found.offset_needs, "permanent_kn": loads.permanent_kn},
    )


def plates(pad: Pad, loads: Loads, found: Deformed, hole_factor: float = 1.0) -> Check:
    """Thickness asked for, 1.3 Fz (t1 + t2) K_h / (A_r f_y) and 2 mm, against the plates.

    ``hole_factor`` is K_h, 1 without holes.
    """
    force = PLATE_FACTOR * loads.vertical_strength_max_kn * N_PER_KN * hole_factor
    needed = _over_area(
        force * 2.0 * pad.layer_thickness_mm / pad.shim_yield_mpa, reduced_area_mm2(pad, found)
    )
    return compare(
        _rule("Plate thickness", "5.3.3.5", "mm"),
        np.maximum(needed, PLATE_LEAST_MM),
        pad.shim_thickness_mm,
        {
            **_plan_needs(pad),
            **found.offset_needs,
            "layer_thickness_mm": pad.layer_thickness_mm,
            "shim_yield_mpa": pad.shim_yield_mpa,
            "shim_thickness_mm": pad.shim_thickness_mm,
            "vertical_strength_max_kn": loads.vertical_strength_max_kn,
        },
    )


def _layers(pad: Pad) -> Floats:
    return np.where(pad.interior_layers > 0, pad.interior_layers, np.nan)


def _plan_needs(pad: Pad) -> dict[str, Floats]:
    return {
        "plan_length_mm": pad.plan_length_mm,
        "plan_width_mm": pad.plan_width_mm,
        "side_cover_mm": pad.side_cover_mm,
    }


def _layer_needs(pad: Pad) -> dict[str, Floats]:
    return {**_plan_needs(pad), "layer_thickness_mm": pad.layer_thickness_mm}


def _rotation_needs(pad: Pad, found: Deformed) -> dict[str, Floats]:
    return {
        "interior_layers": _layers(pad),
        "rotation_along_mrad": found.rotation_along_mrad,
        "rotation_across_mrad": found.rotation_across_mrad,
    }
