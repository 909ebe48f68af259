"""Pot, disc, spherical and pin bearings as found: rotation and pad stress."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from movement.capacity.bearing_inputs import Loads, small_rotation_or_missing
from movement.capacity.results import Check, Provenance, Rule, above_zero_or_missing, compare
from movement.checks import Floats, at_least_zero
from movement.us_units import MPA_PER_KSI, N_PER_KN

AASHTO = "AASHTO LRFD, 9th ed. (2020)"
EN_POT = "EN 1337-5:2005"
FABRICATION_MRAD, UNCERTAINTY_MRAD = 5.0, 5.0  # 14.4.2.2.1; from memory
POT_STRESS_KSI, DISC_STRESS_KSI = 3.5, 5.0  # 14.7.4, 14.7.8; from memory
POT_DEPTH_FACTOR = 3.33  # 14.7.4.3: h_r >= 3.33 D_p theta_u; from memory
EN_ROTATION_MRAD, EN_VARIABLE_ROTATION_MRAD = 30.0, 5.0  # EN 1337-5; from memory
EN_ELASTOMER_MPA, EN_PARTIAL_FACTOR = 60.0, 1.3  # EN 1337-5, f_k and gamma_M; from memory


def _asked(
    rotation_mrad: ArrayLike, live_rotation_mrad: ArrayLike, fabrication_mrad: ArrayLike
) -> tuple[Floats, dict[str, Floats]]:
    """Rotation found, from live load, and both allowances [mrad]; with what they need."""
    found = small_rotation_or_missing("rotation_mrad_found", rotation_mrad)
    live = at_least_zero("live_rotation_mrad", live_rotation_mrad)
    fabrication = at_least_zero("fabrication_mrad", fabrication_mrad)
    needs = {
        "rotation_mrad_found": found,
        "live_rotation_mrad": live,
        "fabrication_mrad": fabrication,
    }
    return np.abs(found) + live + fabrication + UNCERTAINTY_MRAD, needs


def rotation_aashto(
    rotation_mrad: ArrayLike,
    rotation_capacity_mrad: ArrayLike,
    live_rotation_mrad: ArrayLike = 0.0,
    fabrication_mrad: ArrayLike = FABRICATION_MRAD,
) -> Check:
    """Rotation found + live + 0.005 (fabrication) + 0.005 (uncertainty) against capacity.

    ``live_rotation_mrad`` is what passing load still adds to the rotation read, 0 where it
    was read under it; ``fabrication_mrad`` may be less where an approved quality plan says.
    """
    capacity = above_zero_or_missing("rotation_mrad", rotation_capacity_mrad)
    demand, needs = _asked(rotation_mrad, live_rotation_mrad, fabrication_mrad)
    return compare(
        Rule("Rotation", "14.4.2.2.1", AASHTO, "mrad", Provenance.MEMORY),
        demand,
        capacity,
        {**needs, "rotation_mrad": capacity},
    )


def rotation_design(rotation_mrad: ArrayLike, rotation_capacity_mrad: ArrayLike) -> Check:
    """Rotation found against the bearing's own design figure, with no allowance."""
    capacity = above_zero_or_missing("rotation_mrad", rotation_capacity_mrad)
    found = small_rotation_or_missing("rotation_mrad_found", rotation_mrad)
    return compare(
        Rule("Rotation", "design rotation", "register", "mrad", Provenance.DESIGN),
        np.abs(found),
        capacity,
        {"rotation_mrad_found": found, "rotation_mrad": capacity},
    )


def rotation_pot_en(rotation_mrad: ArrayLike, live_rotation_mrad: ArrayLike = 0.0) -> Check:
    """Rotation of a pot bearing, found and live, against 0.030 rad."""
    found = small_rotation_or_missing("rotation_mrad_found", rotation_mrad)
    live = at_least_zero("live_rotation_mrad", live_rotation_mrad)
    return compare(
        Rule("Rotation", "total rotation", EN_POT, "mrad", Provenance.MEMORY),
        np.abs(found) + live,
        EN_ROTATION_MRAD,
        {"rotation_mrad_found": found, "live_rotation_mrad": live},
    )


def variable_rotation_pot_en(live_rotation_mrad: ArrayLike) -> Check:
    """Rotation from passing load against 0.005 rad, for the wear of the seal."""
    live = at_least_zero("live_rotation_mrad", live_rotation_mrad)
    return compare(
        Rule("Variable rotation", "wear of the seal", EN_POT, "mrad", Provenance.MEMORY),
        live,
        EN_VARIABLE_ROTATION_MRAD,
        {"live_rotation_mrad": live},
    )


def _stress(rule: Rule, diameter: Floats, load: Floats, field: str, limit_mpa: float) -> Check:
    return compare(
        rule,
        np.maximum(load, 0.0) * N_PER_KN / (np.pi / 4.0 * diameter**2),
        limit_mpa,
        {"plan_diameter_mm": diameter, field: load},
    )


