"""Sliding surfaces: bronze, usual sheets and level of installation, beside the standards."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from movement.capacity.bearing_inputs import Loads
from movement.capacity.results import Check, Provenance, Rule, above_zero_or_missing, compare
from movement.checks import Floats, at_least_zero, known_or_missing

AISI = "AISI Steel Bridge Bearing Selection and Design Guide, II-4"
BRONZE_FRICTION = (0.1, 0.4)  # self-lubricating; other bronze, up to; read
USUAL_SHEET_MM = {"US": (1.5, 3.0), "elsewhere": (4.5, 6.0)}  # PTFE, for recess and wear; read
LEVEL_MRAD = 1.0  # EN 1337 installation, by a brochure that garbles it as 1 %; read in a copy


def bronze_friction(self_lubricating: ArrayLike) -> Floats:
    """Coefficient of friction of a bronze plate, the greatest to reckon with [-]."""
    lubricating = np.asarray(self_lubricating, dtype=bool)
    return np.where(lubricating, BRONZE_FRICTION[0], BRONZE_FRICTION[1])


def bronze_friction_force(
    loads: Loads, self_lubricating: ArrayLike, horizontal_along_kn: ArrayLike
) -> Check:
    """Friction force of a bronze plate against the design horizontal force."""
    capacity = at_least_zero("horizontal_along_kn", horizontal_along_kn)
    load = np.maximum(loads.vertical_service_max_kn, 0.0)
    return compare(
        Rule("Friction force, bronze", "sliding surfaces", AISI, "kN", Provenance.READ),
        bronze_friction(self_lubricating) * load,
        capacity,
        {
            "vertical_service_max_kn": loads.vertical_service_max_kn,
            "horizontal_along_kn": capacity,
        },
    )


def usual_sheet(ptfe_thickness_mm: ArrayLike, where: str) -> list[Check]:
    """PTFE sheet against the usual range "US" or "elsewhere": a hint, and no limit."""
    thickness = above_zero_or_missing("ptfe_thickness_mm", ptfe_thickness_mm)
    thin, thick = USUAL_SHEET_MM[where]
    needs = {"ptfe_thickness_mm": thickness}

    def rule(name: str) -> Rule:
        return Rule(name, "sliding surfaces", AISI, "mm", Provenance.READ)

    return [
        compare(rule(f"PTFE sheet, usual least, {where}"), thin, thickness, needs),
        compare(rule(f"PTFE sheet, usual greatest, {where}"), thickness, thick, needs),
    ]


def level_of_installation(tilt_mrad: ArrayLike) -> Check:
    """Reference surface against the sliding plane, either way, against 1 per mille."""
    tilt = known_or_missing("level_mrad", tilt_mrad)
    return compare(
        Rule(
            "Level of the sliding plane", "installation", "EN 1337", "mrad", Provenance.READ_IN_COPY
        ),
        np.abs(tilt),
        LEVEL_MRAD,
        {"level_mrad": tilt},
    )
