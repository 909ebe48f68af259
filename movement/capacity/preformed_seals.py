"""Preformed seals: limits of a state summary, of Idaho and of New Hampshire.  All read."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from movement.capacity.joints import SINGLE_GAP_MOST_IN, at_most, at_most_skew, skew_checked
from movement.capacity.results import Carried, Check, Provenance, Rule, above_zero_or_missing
from movement.capacity.seals import IDAHO, PREFORMED, total_movement
from movement.checks import Floats
from movement.us_units import MM_PER_IN

NEW_HAMPSHIRE = "NHDOT Design Memo 2018-02"
PREFORMED_SKEW_MOST_DEG = 45.0  # state summary of preformed seals
SMALL_MOVEMENT_SKEW_MOST_DEG = 30.0  # Idaho, compression and silicone seals
SMALL_MOVEMENT_MOST_IN = 2.0  # Idaho: about 1 to 2 in in all


def preformed_skew(skew_deg: ArrayLike) -> Check:
    """Skew against 45 deg."""
    rule = Rule("Skew of a preformed seal", "limits", PREFORMED, "deg", Provenance.READ)
    return at_most_skew(rule, skew_deg, PREFORMED_SKEW_MOST_DEG)


def preformed_largest_gap_mm(normal_limit_mm: ArrayLike, skew_deg: ArrayLike) -> Floats:
    """Largest gap along the road: the limit square to the joint over cos(skew), 4 in at most.

    NaN where an input is not known [mm].
    """
    limit = above_zero_or_missing("normal_limit_mm", normal_limit_mm)
    along = limit / np.cos(np.radians(skew_checked(skew_deg)))
    return np.asarray(np.minimum(along, SINGLE_GAP_MOST_IN * MM_PER_IN))


def stays_compressed(square_gap_mm: Carried, seal_width_mm: ArrayLike) -> list[Check]:
    """Gap square to the joint against the uncompressed width of a closed-cell seal.

    It must stay in compression over the whole design range; makers' tables that let it be
    stretched by 30 % no longer count.
    """
    width = above_zero_or_missing("seal_width_mm", seal_width_mm)
    rule = Rule("Seal stays compressed", "memo", NEW_HAMPSHIRE, "mm", Provenance.READ)
    return at_most(rule, square_gap_mm, width, {"seal_width_mm": width})


def small_movement_skew(skew_deg: ArrayLike) -> Check:
    """Skew of a compression or silicone seal against 30 deg."""
    rule = Rule(
        "Skew, small movement joint", "small movement joints", IDAHO, "deg", Provenance.READ
    )
    return at_most_skew(rule, skew_deg, SMALL_MOVEMENT_SKEW_MOST_DEG)


def small_movement_total(gap_mm: Carried) -> Check:
    """Movement between both design extremes against 2 in, the upper end of "about 1 to 2 in"."""
    rule = Rule(
        "Movement, small movement joint", "small movement joints", IDAHO, "mm", Provenance.READ
    )
    return total_movement(rule, gap_mm, SMALL_MOVEMENT_MOST_IN * MM_PER_IN)
