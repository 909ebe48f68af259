"""Missouri DOT, Engineering Policy Guide 751.13, revision of 7 February 2014.

Read, but for the load factor (an image; 1.2 reproduces the table) and the rule of the gap
(inferred from the table).  Movements are along the road.
"""

from __future__ import annotations

from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from movement.checks import Floats, at_least_zero, known_or_missing
from movement.sizing import rounded_mm, rounded_up_mm
from movement.standards.aashto_lrfd_9_temperature import celsius
from movement.temperature import DeckType
from movement.thermal_range import BridgeExtremes
from movement.us_units import MM_PER_IN

EDITION = "MoDOT EPG 751.13, 2014 revision"
BASE_TEMPERATURE_F = 60.0
EXTREMES_F = {"steel": (-30.0, 120.0), "concrete": (-10.0, 110.0)}
EXPANSION_PER_F = {"steel": 6.5e-6, "concrete": 6.0e-6}
MODOT_SKEW_MOST_DEG = {"compression seal": 20.0, "strip seal": 45.0}  # EPG 751.13; read
LOAD_FACTOR_TU = 1.2
LEAST_GAP_IN, GAP_STEP_IN = 1.0, 0.25
SMALL_MOVEMENT_IN, LARGE_MOVEMENT_IN = 2.0, 4.0
STATED_CHANGE_F, STATED_STEP_IN = 10.0, 1.0 / 16.0  # the step from memory, medium


class JointType(StrEnum):
    """Joints that the guide chooses between."""

    COMPRESSION_SEAL = "compression seal"
    STRIP_SEAL = "strip seal"
    FLAT_PLATE = "flat plate"
    FINGER_PLATE = "finger plate"


def _material(deck_type: DeckType) -> str:
    return "concrete" if DeckType(deck_type) == DeckType.CONCRETE else "steel"


def design_extremes(deck_type: DeckType) -> BridgeExtremes:
    """Design extremes; a composite deck takes those of its steel [degC]."""
    low_f, high_f = EXTREMES_F[_material(deck_type)]
    return BridgeExtremes(celsius(low_f), celsius(high_f), f"{EDITION}, {_material(deck_type)}")


def expansion_per_c(deck_type: DeckType) -> float:
    """Coefficient of thermal expansion [1/degC]."""
    return EXPANSION_PER_F[_material(deck_type)] * 1.8


def gap_at_base_mm(factored_rise_mm: ArrayLike) -> Floats:
    """Gap along the road to set at 60 degF: 1 in more than the factored rise, up to 1/4 in."""
    rise = at_least_zero("factored_rise_mm", factored_rise_mm)
    return rounded_up_mm(LEAST_GAP_IN * MM_PER_IN + rise, GAP_STEP_IN * MM_PER_IN)


def change_stated_on_plans_mm(slope_mm_per_c: ArrayLike) -> Floats:
    """Movement for a change of 10 degF, to the nearest 1/16 in, as the plans state it [mm]."""
    change = known_or_missing("slope_mm_per_c", slope_mm_per_c) * STATED_CHANGE_F / 1.8
    return rounded_mm(np.abs(change), STATED_STEP_IN * MM_PER_IN)


def joint_types(movement_mm: ArrayLike, skew_deg: ArrayLike) -> dict[JointType, NDArray[np.bool_]]:
    """Tell which joints the guide allows for a factored movement and a skew.

    Compression seal up to 2 in and 20 deg; strip seal 2 to 4 in and up to 45 deg; flat plate
    above 45 deg; finger plate without a limit.  False where movement or skew is not known.
    """
    movement = at_least_zero("movement_mm", movement_mm) / MM_PER_IN
    skew = np.abs(known_or_missing("skew_deg", skew_deg))
    movement, skew = np.broadcast_arrays(movement, skew)
    hair = 1e-9
    small, large = SMALL_MOVEMENT_IN, LARGE_MOVEMENT_IN
    seal_skew = MODOT_SKEW_MOST_DEG[JointType.COMPRESSION_SEAL]
    strip_skew = MODOT_SKEW_MOST_DEG[JointType.STRIP_SEAL]
    return {
        JointType.COMPRESSION_SEAL: (movement <= small + hair) & (skew <= seal_skew),
        JointType.STRIP_SEAL: (movement >= small - hair)
        & (movement <= large + hair)
        & (skew <= strip_skew),
        JointType.FLAT_PLATE: ~np.isnan(movement) & (skew > strip_skew),
        JointType.FINGER_PLATE: ~np.isnan(movement + skew),
    }
