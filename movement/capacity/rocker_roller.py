"""Rocker and roller bearings as found: tilt, and contact along a line or at a point."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from movement.capacity.bearing_inputs import Loads
from movement.capacity.results import (
    Carried,
    Check,
    Provenance,
    Rule,
    above_zero_or_missing,
    compare,
)
from movement.checks import Floats, known_or_missing
from movement.errors import InputError
from movement.us_units import MPA_PER_KSI, N_PER_KN

AASHTO = "AASHTO LRFD, 9th ed. (2020)"
EN_ROCKER, EN_ROLLER = "EN 1337-6:2004", "EN 1337-4:2004"
STEEL_MODULUS_AASHTO_MPA = 29_000.0 * MPA_PER_KSI  # 6.4.1
STEEL_MODULUS_EN_MPA = 210_000.0  # EN 1993
LINE_FACTOR_AASHTO = 8.0  # 14.7.1.4; from memory
LINE_FACTOR_EN, POINT_FACTOR_EN = 23.0, 220.0  # EN 1337-4 and -6; from memory


def rocker_tilt_deg(movement_mm: ArrayLike, rocker_radius_mm: ArrayLike) -> Floats:
    """Tilt of a rocker pinned at the centre of its curved face: D / R [deg].  From memory."""
    radius = above_zero_or_missing("rocker_radius_mm", rocker_radius_mm)
    return np.asarray(np.degrees(known_or_missing("movement_mm", movement_mm) / radius))


def roller_tilt_deg(movement_mm: ArrayLike, roller_radius_mm: ArrayLike) -> Floats:
    """Turn of a roller between flat plates, which moves half as far: D / 2R [deg].

    From memory (geometry).
    """
    return rocker_tilt_deg(movement_mm, roller_radius_mm) / 2.0


def tilt(tilt_deg: Carried, tilt_limit_deg: ArrayLike) -> list[Check]:
    """Tilt against the register's limit, as found and at both extremes."""
    limit = above_zero_or_missing("tilt_limit_deg", tilt_limit_deg)
    rule = Rule("Tilt", "design tilt", "register", "deg", Provenance.DESIGN)
    return [
        compare(rule, np.abs(angle), limit, {field: angle, "tilt_limit_deg": limit}, when)
        for when, angle, field in tilt_deg.states()
    ]


def line_contact_aashto(
    loads: Loads,
    radius_mm: ArrayLike,
    contact_length_mm: ArrayLike,
    yield_mpa: ArrayLike,
    mating_curvature_per_mm: ArrayLike = 0.0,
) -> Check:
    """Service load on a line of contact against 8 W [D1 / (1 - D1/D2)] Fy^2 / Es.

    Parameters
    ----------
    radius_mm : array_like
        Of the curved face; D1 is twice that [mm].
    contact_length_mm, yield_mpa : array_like
        W [mm]; Fy of the weaker steel [MPa].
    mating_curvature_per_mm : array_like
        1 / D2: 0 for a flat plate, positive for a hollow one that hugs the curved face,
        negative for a bulging one [1/mm].

    Raises
    ------
    InputError
        If the hollow is as narrow as the curved face, or narrower.

    Notes
    -----
    Source: AASHTO LRFD, 9th ed. (2020), 14.7.1.4; from memory.
    """
    radius = above_zero_or_missing("rocker_radius_mm", radius_mm)
    length = above_zero_or_missing("contact_length_mm", contact_length_mm)
    strength = above_zero_or_missing("yield_mpa", yield_mpa)
    curvature = known_or_missing("mating_curvature_per_mm", mating_curvature_per_mm)
    opening = 1.0 - 2.0 * radius * curvature
    if (opening <= 0).any():
        raise InputError(
            "mating_curvature_per_mm",
            f"{np.nanmax(curvature):g} is a hollow no wider than the curved face",
            "Give 1 / diameter of the mating face, 0 for a flat one.",
        )
    capacity_n = (
        LINE_FACTOR_AASHTO
        * length
        * (2.0 * radius / opening)
        * strength**2
        / STEEL_MODULUS_AASHTO_MPA
    )
    return compare(
        Rule("Line contact", "14.7.1.4", AASHTO, "kN", Provenance.MEMORY),
        loads.vertical_service_max_kn,
        capacity_n / N_PER_KN,
        {
            "rocker_radius_mm": radius,
            "contact_length_mm": length,
            "yield_mpa": strength,
            "mating_curvature_per_mm": curvature,
            "vertical_service_max_kn": loads.vertical_service_max_kn,
        },
    )


