"""Elastomeric bearings by the TxDOT LRFD Bridge Design Manual, chapter 5, section 2 (read)."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from movement.capacity.bearing_inputs import Deformed, Loads, Pad
from movement.capacity.results import Check, Provenance, Rule, compare
from movement.checks import Floats, at_least_zero, known_or_missing
from movement.errors import InputError
from movement.us_units import MPA_PER_KSI, N_PER_KN

EDITION = "TxDOT LRFD Bridge Design Manual"
CLAUSE = "chapter 5, section 2"
DEAD_LOAD_STRESS = (1.20, 1.20)  # times G S; largest stress [ksi]
TOTAL_LOAD_STRESS = (1.50, 1.50)
DISCRETION = 0.15  # more total load stress, at the engineer's discretion
FRICTION = 0.20
SHEAR_MODULUS_AT_0_F_KSI = 0.175
ROTATION_ALLOWANCE_MRAD = 5.0
ROTATION_SHARE = 0.8  # of L; the fraction bar of 0.8 L / 2 is lost in the text that was read


def _stress(pad: Pad, name: str, load_kn: Floats, field: str, limit: tuple[float, float]) -> Check:
    share, most_ksi = limit
    strength = share * pad.shear_modulus_mpa * pad.shape_factor(pad.layer_thickness_mm)
    return compare(
        Rule(name, CLAUSE, EDITION, "MPa", Provenance.READ),
        pad.stress_mpa(load_kn),
        np.minimum(most_ksi * MPA_PER_KSI, strength),
        {
            **pad.plan_needs,
            "layer_thickness_mm": pad.layer_thickness_mm,
            "shear_modulus_mpa": pad.shear_modulus_mpa,
            field: load_kn,
        },
    )


def dead_load_stress(pad: Pad, loads: Loads) -> Check:
    """Stress of permanent load against the smaller of 1.2 G S and 1.20 ksi."""
    return _stress(pad, "Dead load stress", loads.permanent_kn, "permanent_kn", DEAD_LOAD_STRESS)


def total_load_stress(pad: Pad, loads: Loads, at_discretion: bool = False) -> Check:
    """Stress of all service load against the smaller of 1.5 G S and 1.50 ksi.

    ``at_discretion``: 15 % more, where the engineer allows it.
    """
    more = 1.0 + DISCRETION if at_discretion else 1.0
    share, most_ksi = TOTAL_LOAD_STRESS
    load = loads.vertical_service_max_kn
    return _stress(
        pad, "Total load stress", load, "vertical_service_max_kn", (more * share, more * most_ksi)
    )


def total_height(pad: Pad) -> Check:
    """Elastomer (in place of the total height) against L/3 and W/3, or D/4."""
    return compare(
        Rule("Elastomer height", CLAUSE, EDITION, "mm", Provenance.READ),
        pad.rubber_thickness_mm,
        np.where(pad.is_round, pad.plan_diameter_mm / 4.0, pad.least_side_mm / 3.0),
        {**pad.plan_needs, "rubber_thickness_mm": pad.rubber_thickness_mm},
    )


def slip(pad: Pad, loads: Loads, found: Deformed, grade: ArrayLike) -> Check:
    """Shear deformation as found against that at which the pad slips in the cold.

    Parameters
    ----------
    grade : array_like
        Slope of the beam on the pad, Gr, 0 to 0.2 [-].

    Notes
    -----
    D_allow = (0.2 - Gr) DL h_rt / (G A), G 0.175 ksi at 0 degF.
    """
    slope = at_least_zero("grade", grade)
    if (slope > FRICTION).any():
        raise InputError(
            "grade", f"{np.nanmax(slope):g} is steeper than 0.2", "Give the slope as a fraction."
        )
    modulus = SHEAR_MODULUS_AT_0_F_KSI * MPA_PER_KSI
    holding_n = (FRICTION - slope) * np.maximum(loads.permanent_kn, 0.0) * N_PER_KN
    return compare(
        Rule("Slip of the pad", CLAUSE, EDITION, "mm", Provenance.READ),
        found.offset_mm,
        holding_n * pad.rubber_thickness_mm / (modulus * pad.area_mm2),
        {
            **pad.plan_needs,
            **found.offset_needs,
            "rubber_thickness_mm": pad.rubber_thickness_mm,
            "permanent_kn": loads.permanent_kn,
            "grade": slope,
        },
    )


def rotation(pad: Pad, found: Deformed, compressive_deflection_mm: ArrayLike) -> Check:
    """Rotation (found + live + 0.005 rad) that lifts an edge, against the compression there.

    Demand is theta 0.8 L / 2, capacity the compressive deflection of all service load.
    """
    deflection = at_least_zero("compressive_deflection_mm", compressive_deflection_mm)
    theta = np.abs(found.rotation_along_mrad) + found.live_rotation_mrad + ROTATION_ALLOWANCE_MRAD
    side = np.where(pad.is_round, pad.plan_diameter_mm, pad.plan_length_mm)
    return compare(
        Rule("Rotation, lift-off of an edge", CLAUSE, EDITION, "mm", Provenance.READ),
        theta / 1000.0 * ROTATION_SHARE * side / 2.0,
        deflection,
        {
            "plan_length_mm": np.where(pad.is_round, 0.0, pad.plan_length_mm),
            "rotation_along_mrad": known_or_missing("rotation", found.rotation_along_mrad),
            "live_rotation_mrad": found.live_rotation_mrad,
            "compressive_deflection_mm": deflection,
        },
    )
