"""Openings of deck joints as found and carried to both extremes, against their limits.

A gap along the road is the square gap divided by cos(skew).  For an opening that must not
fall below something, the demand is what is asked and the capacity the opening.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from movement.capacity.results import (
    Carried,
    Check,
    Provenance,
    Rule,
    above_zero_or_missing,
    compare,
)
from movement.checks import Floats, at_least_zero, known_or_missing
from movement.errors import InputError
from movement.geometry import LARGEST_SKEW_DEG
from movement.standards.modot_epg_751_13 import MODOT_SKEW_MOST_DEG
from movement.us_units import MM_PER_IN

AASHTO = "AASHTO LRFD, 9th ed. (2020)"
SINGLE_GAP_MOST_IN = 4.0  # 14.5.3.2; read for single gaps in MoDOT EPG 751.13 (2014)
MODULAR_GAP_MOST_IN = 3.0  # 14.5.3.2; from memory
STEEL_GAP_LEAST_IN = 1.0  # 14.5.3.2, steel or wood, at the factored extreme; as the first
LONG_FINGER_SLOT_IN = 8.0  # 14.5.3.2; from memory
FINGER_WIDTH_MOST_IN = (3.0, 2.0)  # slots not longer than 8 in, and longer ones; from memory
FINGER_OVERLAP_LEAST_IN = 1.5  # 14.5.3.2; from memory
LONGITUDINAL_GAP_MOST_IN = 1.0  # 14.5.3.2, joints that run along the road; from memory


def gap_on_axis(
    gap_mm: Carried, skew_deg: ArrayLike, taken_square: ArrayLike, wanted_square: bool
) -> Carried:
    """Turn a gap taken square to the joint into one along the road, or the other way.

    Source: WSDOT BDM ch. 9.1, normal movement D cos(theta); read.
    """
    cosine = np.cos(np.radians(skew_checked(skew_deg)))
    square = np.asarray(taken_square, dtype=bool)
    to_square, to_road = np.where(square, 1.0, cosine), np.where(square, 1.0 / cosine, 1.0)
    return gap_mm.scaled(to_square if wanted_square else to_road, gap_mm.quantity)


def skew_checked(skew_deg: ArrayLike) -> Floats:
    """Return the skew (NaN: not known); one beyond 80 deg is refused."""
    skew = known_or_missing("skew_deg", skew_deg)
    if (np.abs(skew) > LARGEST_SKEW_DEG).any():
        raise InputError(
            "skew_deg",
            f"{np.nanmax(np.abs(skew)):g} is beyond {LARGEST_SKEW_DEG:g}",
            "Give the angle between the joint's normal and the alignment.",
        )
    return skew


def at_most(
    rule: Rule, quantity: Carried, limit: ArrayLike, needs: dict[str, ArrayLike]
) -> list[Check]:
    """Compare each position with a largest value."""
    return [
        compare(rule, value, limit, {field: value, **needs}, when)
        for when, value, field in quantity.states()
    ]


def at_least(
    rule: Rule, quantity: Carried, limit: ArrayLike, needs: dict[str, ArrayLike]
) -> list[Check]:
    """Compare each position with a smallest value."""
    return [
        compare(rule, limit, value, {field: value, **needs}, when)
        for when, value, field in quantity.states()
    ]


def design_range(
    gap_mm: Carried, opening_min_mm: ArrayLike, opening_max_mm: ArrayLike
) -> list[Check]:
    """Opening against the joint's own range, taken on the axis that the range is given on."""
    low = at_least_zero("opening_min_mm", opening_min_mm)
    high = above_zero_or_missing("opening_max_mm", opening_max_mm)
    return [
        *at_most(_design("Largest opening"), gap_mm, high, {"opening_max_mm": high}),
        *at_least(_design("Smallest opening"), gap_mm, low, {"opening_min_mm": low}),
    ]


def _design(name: str) -> Rule:
    return Rule(name, "design figure", "register", "mm", Provenance.DESIGN)


def single_gap(gap_along_road_mm: Carried) -> list[Check]:
    """Gap along the road against 4.0 in; not for flat or finger plates."""
    rule = Rule("Gap along the road", "14.5.3.2", AASHTO, "mm", Provenance.READ)
    return at_most(rule, gap_along_road_mm, SINGLE_GAP_MOST_IN * MM_PER_IN, {})


def least_gap_of_steel(gap_along_road_mm: Carried) -> list[Check]:
    """1.0 in against the gap of a steel or wooden superstructure.

    At the factored extreme by the clause; a concrete deck may start narrower, because it
    shortens.  Carry the gap with the factored movement to follow the clause to the letter.
    """
    rule = Rule("Least gap, steel deck", "14.5.3.2", AASHTO, "mm", Provenance.READ)
    return at_least(rule, gap_along_road_mm, STEEL_GAP_LEAST_IN * MM_PER_IN, {})