def line_contact_en(
    loads: Loads,
    radius_mm: ArrayLike,
    contact_length_mm: ArrayLike,
    ultimate_mpa: ArrayLike,
    is_roller: bool,
    partial_factor: float = 1.0,
) -> Check:
    """Factored load on a line of contact with a flat plate against 23 R f_u^2 L / E_s."""
    radius = above_zero_or_missing("rocker_radius_mm", radius_mm)
    length = above_zero_or_missing("contact_length_mm", contact_length_mm)
    strength = above_zero_or_missing("ultimate_mpa", ultimate_mpa)
    per_mm = LINE_FACTOR_EN * radius * strength**2 / STEEL_MODULUS_EN_MPA / partial_factor**2
    edition = EN_ROLLER if is_roller else EN_ROCKER
    return compare(
        Rule("Line contact", "contact strength", edition, "kN", Provenance.MEMORY),
        loads.vertical_strength_max_kn,
        per_mm * length / N_PER_KN,
        {
            "rocker_radius_mm": radius,
            "contact_length_mm": length,
            "ultimate_mpa": strength,
            "vertical_strength_max_kn": loads.vertical_strength_max_kn,
        },
    )


def point_contact_en(
    loads: Loads, radius_mm: ArrayLike, ultimate_mpa: ArrayLike, partial_factor: float = 1.0
) -> Check:
    """Factored load on a point rocker against 220 R^2 f_u^3 / E_s^2."""
    radius = above_zero_or_missing("rocker_radius_mm", radius_mm)
    strength = above_zero_or_missing("ultimate_mpa", ultimate_mpa)
    capacity_n = (
        POINT_FACTOR_EN * radius**2 * strength**3 / STEEL_MODULUS_EN_MPA**2 / partial_factor**2
    )
    return compare(
        Rule("Point contact", "contact strength", EN_ROCKER, "kN", Provenance.MEMORY),
        loads.vertical_strength_max_kn,
        capacity_n / N_PER_KN,
        {
            "rocker_radius_mm": radius,
            "ultimate_mpa": strength,
            "vertical_strength_max_kn": loads.vertical_strength_max_kn,
        },
    )


def rocker_roller_aashto(
    loads: Loads,
    tilt_deg: Carried,
    tilt_limit_deg: ArrayLike = np.nan,
    radius_mm: ArrayLike = np.nan,
    contact_length_mm: ArrayLike = np.nan,
    yield_mpa: ArrayLike = np.nan,
) -> list[Check]:
    """Checks of a rocker or roller by AASHTO LRFD, on a flat plate."""
    return [
        *tilt(tilt_deg, tilt_limit_deg),
        line_contact_aashto(loads, radius_mm, contact_length_mm, yield_mpa),
    ]


def rocker_roller_en(
    loads: Loads,
    tilt_deg: Carried,
    is_roller: bool,
    tilt_limit_deg: ArrayLike = np.nan,
    radius_mm: ArrayLike = np.nan,
    contact_length_mm: ArrayLike = np.nan,
    ultimate_mpa: ArrayLike = np.nan,
) -> list[Check]:
    """Checks of a rocker (EN 1337-6) or roller (EN 1337-4) on a flat plate."""
    return [
        *tilt(tilt_deg, tilt_limit_deg),
        line_contact_en(loads, radius_mm, contact_length_mm, ultimate_mpa, is_roller),
    ]