def pad_stress_pot_aashto(plan_diameter_mm: ArrayLike, loads: Loads) -> Check:
    """Mean service stress of the pot's elastomer against 3.5 ksi."""
    return _stress(
        Rule("Elastomer stress", "14.7.4.4", AASHTO, "MPa", Provenance.MEMORY),
        above_zero_or_missing("plan_diameter_mm", plan_diameter_mm),
        loads.vertical_service_max_kn,
        "vertical_service_max_kn",
        POT_STRESS_KSI * MPA_PER_KSI,
    )


def pad_stress_pot_en(
    plan_diameter_mm: ArrayLike, loads: Loads, partial_factor: float = EN_PARTIAL_FACTOR
) -> Check:
    """Mean factored stress of the pot's elastomer against 60 MPa / gamma_M."""
    return _stress(
        Rule("Elastomer stress", "6.2.1", EN_POT, "MPa", Provenance.MEMORY),
        above_zero_or_missing("plan_diameter_mm", plan_diameter_mm),
        loads.vertical_strength_max_kn,
        "vertical_strength_max_kn",
        EN_ELASTOMER_MPA / partial_factor,
    )


def disc_stress_aashto(plan_diameter_mm: ArrayLike, loads: Loads) -> Check:
    """Mean service stress of the disc against 5.0 ksi."""
    return _stress(
        Rule("Disc stress", "14.7.8.3", AASHTO, "MPa", Provenance.MEMORY),
        above_zero_or_missing("plan_diameter_mm", plan_diameter_mm),
        loads.vertical_service_max_kn,
        "vertical_service_max_kn",
        DISC_STRESS_KSI * MPA_PER_KSI,
    )


def pot_depth_aashto(
    plan_diameter_mm: ArrayLike,
    rubber_thickness_mm: ArrayLike,
    rotation_mrad: ArrayLike,
    live_rotation_mrad: ArrayLike = 0.0,
    fabrication_mrad: ArrayLike = FABRICATION_MRAD,
) -> Check:
    """Depth asked for, 3.33 D_p theta with both allowances, against the elastomer's depth."""
    diameter = above_zero_or_missing("plan_diameter_mm", plan_diameter_mm)
    depth = above_zero_or_missing("rubber_thickness_mm", rubber_thickness_mm)
    theta, needs = _asked(rotation_mrad, live_rotation_mrad, fabrication_mrad)
    return compare(
        Rule("Depth of the elastomer", "14.7.4.3", AASHTO, "mm", Provenance.MEMORY),
        POT_DEPTH_FACTOR * diameter * theta / 1000.0,
        depth,
        {**needs, "plan_diameter_mm": diameter, "rubber_thickness_mm": depth},
    )


def pot_aashto(
    loads: Loads,
    rotation_mrad: ArrayLike,
    rotation_capacity_mrad: ArrayLike = np.nan,
    plan_diameter_mm: ArrayLike = np.nan,
    rubber_thickness_mm: ArrayLike = np.nan,
    live_rotation_mrad: ArrayLike = 0.0,
) -> list[Check]:
    """Checks of a pot bearing by AASHTO LRFD; a sliding one has those of sliding too."""
    return [
        rotation_design(rotation_mrad, rotation_capacity_mrad),
        rotation_aashto(rotation_mrad, rotation_capacity_mrad, live_rotation_mrad),
        pad_stress_pot_aashto(plan_diameter_mm, loads),
        pot_depth_aashto(plan_diameter_mm, rubber_thickness_mm, rotation_mrad, live_rotation_mrad),
    ]


def pot_en(
    loads: Loads,
    rotation_mrad: ArrayLike,
    rotation_capacity_mrad: ArrayLike = np.nan,
    plan_diameter_mm: ArrayLike = np.nan,
    live_rotation_mrad: ArrayLike = np.nan,
) -> list[Check]:
    """Checks of a pot bearing by EN 1337-5; live rotation not given counts as none in total."""
    live = at_least_zero("live_rotation_mrad", live_rotation_mrad)
    return [
        rotation_design(rotation_mrad, rotation_capacity_mrad),
        rotation_pot_en(rotation_mrad, np.nan_to_num(live)),
        variable_rotation_pot_en(live),
        pad_stress_pot_en(plan_diameter_mm, loads),
    ]


def disc_aashto(
    loads: Loads,
    rotation_mrad: ArrayLike,
    rotation_capacity_mrad: ArrayLike = np.nan,
    plan_diameter_mm: ArrayLike = np.nan,
    live_rotation_mrad: ArrayLike = 0.0,
) -> list[Check]:
    """Checks of a disc bearing by AASHTO LRFD; EN 1337 has no part for discs."""
    return [
        rotation_design(rotation_mrad, rotation_capacity_mrad),
        rotation_aashto(rotation_mrad, rotation_capacity_mrad, live_rotation_mrad),
        disc_stress_aashto(plan_diameter_mm, loads),
    ]


def spherical_aashto(
    rotation_mrad: ArrayLike,
    rotation_capacity_mrad: ArrayLike = np.nan,
    live_rotation_mrad: ArrayLike = 0.0,
) -> list[Check]:
    """Rotation of a spherical bearing; its contact stress stands with the sliding checks."""
    return [
        rotation_design(rotation_mrad, rotation_capacity_mrad),
        rotation_aashto(rotation_mrad, rotation_capacity_mrad, live_rotation_mrad),
    ]