def longitudinal_gap(gap_mm: Carried) -> list[Check]:
    """Width of a joint that runs along the road against 1.0 in."""
    rule = Rule("Gap of a longitudinal joint", "14.5.3.2", AASHTO, "mm", Provenance.MEMORY)
    return at_most(rule, gap_mm, LONGITUDINAL_GAP_MOST_IN * MM_PER_IN, {})


def finger_openings(finger_width_mm: ArrayLike, gap_mm: Carried) -> list[Check]:
    """Clear width between fingers against 3 in, or 2 in where the slot is longer than 8 in."""
    width = above_zero_or_missing("finger_width_mm", finger_width_mm)
    rule = Rule("Opening between fingers", "14.5.3.2", AASHTO, "mm", Provenance.MEMORY)
    short, long = FINGER_WIDTH_MOST_IN
    # The hair keeps a slot of 8 in, turned to mm and to the road, a slot of 8 in.
    longest = LONG_FINGER_SLOT_IN * MM_PER_IN * (1.0 + 1e-9)
    return [
        compare(
            rule,
            width,
            np.where(slot > longest, long, short) * MM_PER_IN,
            {"finger_width_mm": width, field: slot},
            when,
        )
        for when, slot, field in gap_mm.states()
    ]


def finger_overlap(overlap_mm: ArrayLike, gap_mm: Carried) -> list[Check]:
    """1.5 in against the overlap of the fingers, which the gap takes as it opens.

    ``overlap_mm`` is the overlap as found, at the gap as found.
    """
    found = known_or_missing("finger_overlap_mm", overlap_mm)
    rule = Rule("Overlap of fingers", "14.5.3.2", AASHTO, "mm", Provenance.MEMORY)
    return [
        compare(
            rule,
            FINGER_OVERLAP_LEAST_IN * MM_PER_IN,
            found + gap_mm.now - gap,
            {"finger_overlap_mm": found, gap_mm.quantity: gap_mm.now, field: gap},
            when,
        )
        for when, gap, field in gap_mm.states()
    ]


def at_most_skew(rule: Rule, skew_deg: ArrayLike, most_deg: float) -> Check:
    """Compare a skew, to either side, with a largest value."""
    skew = skew_checked(skew_deg)
    return compare(rule, np.abs(skew), most_deg, {"skew_deg": skew})


def skew_of_type(skew_deg: ArrayLike, joint: str) -> Check:
    """Skew against the largest for "compression seal" or "strip seal" in MoDOT EPG 751.13."""
    rule = Rule("Skew", "751.13", "MoDOT EPG, 2014 revision", "deg", Provenance.READ)
    return at_most_skew(rule, skew_deg, MODOT_SKEW_MOST_DEG[joint])


def racking(slip_mm: Carried, racking_limit_mm: ArrayLike) -> list[Check]:
    """Slip along a skewed joint since its setting, either way, against its design figure."""
    limit = at_least_zero("racking_limit_mm", racking_limit_mm)
    return [
        compare(
            _design("Racking"), np.abs(slip), limit, {field: slip, "racking_limit_mm": limit}, when
        )
        for when, slip, field in slip_mm.states()
    ]


def open_joint(
    gap_along_road_mm: Carried,
    design_gap_mm: Carried,
    opening_min_mm: ArrayLike = np.nan,
    opening_max_mm: ArrayLike = np.nan,
) -> list[Check]:
    """Checks of an open joint; ``design_gap_mm`` on the axis of its opening range."""
    return [
        *design_range(design_gap_mm, opening_min_mm, opening_max_mm),
        *single_gap(gap_along_road_mm),
    ]


def sliding_plate(
    design_gap_mm: Carried,
    opening_min_mm: ArrayLike = np.nan,
    opening_max_mm: ArrayLike = np.nan,
) -> list[Check]:
    """Checks of a sliding plate joint: the limit of a single gap is not for it."""
    return design_range(design_gap_mm, opening_min_mm, opening_max_mm)


def finger(
    gap_along_road_mm: Carried,
    design_gap_mm: Carried,
    opening_min_mm: ArrayLike = np.nan,
    opening_max_mm: ArrayLike = np.nan,
    finger_width_mm: ArrayLike = np.nan,
    finger_overlap_mm: ArrayLike = np.nan,
) -> list[Check]:
    """Checks of a finger joint."""
    return [
        *design_range(design_gap_mm, opening_min_mm, opening_max_mm),
        *finger_openings(finger_width_mm, gap_along_road_mm),
        *finger_overlap(finger_overlap_mm, gap_along_road_mm),
    ]
